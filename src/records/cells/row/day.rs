/*! The day of a row, with its time where a column of its own states it. */

use super::rules::{Fields, Problem, Rules};
use crate::records::cells::column::Column;
use crate::records::cells::field::Field;
use crate::records::date;
use crate::records::date::DateFormat;
use crate::records::date::parts::day_of_parts;
use crate::records::date::serial::System;
use crate::records::date::time_of_day::time_of_day;
use crate::records::date::whole_period::{EndDay, dayless};

impl Rules<'_> {
    /// The day of a row, which is none after the as-of date.
    pub(super) fn date(&self, fields: &Fields<'_>) -> Result<f64, Problem> {
        let field = fields[Column::Date];
        let date = match (field.is_blank(), fields.date_parts, self.date) {
            (true, Some(parts), _) => Some(from_parts(parts)?),
            (true, None, None) => return Err(Problem::new(Column::Date, "no date")),
            (true, None, Some(above)) => Some(above),
            (false, ..) => field.date(&self.dates),
        };
        let Some(date) = date else {
            return Err(Problem::new(
                Column::Date,
                unreadable_date(field, &self.dates),
            ));
        };
        if date.floor() > self.as_of {
            let reason = format!("after the as-of date {}", date::iso(self.as_of));
            return Err(Problem {
                later: true,
                ..Problem::new(Column::Date, reason)
            });
        }
        self.at_its_time(date, fields.time)
    }

    /// A day with the time of day that a column of its own states.
    fn at_its_time(&self, date: f64, time: Field<'_>) -> Result<f64, Problem> {
        if time.is_blank() {
            return Ok(date);
        }
        let (header, text) = (&self.settings.time_in, time.text());
        let problem = |why: &str| {
            let reason = format!("\"{}\" in \"{header}\": {why}", text.trim());
            Problem::new(Column::Date, reason)
        };
        let Some(time) = time_of_day(&text) else {
            return Err(problem("no time of day, such as 14:05"));
        };
        let own = date - date.floor();
        // A millisecond of a day.
        const SAME: f64 = 1e-8;
        if own > 0.0 && (own - time).abs() > SAME {
            return Err(problem("the date states another time of day"));
        }
        Ok(date.floor() + time)
    }
}

/// The day that year, month and day of a row make.
fn from_parts(parts: [Field<'_>; 3]) -> Result<f64, Problem> {
    let texts = parts.map(Field::text);
    let [year, month, day] = [&texts[0], &texts[1], &texts[2]].map(|text| text.trim());
    if [year, month, day].iter().all(|part| part.is_empty()) {
        return Err(Problem::new(Column::Date, "no date"));
    }
    day_of_parts([year, month, day]).ok_or_else(|| {
        let reason = format!(
            "year \"{year}\", month \"{month}\" and day \"{day}\" (date_from) are no date: a year of four digits, a month by its number or name, and a day of it"
        );
        Problem::new(Column::Date, reason)
    })
}

fn unreadable_date(field: Field<'_>, format: &DateFormat) -> String {
    let text = field.text();
    let [usual, other] =
        System::ALL.map(|system| Some((system.name(), system.parse(text.trim())?)));
    match (usual, other) {
        (Some((name, day)), Some((other, later))) => format!(
            "not a date: a spreadsheet's day number? date_format = \"{name}\" reads it as {}, \"{other}\" as {}",
            date::iso(day),
            date::iso(later)
        ),
        _ => match dayless(text.trim()).first() {
            Some(found) => format!(
                "a {} without a day: write the day, or state date_format = \"{}\" or \"{}\"",
                found.one(),
                EndDay::First.of(found.format),
                EndDay::Last.of(found.format)
            ),
            None => format!("not a date: {}", format.words()),
        },
    }
}
