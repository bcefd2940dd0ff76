/*! `start` on a laboratory's own list of resistances at the triple point of water: thermometers, whose changes
are told in mK, and no checks of a value in Ω. */

use super::adopted::{Adopted, has_register};
use super::draft::{register_lines, written_lines};
use super::events_before::EventsBefore;
use super::lines::{list_line, some_of};
use super::look::Form;
use super::one_tolerance;
use super::person::Person;
use super::readings::Draft;
use super::words::report_folder;
use crate::records::cells::column::Column;
use crate::records::cells::unit::{Quantity, Unit, of_header};
use crate::records::words::{plain, reading_words};
use crate::settings::toml_text::quoted;
use crate::thermometry::readings::is_named;
use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::Path;

/// Columns of raw readings that their headers name, beside those of checks.
const NAMED: [&str; 8] = [
    "point",
    "session",
    "cell",
    "current_ma",
    "depth_m",
    "bridge",
    "resistor",
    "notes",
];

/// Columns of checks with what they are among raw readings.
const AS_READINGS: [(Column, &str); 4] = [
    (Column::Instrument, "instrument"),
    (Column::Date, "date"),
    (Column::AsFound, "resistance_ohm"),
    (Column::Point, "point"),
];

/// The pipeline file of a list of thermometers; `None` where a form is no such list.
pub(super) fn draft(
    form: &mut Form,
    (adopted, beside): (&[Adopted], &str),
    file: &Path,
    person: &mut dyn Person,
) -> Option<Draft> {
    ThermometerList::of(form)?;
    form.ask_alone("coverage_factor", person);
    let said = Said {
        events: EventsBefore::asked(&form.guess, person),
        limits: match has_register(adopted) {
            true => beside.to_string(),
            false => register_lines(one_tolerance::asked("mK", person).as_deref()),
        },
    };
    let list = ThermometerList::of(form)?;
    let text = list.pipeline(&report_folder(file), &said);
    let words = list.words(said.events.as_ref());
    let open = said.events.filter(EventsBefore::is_open);
    Some(Draft {
        text,
        words,
        open: open.map(|events| events.doubt.name),
    })
}

/// What a person says of a list.
struct Said {
    events: Option<EventsBefore>,
    /// The tables that stand beside the list, or lines that state limits where no register is among them.
    limits: String,
}

/// A list of thermometers, as its columns tell.
struct ThermometerList<'a> {
    form: &'a Form,
    /// Our name of each column that is read, with its header.
    columns: Vec<(&'static str, &'a str)>,
}

impl<'a> ThermometerList<'a> {
    /// The list that a form is: a resistance in Ω, an instrument and a date, and a cell or the triple point of water
    /// among its headers; `None` for any other table.
    fn of(form: &'a Form) -> Option<Self> {
        let guess = &form.guess;
        let header = |column| guess.header(column);
        let resistance = header(Column::AsFound)?;
        let in_ohm = |header: &str| {
            let unit = of_header(header).and_then(Unit::parse);
            unit.is_some_and(|unit| unit.quantity == Quantity::Of("Ω"))
        };
        let needed = [Column::Instrument, Column::Date].map(header);
        let readable =
            guess.wide.is_none() && guess.sheets.len() < 2 && header(Column::Nominal).is_none();
        if !readable || !in_ohm(resistance) || needed.contains(&None) {
            return None;
        }
        let mut columns: Vec<(&'static str, &str)> = AS_READINGS
            .iter()
            .filter_map(|(column, name)| Some((*name, header(*column)?)))
            .collect();
        let named = NAMED.iter().filter_map(|name| {
            let mut ignored = guess.ignored.iter();
            Some((
                *name,
                ignored.find(|header| is_named(header, name))?.as_str(),
            ))
        });
        let pointed = header(Column::Point).is_some();
        columns.extend(named.filter(|(name, _)| *name != "point" || !pointed));
        let water =
            holds(resistance, "water") || guess.ignored.iter().any(|header| holds(header, "water"));
        let cell = columns.iter().any(|(name, _)| *name == "cell");
        (water || cell).then_some(Self { form, columns })
    }

    /// The header of the uncertainty that the laboratory states, and what divides it; `None` where that is open.
    fn uncertainty(&self) -> Option<(&'a str, f64)> {
        let guess = &self.form.guess;
        let header = self.stated_uncertainty()?;
        let open = guess.asks("coverage_factor");
        let unit = of_header(header).and_then(Unit::parse);
        (!open && unit.is_some()).then_some((header, guess.coverage_factor))
    }

    fn stated_uncertainty(&self) -> Option<&'a str> {
        self.form.guess.header(Column::U)
    }

