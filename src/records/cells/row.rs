/*! One row of the checks table: from fields to typed values, or the reason why not. */

pub(crate) mod cells;
mod day;
pub(crate) mod ditto;
mod event_stems;
pub(crate) mod legible;
pub(crate) mod needed;
pub(crate) mod readings;
pub(crate) mod rules;
pub(crate) mod said;
pub(crate) mod set_point;
pub(crate) mod stated;
pub(crate) mod unused;

use super::column::Column;
use super::field;
use super::field::Field;
use super::number::amounts::Amounts;
use super::number::written::{is_bare, is_error};
use super::shape::Shape;
use crate::records::reading::aside::names_a_sum;
use crate::records::settings::words::{StatedOutcome, SumsAre};
use crate::records::{CheckKind, Event, Outcome};
use cells::Cells;
use ditto::is_ditto;
use legible::Legible;
use rules::{Fields, Problem, Rules};
use said::{Carried, answer, said_beside_events, spoken_of};
use stated::Stated;
use std::borrow::Cow;

/// Why a row without a name is none.
const NO_INSTRUMENT: &str = "no instrument; where a name stands only in the first row of its block, name the column in fill_down under [checks], and that of the date where it stands once too";

/// Why a name that is a sign of repetition is none.
const REPEATS_ABOVE: &str =
    "the sign repeats the cell above: name the column in fill_down under [checks], or write it out";

/// Why a row whose number is near no set point is none.
const OFF_POINT: &str = "near none of the set points; add its own to set_points under [checks]";

/// A usable row; values not stated are NaN (`nominal` and `u_common` 0).
#[derive(Debug)]
pub(crate) struct Row<'a> {
    pub instrument: Cow<'a, str>,
    pub point: Cow<'a, str>,
    pub date: f64,
    pub amounts: Amounts<'a>,
    pub usage: f64,
    pub outcome: Outcome,
    pub event: Event,
    pub kind: CheckKind,
    /// Who gave the reading; empty where not stated.
    pub giver: Cow<'a, str>,
    /// What it states of its item.
    pub stated: Stated<'a>,
    /// Column whose word is unknown and was read as nothing.
    pub unknown_word: Option<Column>,
}

