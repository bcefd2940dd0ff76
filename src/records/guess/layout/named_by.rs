/*! Tables without a column of instruments: each file, or each sheet of a workbook, may be one instrument's own. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt, INSTRUMENT_CELL, INSTRUMENT_FROM};
use crate::records::guess::draft::Guess;
use crate::records::settings::words::InstrumentFrom;
use crate::settings::toml_text::quoted;

/// Headers that are offered as an answer, at the most.
const OFFERED: usize = 8;

impl Guess {
    /// True where the instruments are named by a column, and by its header.
    pub(crate) fn heads_instruments(&self) -> bool {
        let column = self.reads(Column::Instrument);
        column && !self.doubts.iter().any(tells_instruments)
    }

    /// True where the draft takes the instruments from the names of files or sheets.
    pub(crate) fn names_by_table(&self) -> bool {
        self.to_state.get(INSTRUMENT_FROM).is_some()
    }

    /// Asks whether the file or the sheet `name` is one instrument's own, where no header names
    /// instruments. `several` sheets of one workbook are drafted so even where a column of words could
    /// name them.
    pub(crate) fn ask_named_by(&mut self, from: InstrumentFrom, name: &str, several: bool) {
        if self.heads_instruments()
            || self.names_by_table()
            || self.missing().iter().any(|c| *c != Column::Instrument)
        {
            return;
        }
        let (word, what) = match from {
            InstrumentFrom::Sheet => ("sheet", "its sheet"),
            _ => ("file", "its file"),
        };
        let by_name = Answer::State(INSTRUMENT_FROM, format!("\"{word}\""));
        let by_content = self.header(Column::Instrument).map(str::to_string);
        if let (Some(_), false, true) = (&by_content, several, self.labels.is_empty()) {
            let mut doubts = self.doubts.iter_mut();
            if let Some(doubt) = doubts.find(|doubt| tells_instruments(doubt)) {
                doubt.words += &format!(
                    " Or the instrument has the name of {what}, \"{name}\" ({INSTRUMENT_FROM} = \"{word}\")?"
                );
                let words = format!("no, it has the name of {what}: {name}");
                *doubt = doubt.clone().or(words, by_name);
            }
            return;
        }
        self.doubts.retain(|doubt| !tells_instruments(doubt));
        let headers = by_content.iter().chain(
            self.ignored
                .iter()
                .filter(|h| by_content.as_ref() != Some(h)),
        );
        let by_header: Vec<(String, Answer)> = headers
            .take(OFFERED)
            .map(|header| {
                let words = format!("no, the column \"{header}\" names them");
                (words, Answer::Map(Column::Instrument, header.clone()))
            })
            .collect();
        let doubt = match self.labels.clone().split_first() {
            Some((first, others)) => {
                self.take(&Answer::State(INSTRUMENT_FROM, "\"cell\"".into()));
                self.take(&by_label(first));
                let doubt = about_labels(first, others);
                doubt.or(format!("no, it has the name of {what}: {name}"), by_name)
            }
            None => {
                self.take(&by_name);
                about_name(what, word, name)
            }
        };
        let doubt = by_header
            .into_iter()
            .fold(doubt, |doubt, (words, answer)| doubt.or(words, answer));
        self.doubts.push(doubt);
    }
}

/// The answer that the cell with this label names the instrument.
fn by_label((label, _): &(String, String)) -> Answer {
    Answer::State(INSTRUMENT_CELL, quoted(label))
}

/// True for the doubt what tells the instruments, where no header does.
fn tells_instruments(doubt: &Doubt) -> bool {
    doubt.column == Some(Column::Instrument)
}

fn about_labels(first: &(String, String), others: &[(String, String)]) -> Doubt {
    others.iter().fold(about_label(first), |doubt, label| {
        let words = format!("no, by \"{}\": {}", label.0, label.1);
        doubt.or(words, by_label(label))
    })
}

fn about_label((label, name): &(String, String)) -> Doubt {
    let words = format!(
        "No column names the instruments: each table is taken for that of the one which the cell \"{label}\" above it names, here \"{name}\" (instrument_from = \"cell\")."
    );
    Doubt::about_column(Column::Instrument, words)
        .settled_by(INSTRUMENT_FROM)
        .or(format!("yes, by \"{label}\""), Answer::AsTaken)
}

fn about_name(what: &str, word: &str, name: &str) -> Doubt {
    let words = format!(
        "No column names the instruments: each is taken to have the name of {what}, here \"{name}\" ({INSTRUMENT_FROM} = \"{word}\")."
    );
    Doubt::about_column(Column::Instrument, words)
        .settled_by(INSTRUMENT_FROM)
        .or(format!("yes, the name of {what}"), Answer::AsTaken)
}