    /// The pipeline file, with its report in `report`.
    fn pipeline(&self, report: &str, said: &Said) -> String {
        let guess = &self.form.guess;
        let mut text = String::from(
            "# Resistances of thermometers at the triple point of water: reduced, then judged as any check in mK.\n[thermometry]\n",
        );
        list_line(&mut text, "files", &self.form.entries);
        written_lines(&mut text, guess);
        let uncertainty = self.uncertainty();
        if let Some((_, factor)) = uncertainty.filter(|(_, factor)| *factor != 1.0) {
            let _ = writeln!(
                text,
                "coverage_factor = {factor:?}          # divides u_ohm"
            );
        }
        if said.events.as_ref().is_some_and(EventsBefore::is_read) {
            text += &guess.event_words.line();
        }
        text += "adoptions = \"adoptions.csv\"          # written by driftbook adopt\n\
                 # thermometers = \"thermometers.toml\"   # values in use, ratings, coefficients: one entry each, as\n";
        for instrument in &guess.instruments {
            let _ = write!(
                text,
                "#   [[thermometer]]\n#   instrument = {}\n#   triple_point_ohm = …   # of its certificate, Ω\n",
                quoted(instrument)
            );
        }
        text += "\n[thermometry.columns]          # our name = your header\n";
        for (name, header) in &self.columns {
            let _ = writeln!(text, "{name} = {}", quoted(header));
        }
        if let Some(events) = &said.events {
            text += &events.column_line();
        }
        match (uncertainty, self.stated_uncertainty()) {
            (Some((header, _)), _) => {
                let _ = writeln!(text, "u_ohm = {}", quoted(header));
            }
            (None, Some(header)) => {
                let _ = writeln!(
                    text,
                    "# u_ohm = {}   # with coverage_factor under [thermometry] where it is expanded",
                    quoted(header)
                );
            }
            (None, None) => {}
        }
        text += "# u_common_ohm = \"…\"        # the part of u_ohm that all checks share\n";
        text += &said.limits;
        if let Some(events) = &said.events {
            text += &events.doubt_lines(self.form);
        }
        let _ = write!(text, "\n[output]\nfolder = {}\n", quoted(report));
        text
    }

    /// What is told of the list.
    fn words(&self, events: Option<&EventsBefore>) -> String {
        let guess = &self.form.guess;
        let mut text = String::from(
            "These are resistances of thermometers at the triple point of water, by their headers: each is reduced, and its change told in mK.\nColumns:\n",
        );
        for (name, header) in &self.columns {
            let _ = writeln!(text, "  {name:<14} \"{header}\"");
        }
        let has = |wanted: &str| self.columns.iter().any(|(name, _)| *name == wanted);
        if !has("session") {
            text += "No column tells the session: what one cell gave on one day is one.\n";
        }
        match (self.uncertainty(), self.stated_uncertainty()) {
            (Some((header, factor)), _) => {
                let _ = writeln!(
                    text,
                    "\"{header}\" (divided by k = {factor}) is the uncertainty of each value: it stands as it is, and no other budget is made. State the part that all checks share (u_common_ohm)."
                );
            }
            (None, Some(header)) => {
                let _ = writeln!(
                    text,
                    "\"{header}\" is not read until you say whether it is expanded (u_ohm under [thermometry.columns], coverage_factor under [thermometry]): until then each value has the budget that its columns allow."
                );
            }
            (None, None) => {}
        }
        let events = events.filter(|events| events.is_read());
        if let Some(events) = events {
            let _ = writeln!(text, "  {:<14} \"{}\"", "event", events.header);
        }
        let mut read: BTreeSet<&str> = self.columns.iter().map(|(_, header)| *header).collect();
        read.extend(events.map(|events| events.header.as_str()));
        let used =
            |header: &str| read.contains(header) || self.stated_uncertainty() == Some(header);
        let mapped = guess.columns.iter().map(|g| &g.header);
        let left = mapped.chain(&guess.ignored).filter(|header| !used(header));
        let left: Vec<String> = left.cloned().collect();
        if !left.is_empty() {
            let _ = writeln!(
                text,
                "Not read: {}. Limits stand in a register, in mK.",
                some_of(&left)
            );
        }
        if let Some(events) = events.filter(|events| events.is_open()) {
            let _ = writeln!(
                text,
                "Not answered, and no run begins before it is (state the answer under [checks.doubts]):\n  {}: {}",
                events.doubt.name, events.doubt.words
            );
        }
        text + "Changes count from the first session of each, until a file of the thermometers states the values in use; \
                the pipeline file says how."
    }
}

/// True where one of the words stands in a header.
fn holds(header: &str, name: &str) -> bool {
    let header = format!(" {} ", plain(header));
    reading_words(name).iter().any(|word| {
        let unspaced =
            !word.is_ascii() && !word.contains(' ') && word.chars().all(|c| c >= '\u{3040}');
        header.contains(&format!(" {word} ")) || unspaced && header.contains(word.as_str())
    })
}