impl Rules<'_> {
    /// The instrument of a row whose names are those of one history.
    fn named<'f>(&'f self, fields: &'f Fields<'f>) -> Result<Cow<'f, str>, Problem> {
        let instrument = self.instrument_of(fields);
        if instrument.trim().is_empty() {
            return Err(Problem::new(Column::Instrument, NO_INSTRUMENT));
        }
        for column in [Column::Instrument, Column::Point] {
            if matches!(fields[column], Field::Text(text) if is_ditto(text)) {
                return Err(Problem::new(column, REPEATS_ABOVE));
            }
        }
        for column in [Column::Instrument, Column::Point, Column::Unit] {
            if matches!(fields[column], Field::Text(text) if is_error(text.trim())) {
                return Err(Problem::of_error(column));
            }
        }
        if fields.off_point {
            return Err(Problem::new(Column::Point, OFF_POINT));
        }
        if self.sets_aside(&instrument) || self.sets_aside(&fields[Column::Point].text()) {
            return Err(Problem::new(Column::Instrument, "its name sums others up"));
        }
        Ok(instrument)
    }

    /// Reads one row.
    pub(crate) fn read<'f>(
        &'f self,
        fields: &'f Fields<'f>,
        shape: &'f Shape,
    ) -> Result<Row<'f>, Problem> {
        let instrument = self.named(fields)?;
        let date = self.date(fields)?;
        let cells = self.cells(fields, shape);
        let amounts = cells.amounts()?;
        let usage = cells.count(Column::Usage)?;
        let spoken = self.outcome(fields[Column::InTolerance]);
        let decided = amounts.decided();
        if spoken.is_none() && !decided {
            return Err(Problem::new(
                Column::InTolerance,
                "neither true nor false; give the word a meaning under checks.outcomes",
            ));
        }
        let (stated, said) = spoken.unwrap_or_default();
        let (outcome, event) = self.event_with_outcome(fields[Column::Event], shape, stated);
        if amounts.as_found.is_nan() && outcome == Outcome::Unknown {
            return Err(Problem::new(Column::AsFound, "no value and no outcome"));
        }
        let kind = kind(fields[Column::Kind]);
        // "muss justiert werden" or "justiert auf 0,2": whether the value was moved only a person can tell.
        if event.is_none() && spoken_of(&fields[Column::Event].text()).event != Event::None {
            return Err(Problem::new(
                Column::Event,
                "speaks of an event in words that no list knows; give the text a meaning under checks.events: \"none\", \"adjusted\" or another",
            ));
        }
        let (stated_facts, unread) = self.stated(fields, shape);
        let unknown_word = match (event, kind) {
            (None, _) => Some(Column::Event),
            (_, None) => Some(Column::Kind),
            _ if spoken.is_none() => Some(Column::InTolerance),
            _ => unread,
        };
        let certified = !amounts.assigned.is_nan();
        Ok(Row {
            instrument,
            point: self.name(fields[Column::Point]),
            date,
            amounts,
            usage,
            outcome,
            event: match event.unwrap_or_default() {
                Event::None => said,
                event => event,
            },
            kind: match kind.unwrap_or_default() {
                CheckKind::Unstated if certified => CheckKind::Calibration,
                kind => kind,
            },
            giver: self.name(fields[Column::Source]),
            stated: stated_facts,
            unknown_word,
        })
    }

    /// True for a row that by its name sums others up, where the settings say so.
    pub(crate) fn sets_aside(&self, name: &str) -> bool {
        self.settings.sums_are == SumsAre::Aside && names_a_sum(name)
    }

    pub(crate) fn cells<'f>(&'f self, fields: &'f Fields<'f>, shape: &'f Shape) -> Cells<'f> {
        Cells {
            rules: self,
            fields,
            shape,
        }
    }

    /// What a row that cannot be used says of a failure or an event, as far as it can be read.
    pub(crate) fn carried<'f>(
        &'f self,
        fields: &'f Fields<'f>,
        shape: &'f Shape,
        legible: &Legible,
    ) -> Carried {
        if self.date(fields).is_err_and(|p| p.later) {
            return Carried::default();
        }
        let (outcome, done) = self
            .outcome(fields[Column::InTolerance])
            .unwrap_or_default();
        let stated = Carried {
            failure: outcome == Outcome::Out,
            event: match self.event(fields[Column::Event], shape).unwrap_or_default() {
                Event::None => done,
                event => event,
            },
        };
        let spoken = [Column::InTolerance, Column::Event].map(|column| fields[column].text());
        let found = fields[Column::AsFound].text();
        // A number alone speaks of nothing.
        let words = Some(found).filter(|text| !is_bare(text));
        let spoken = spoken.into_iter().chain(words).map(|text| spoken_of(&text));
        spoken.fold(stated.or(legible.carried()), Carried::or)
    }

    /// A row without its values: when, which item, and the outcome and the event that it tells.
    /// A failure or an event counts so only where the settings say that it may.
    pub(crate) fn bare<'f>(
        &'f self,
        fields: &Fields<'f>,
        shape: &Shape,
        carried: Carried,
    ) -> Option<Row<'f>> {
        let instrument = self.instrument_of(fields);
        let date = self
            .date(fields)
            .ok()
            .filter(|_| !(fields.off_point || fields.is_left))?;
        let passed = || {
            let outcome = self.outcome(fields[Column::InTolerance]);
            let event = self.event(fields[Column::Event], shape);
            outcome == Some((Outcome::In, Event::None)) && event == Some(Event::None)
        };
        let outcome = match carried {
            Carried { failure: true, .. } => Outcome::Out,
            carried if carried.is_nothing() && passed() => Outcome::In,
            _ => Outcome::Unknown,
        };
        let allowed = match carried.is_nothing() {
            true => outcome == Outcome::In,
            false => self.settings.allow_rejected_failures,
        };
        (allowed && !instrument.trim().is_empty()).then(|| Row {
            instrument,
            point: self.name(fields[Column::Point]),
            date,
            amounts: Amounts::unknown(),
            usage: f64::NAN,
            outcome,
            event: carried.event,
            kind: kind(fields[Column::Kind]).unwrap_or_default(),
            giver: self.name(fields[Column::Source]),
            stated: self.stated(fields, shape).0,
            unknown_word: None,
        })
    }

    /// Outcome, and what was done where the same field says so; `None` where unreadable.
    fn outcome(&self, field: Field<'_>) -> Option<(Outcome, Event)> {
        let own = match field {
            Field::Text(text) => self.settings.outcomes.get(text.trim()),
            _ => None,
        };
        match own {
            Some(StatedOutcome::Pass) => Some((Outcome::In, Event::None)),
            Some(StatedOutcome::Fail) => Some((Outcome::Out, Event::None)),
            Some(StatedOutcome::Unknown) => Some((Outcome::Unknown, Event::None)),
            None => field::outcome(field),
        }
    }

    /// The instrument of a row: that of the whole table, else the row's own.
    pub(crate) fn instrument_of<'f>(&'f self, fields: &Fields<'f>) -> Cow<'f, str> {
        match self.instrument {
            Some(name) => Cow::Borrowed(name),
            None => self.name(fields[Column::Instrument]),
        }
    }

    fn name<'f>(&self, field: Field<'f>) -> Cow<'f, str> {
        match field {
            Field::Text(text) if self.settings.trim_names => Cow::Borrowed(text.trim()),
            other => other.text(),
        }
    }

    /// Outcome and event where a field of events tells both ("FAIL - adjusted"): an outcome beside it
    /// must say the same. `None` for an event that cannot be read.
    fn event_with_outcome(
        &self,
        field: Field<'_>,
        shape: &Shape,
        stated: Outcome,
    ) -> (Outcome, Option<Event>) {
        if let Some(event) = self.event(field, shape) {
            return (stated, Some(event));
        }
        match said_beside_events(&field.text()) {
            Some((outcome, event)) if stated == Outcome::Unknown || stated == outcome => {
                (outcome, Some(event))
            }
            _ => (stated, None),
        }
    }

    /// What was done; a header that names an event ("adjusted?") makes it an answer.
    fn event(&self, field: Field<'_>, shape: &Shape) -> Option<Event> {
        let text = match field {
            Field::Text(text) => text.trim(),
            Field::Flag(flag) => match flag {
                true => "yes",
                false => "no",
            },
            _ => return field.is_blank().then_some(Event::None),
        };
        if let Some(own) = self.settings.events.get(text) {
            return Some(*own);
        }
        match (shape.asked, answer(text)) {
            (Some(event), Some(true)) => Some(event),
            (Some(_), Some(false)) => Some(Event::None),
            _ => field::event(text),
        }
    }
}

fn kind(field: Field<'_>) -> Option<CheckKind> {
    match field {
        Field::Text(text) => field::kind(text.trim()),
        other => other.is_blank().then_some(CheckKind::Unstated),
    }
}
