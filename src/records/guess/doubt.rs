/*! What a first look cannot tell for certain, and the answers that settle it. */

use super::draft::{Guess, Guessed};
use crate::records::cells::column::Column;
use crate::records::reading::wide::WideSettings;

/// What a person must decide before the first run.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// Its key under `[checks.doubts]`.
    pub name: &'static str,
    /// The setting that answers it; empty where a mapped column or the numbers do.
    pub setting: &'static str,
    /// What is in doubt, in a sentence or two.
    pub words: String,
    /// The answers that can be chosen; the draft takes the first.
    pub choices: Vec<Choice>,
    /// What may be typed beside them.
    pub typed: Option<Typed>,
    /// False where the run itself refuses for as long as it is open, so that no mark need say so.
    pub marked: bool,
    /// True once it was asked.
    pub asked: bool,
    /// What a person answered.
    pub answer: Option<String>,
}

/// An answer with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// What it means, with an example where there is one.
    pub words: String,
    /// What it changes.
    pub answer: Answer,
}

/// What an answer changes in how a file is read.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// Nothing: it was taken right.
    AsTaken,
    /// The format of the dates.
    Dates(String),
    /// The format of the dates in the headers of a wide table.
    HeaderDates(String),
    /// The month and day that such headers leave open.
    Unstated(String),
    /// The number that divides the column u.
    Factor(f64),
    /// A setting, with its value as TOML.
    State(&'static str, String),
    /// A column is not read.
    Off(Column),
    /// The header of a column.
    Map(Column, String),
}

/// What may be typed as an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Typed {
    /// A month and a day, as 12-31.
    MonthDay,
    /// A coverage factor.
    Factor,
}

impl Typed {
    /// The answer that `text` is; `None` where it is none.
    pub fn read(self, text: &str) -> Option<Answer> {
        match self {
            Typed::MonthDay => {
                let wide = WideSettings {
                    unstated: text.to_string(),
                    ..WideSettings::default()
                };
                let usable = crate::settings::SettingsTable::check(&wide).is_empty();
                usable.then(|| Answer::Unstated(text.to_string()))
            }
            Typed::Factor => {
                let factor = text.replace(',', ".").parse().ok();
                let usable = factor.filter(|k: &f64| k.is_finite() && *k > 0.0);
                usable.map(Answer::Factor)
            }
        }
    }

    /// How it is asked for.
    pub fn words(self) -> &'static str {
        match self {
            Typed::MonthDay => "or month and day, such as 12-31",
            Typed::Factor => "or k, such as 2.3",
        }
    }
}

impl Doubt {
    /// A doubt that is settled by looking at it.
    pub fn new(name: &'static str, words: impl Into<String>) -> Self {
        Self {
            name,
            setting: "",
            words: words.into(),
            choices: Vec::new(),
            typed: None,
            marked: true,
            asked: false,
            answer: None,
        }
    }

    /// The same, with the setting that answers it.
    pub fn settled_by(self, setting: &'static str) -> Self {
        Self { setting, ..self }
    }

    /// The same, with one more answer to choose from.
    pub fn or(mut self, words: impl Into<String>, answer: Answer) -> Self {
        let words = words.into();
        self.choices.push(Choice { words, answer });
        self
    }
}

impl Guess {
    /// Changes what the draft says by an answer.
    pub fn take(&mut self, answer: &Answer) {
        match answer {
            Answer::AsTaken => {}
            Answer::Dates(format) => self.date_format.clone_from(format),
            Answer::Factor(factor) => self.coverage_factor = *factor,
            Answer::HeaderDates(format) => {
                if let Some(wide) = &mut self.wide {
                    wide.date_format.clone_from(format);
                }
            }
            Answer::Unstated(day) => {
                if let Some(wide) = &mut self.wide {
                    wide.unstated.clone_from(day);
                }
            }
            Answer::State(key, value) => {
                let begin = format!("{key} =");
                self.to_state.retain(|line| !line.starts_with(&begin));
                self.to_state.push(format!("{begin} {value}"));
            }
            Answer::Off(column) => self.off.push(*column),
            Answer::Map(column, header) => {
                self.ignored.retain(|other| other != header);
                self.columns.push(Guessed {
                    column: *column,
                    header: header.clone(),
                    why: "as answered".into(),
                });
                self.columns.sort_by_key(|g| g.column.index());
            }
        }
    }

    /// Takes over the format of dates of another file with the same headers, where this one's
    /// own dates leave it open and that one's do not.
    pub fn settle_dates_by(&mut self, other: &Guess) {
        const NAME: &str = DAY_OR_MONTH;
        if other.doubts.iter().any(|doubt| doubt.name == NAME) {
            return;
        }
        let told = Answer::Dates(other.date_format.clone());
        let settled = |doubt: &Doubt| {
            doubt.name == NAME && doubt.choices.iter().any(|choice| choice.answer == told)
        };
        if self.doubts.iter().any(settled) {
            self.doubts.retain(|doubt| doubt.name != NAME);
            self.take(&told);
        }
    }
}

/// The doubt whether day or month stands first.
pub(crate) const DAY_OR_MONTH: &str = "day_or_month";
