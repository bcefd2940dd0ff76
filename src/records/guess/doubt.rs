/*! What a first look cannot tell for certain, and the answers that settle it. */

use super::headers::folded;
use crate::records::cells::column::Column;
pub(crate) use crate::records::cells::remarks::EVENTS_IN_REMARKS;
use crate::records::cells::unit::words_of_header;
use crate::records::reading::wide::WideSettings;
use crate::records::screening::tolerance_of_all::UsableTolerance;
use crate::settings::allowed::Rule;
use crate::settings::toml_text::listed;

/// What a person must decide before the first run.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Doubt {
    /// Its key under `[checks.doubts]`.
    pub name: &'static str,
    /// The needed column of which it is in doubt which of the person's columns it is.
    pub column: Option<Column>,
    /// True where its answer is that of all files of one form: which columns there are, what they mean and how
    /// they are written.
    pub of_form: bool,
    /// The setting that answers it; empty where a mapped column or the numbers do.
    pub setting: &'static str,
    /// What is in doubt, in a sentence or two.
    pub words: String,
    /// Of what it asks where other words ask the same of it, such as a column by its name; empty where the words alone tell.
    pub about: String,
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
pub(crate) struct Choice {
    /// What it means, with an example where there is one.
    pub words: String,
    /// What it changes.
    pub answer: Answer,
}

/// What an answer changes in how a file is read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Answer {
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
    /// The tolerance of all that state no limits.
    Tolerance(String),
    /// A setting, with its value as TOML.
    State(&'static str, String),
    /// The table is none of checks, but stands beside them.
    Apart,
    /// A column is not read.
    Off(Column),
    /// The header of a column.
    Map(Column, String),
    /// The headers of the columns that repeat the reading.
    Repeats(Vec<String>),
    /// The column that tells rows as left from rows as found, and its words for them.
    LeftRows(String, Vec<String>),
    /// The column that says of rows that they do not count, and its words for that.
    VoidRows(String, Vec<String>),
    /// The headers of the columns that tell points apart, and the set points for which their numbers are
    /// taken; none of these where each number is its own.
    Points(Vec<String>, Vec<f64>),
}

impl Answer {
    /// The settings that an answer about points states, each with its value as TOML; none for another.
    pub(crate) fn settings(&self) -> Vec<(&'static str, String)> {
        let Answer::Points(headers, set_points) = self else {
            return Vec::new();
        };
        let headers = listed(headers);
        let numbers: Vec<String> = set_points.iter().map(f64::to_string).collect();
        let near =
            (!set_points.is_empty()).then(|| ("set_points", format!("[{}]", numbers.join(", "))));
        std::iter::once(("point_from", headers))
            .chain(near)
            .collect()
    }

    /// The same in words: `point_from = ["Range"]`.
    pub(crate) fn stated(&self) -> String {
        let lines = self
            .settings()
            .into_iter()
            .map(|(key, value)| format!("{key} = {value}"));
        lines.collect::<Vec<_>>().join(", ")
    }
}

crate::words::worded! {
    /// What may be typed as an answer.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum Typed with words {
        /// A month and a day, as 12-31.
        MonthDay = "or month and day, such as 12-31",
        /// A coverage factor.
        Factor = "or k, such as 2.3",
        /// A tolerance, with its unit or without.
        Tolerance = "or the tolerance with its unit, such as ±5 mK",
    }
}

impl Typed {
    /// The answer that `text` is; `None` where it is none.
    pub(crate) fn read(self, text: &str) -> Option<Answer> {
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
            Typed::Tolerance => {
                // A comma before three digits may group thousands.
                let grouped = text.split(',').skip(1).any(|rest| {
                    let digits = rest.chars().take_while(char::is_ascii_digit);
                    digits.count() == 3
                });
                let text = text.replace(',', ".");
                let usable =
                    !grouped && !text.is_empty() && UsableTolerance.complaint(&text).is_none();
                usable.then_some(Answer::Tolerance(text))
            }
        }
    }
}

impl Doubt {
    /// A doubt that is settled by looking at it.
    pub(crate) fn new(name: &'static str, words: impl Into<String>) -> Self {
        Self {
            name,
            words: words.into(),
            marked: true,
            ..Self::default()
        }
    }

    /// A doubt which of the person's columns a needed one is.
    pub(crate) fn about_column(column: Column, words: impl Into<String>) -> Self {
        let (name, column) = match column {
            Column::Instrument => ("column_instrument", column),
            Column::Date => ("column_date", column),
            _ => ("column_as_found", Column::AsFound),
        };
        Self {
            column: Some(column),
            ..Self::new(name, words).of_form()
        }
    }

    /// The same, of all files of a form.
    pub(crate) fn of_form(self) -> Self {
        Self {
            of_form: true,
            ..self
        }
    }

    /// The same, with the setting that answers it.
    pub(crate) fn settled_by(self, setting: &'static str) -> Self {
        Self { setting, ..self }
    }

    /// True where the other asks the same: an answer to the one is that to the other. Examples
    /// may differ.
    pub(crate) fn asks_as(&self, other: &Doubt) -> bool {
        let answers = |doubt: &Doubt| -> Vec<Answer> {
            let choices = doubt.choices.iter();
            choices.map(|choice| choice.answer.clone()).collect()
        };
        let about = !self.about.is_empty() && self.about == other.about;
        let same = about || self.words == other.words;
        self.name == other.name && same && answers(self) == answers(other)
    }

    /// The same, which asks nothing else of what has this name, with its unit or without, in other words.
    pub(crate) fn about(self, header: &str) -> Self {
        let about = folded(words_of_header(header));
        Self { about, ..self }
    }

    /// The same, with one more answer to choose from.
    pub(crate) fn or(mut self, words: impl Into<String>, answer: Answer) -> Self {
        let words = words.into();
        self.choices.push(Choice { words, answer });
        self
    }
}

/// The doubt what a file is that cannot be read as a table.
pub(crate) const FILE_NOT_READ: &str = "file_not_read";

/// The doubt whether day or month stands first.
pub(crate) const DAY_OR_MONTH: &str = "day_or_month";

/// The doubt whether texts that no list knows tell of the events of which they speak.
pub(crate) const EVENT_WORDS: &str = "event_words";

/// The doubt whether sheets under other headers hold checks.
pub(crate) const SHEETS_NOT_READ: &str = "sheets_not_read";

/// The setting that tells whether files or sheets have the names of their instruments.
pub(crate) const INSTRUMENT_FROM: &str = "instrument_from";

/// The setting that lists the columns whose blank cells take what stands above.
pub(crate) const FILL_DOWN: &str = "fill_down";

/// The setting that names the cell above a table which names its instrument.
pub(crate) const INSTRUMENT_CELL: &str = "instrument_cell";

/// The setting that names the columns of the year, the month and the day of each check.
pub(crate) const DATE_FROM: &str = "date_from";

/// The setting that names the cell above a table which states the day of its checks.
pub(crate) const DATE_CELL: &str = "date_cell";
