/*! What a list of thermometers tells of work done to them. Such a list states one resistance a row, and an anneal
stands in the row after which or before which it was made: its reader takes it as made before. */

use super::draft::{DOUBTS_TABLE, doubt_line};
use super::look::Form;
use super::person::Person;
use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt, EVENTS_IN_REMARKS};
use crate::records::guess::draft::Guess;
use crate::settings::toml_text::quoted;

/// The column that tells of such work, and whether it was made before the reading.
pub(super) struct EventsBefore {
    pub header: String,
    pub doubt: Doubt,
    answer: Option<Answer>,
}

impl EventsBefore {
    /// The column of events, or the remarks that speak of some, as a person says; `None` where there is neither.
    pub(crate) fn asked(guess: &Guess, person: &mut dyn Person) -> Option<Self> {
        let header = header(guess)?;
        let own = guess.event_words.told();
        let words = format!(
            "\"{header}\" tells of work done to the thermometers. It is read as done before the reading of its row; what was done after it belongs into the row of the next reading.{own}"
        );
        let mut doubt = Doubt::new("events_before", words)
            .or(
                "done before the reading of its row",
                Answer::Map(Column::Event, header.clone()),
            )
            .or("remarks alone, nothing was done", Answer::AsTaken);
        let answer = person.ask(&doubt);
        doubt.answer = answer.as_ref().map(|(_, words)| words.clone());
        Some(Self {
            header,
            doubt,
            answer: answer.map(|(answer, _)| answer),
        })
    }

    /// True where nobody has said it.
    pub(crate) fn is_open(&self) -> bool {
        self.answer.is_none()
    }

    /// True where the column is read, or drafted as read.
    pub(crate) fn is_read(&self) -> bool {
        self.answer != Some(Answer::AsTaken)
    }

    /// The line that names the column.
    pub(crate) fn column_line(&self) -> String {
        match self.is_read() {
            true => format!(
                "event = {}   # what was done before the reading of its row\n",
                quoted(&self.header)
            ),
            false => String::new(),
        }
    }

    /// The doubt, with its answer where there is one.
    pub(crate) fn doubt_lines(&self, form: &Form) -> String {
        format!("{DOUBTS_TABLE}{}\n", doubt_line(&self.doubt, form, 0))
    }
}

fn header(guess: &Guess) -> Option<String> {
    let events = guess.header(Column::Event).map(str::to_string);
    let remarks = || {
        let mut doubts = guess.doubts.iter();
        let told = doubts.find(|doubt| doubt.name == EVENTS_IN_REMARKS)?;
        told.choices.iter().find_map(|choice| match &choice.answer {
            Answer::Map(Column::Event, header) => Some(header.clone()),
            _ => None,
        })
    };
    events.or_else(remarks)
}
