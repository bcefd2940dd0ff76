/*! Year, month and day that stand in three columns: they are looked at as one column of dates. */

use crate::records::cells::column::Column;
use crate::records::date::iso;
use crate::records::date::parts::{day_of_month, day_of_parts, month_of, year_of};
use crate::records::guess::dates::looks_like_date;
use crate::records::guess::doubt::{Answer, DATE_FROM};
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::folded;
use crate::records::guess::sample::Sample;
use crate::records::words::date_part_words;
use crate::settings::toml_text::quoted;

/// Whether a cell can be a part of a date.
type Fits = fn(&str) -> bool;

/// The places of the columns of the year, the month and the day.
#[derive(Debug, Clone, Copy)]
pub(crate) struct DateParts([usize; 3]);

impl DateParts {
    /// The only columns that say by header and cells that they are the parts of a date, where no column holds dates.
    pub(crate) fn of(samples: &[Sample]) -> Option<Self> {
        let holds: [(&str, Fits); 3] = [
            ("year", |text| year_of(text).is_some()),
            ("month", |text| month_of(text).is_some()),
            ("day", |text| day_of_month(text).is_some()),
        ];
        let dates =
            |sample: &Sample| sample.values().next().is_some() && sample.mostly(looks_like_date);
        if samples.iter().any(dates) {
            return None;
        }
        let mut places = [0; 3];
        for ((name, fits), place) in holds.into_iter().zip(&mut places) {
            let named = |sample: &Sample| date_part_words(name).contains(&folded(&sample.header));
            let filled = |sample: &Sample| sample.values().next().is_some();
            let mut own = (0..samples.len()).filter(|i| {
                let sample = &samples[*i];
                named(sample) && filled(sample) && sample.mostly(fits)
            });
            *place = own.next()?;
            if own.next().is_some() {
                return None;
            }
        }
        Some(DateParts(places))
    }

    /// The columns with one of dates in place of the three.
    pub(crate) fn joined(self, samples: &[Sample]) -> Vec<Sample> {
        let parts = self.0.map(|place| &samples[place]);
        let mut dates = Sample::new(&self.name(samples));
        let rows = parts.iter().flat_map(|sample| sample.by_row());
        let last = rows.map(|(row, _)| row + 1).max().unwrap_or(0);
        let columns = parts.map(|sample| {
            let mut cells = vec![""; last as usize];
            for (row, text) in sample.by_row() {
                cells[row as usize] = text;
            }
            cells
        });
        let [years, months, days] = &columns;
        for ((year, month), day) in years.iter().zip(months).zip(days) {
            let day = day_of_parts([year, month, day]);
            dates.add(&day.map_or(String::new(), iso));
        }
        let first = self.0.into_iter().min().unwrap_or(0);
        let mut joined = Vec::with_capacity(samples.len());
        for (place, sample) in samples.iter().enumerate() {
            if place == first {
                joined.push(dates.clone());
            }
            if !self.0.contains(&place) {
                joined.push(sample.clone());
            }
        }
        joined
    }

    /// States the columns in place of the one that stands for them.
    pub(crate) fn state(self, samples: &[Sample], guess: &mut Guess) {
        let name = self.name(samples);
        if guess.header(Column::Date) != Some(&name) {
            return;
        }
        guess.let_go(Column::Date);
        guess.ignored.retain(|header| *header != name);
        let headers = self.0.map(|place| quoted(&samples[place].header));
        let list = format!("[{}]", headers.join(", "));
        guess.to_check.push(format!(
            "Year, month and day of each check stand in columns of their own: date_from = {list}."
        ));
        guess.take(&Answer::State(DATE_FROM, list));
    }

    fn name(self, samples: &[Sample]) -> String {
        self.0.map(|place| samples[place].header.trim()).join(" ")
    }
}
