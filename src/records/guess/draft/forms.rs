/*! Files of one form: what one settles for the others, how forms differ, and what a form takes in of a file. */

use super::{Guess, LEFT_ROWS_ARE};
use crate::records::cells::column::Column;
use crate::records::encoding::Encoding;
use crate::records::guess::doubt::{
    Answer, DATE_CELL, DATE_FROM, DAY_OR_MONTH, Doubt, EVENT_WORDS, EVENTS_IN_REMARKS, FILL_DOWN,
    INSTRUMENT_CELL,
};

impl Guess {
    /// Takes over the format of dates of another file with the same headers, where this one's
    /// own dates leave it open and that one's do not.
    pub(crate) fn settle_dates_by(&mut self, other: &Guess) {
        const NAME: &str = DAY_OR_MONTH;
        if other.asks(NAME) {
            return;
        }
        let dates = Answer::Dates(other.date_format.clone());
        let settled = |doubt: &Doubt| {
            doubt.name == NAME && doubt.choices.iter().any(|choice| choice.answer == dates)
        };
        if self.doubts.iter().any(settled) {
            self.doubts.retain(|doubt| doubt.name != NAME);
            self.take(&dates);
        }
    }

    /// Takes over the sign of decimals of another file with the same headers, where no number of
    /// this one shows it.
    pub(crate) fn settle_decimals_by(&mut self, other: &Guess) {
        if self.shows_decimals || !other.shows_decimals {
            return;
        }
        (self.decimal_comma, self.shows_decimals) = (other.decimal_comma, true);
        let sign = if other.decimal_comma {
            "comma"
        } else {
            "point"
        };
        self.to_check.push(format!(
            "Files whose numbers do not show the sign of decimals are read as the others with their headers: {sign}."
        ));
        self.take(&Answer::State(
            "decimal_comma",
            other.decimal_comma.to_string(),
        ));
    }

    /// True where each column has the header and the form that it has in `other`.
    pub(crate) fn columns_alike(&self, other: &Guess) -> bool {
        let headers = |guess: &Guess| -> Vec<(Column, String)> {
            let columns = guess.columns.iter();
            columns.map(|g| (g.column, g.header.clone())).collect()
        };
        headers(self) == headers(other)
            && self.date_format == other.date_format
            && self.wide == other.wide
            && self.decimal_comma == other.decimal_comma
            && self.coverage_factor == other.coverage_factor
            && self.unit == other.unit
            && self.delimiter == other.delimiter
            && [FILL_DOWN, INSTRUMENT_CELL, DATE_CELL, DATE_FROM]
                .iter()
                .all(|key| self.to_state.get(key) == other.to_state.get(key))
            && self.contradictions(other).next().is_none()
            && self.letters_alike(other)
    }

    /// Further settings that other columns of the same form contradict. Words for rows as left do not: each
    /// may have its own.
    fn contradictions(&self, other: &Guess) -> impl Iterator<Item = &'static str> {
        let told = [
            FILL_DOWN,
            INSTRUMENT_CELL,
            DATE_CELL,
            DATE_FROM,
            LEFT_ROWS_ARE,
        ];
        let keys = self.to_state.contradicted_by(&other.to_state);
        keys.filter(move |key| !told.contains(key))
    }

    /// Takes in what another file or sheet of the same form, at `place`, states and leaves open, with its words for
    /// rows as left.
    pub(crate) fn join_settings(&mut self, other: &Guess, place: &str) {
        let told = |doubt: &&mut Doubt| [EVENT_WORDS, EVENTS_IN_REMARKS].contains(&doubt.name);
        let new = self.event_words.join(&other.event_words);
        if let (false, Some(asked)) = (new.is_empty(), self.doubts.iter_mut().find(told)) {
            asked.words += &format!(" {place}: {}.", new.listed());
        }
        let read = |header: &String| self.columns.iter().any(|g| g.header == *header);
        let left_out = other.ignored.iter().filter(|header| !read(header));
        let new: Vec<String> = left_out
            .filter(|header| !self.ignored.contains(header))
            .cloned()
            .collect();
        self.ignored.extend(new);
        for doubt in other.doubts.iter().filter(|doubt| !doubt.of_form) {
            if !self.doubts.iter().any(|known| known.name == doubt.name) {
                let words = format!("{place}: {}", doubt.words);
                self.doubts.push(Doubt {
                    words,
                    ..doubt.clone()
                });
            }
        }
        if let Some((header, words)) = &other.left_rows {
            let own = self.left_rows.as_ref();
            let mut all = own.map_or(Vec::new(), |(_, own)| own.clone());
            let known = all.len();
            let new = words.iter().filter(|word| !all.contains(word));
            let new: Vec<String> = new.cloned().collect();
            all.extend(new);
            if all.len() > known {
                self.take(&Answer::LeftRows(header.clone(), all));
            }
        }
        self.to_state.join(&other.to_state);
    }

    /// True where the program tells by itself how the letters of each are stored.
    fn letters_alike(&self, other: &Guess) -> bool {
        let named = |guess: &Guess| matches!(guess.encoding, Encoding::Named(_));
        self.encoding == other.encoding || !named(self) && !named(other)
    }

    /// What another file's form differs by from this one's, in words.
    pub(crate) fn differs_from(&self, other: &Guess) -> Vec<String> {
        let mut differs = Vec::new();
        let mut tell = |what: &str, own: String, others: String| {
            if own != others {
                let shown = |text: &str| match text {
                    "" => "none".to_string(),
                    text => format!("\"{text}\""),
                };
                let (own, others) = (shown(&own), shown(&others));
                differs.push(format!("{what} {own}, in the first form {others}"));
            }
        };
        for column in Column::ALL {
            let header = |guess: &Guess| guess.header(column).unwrap_or_default().to_string();
            tell(column.name(), header(self), header(other));
        }
        for (what, of) in [
            (
                "delimiter",
                (|g| g.delimiter.word().into()) as fn(&Guess) -> String,
            ),
            ("unit", |g| g.unit.clone()),
            ("blank cells", |g| g.to_state.line(FILL_DOWN)),
            ("name of the instrument", |g| {
                g.to_state.line(INSTRUMENT_CELL)
            }),
            ("day above the table", |g| g.to_state.line(DATE_CELL)),
            ("columns of the date", |g| g.to_state.line(DATE_FROM)),
            ("date_format", |g| match g.date_format.as_str() {
                "" => "ISO 8601".into(),
                format => format.into(),
            }),
            ("decimal sign", |g| {
                if g.decimal_comma { "," } else { "." }.into()
            }),
            ("coverage_factor", |g| g.coverage_factor.to_string()),
        ] {
            tell(what, of(self), of(other));
        }
        for key in self.contradictions(other) {
            tell(key, self.to_state.line(key), other.to_state.line(key));
        }
        if self.wide != other.wide {
            differs.push("what its headers state of dates or points".into());
        }
        differs
    }
}
