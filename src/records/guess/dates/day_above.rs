/*! The day that a cell above a table states for all of its checks, as certificates do. */

use super::{Headed, date_format};
use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, DATE_CELL, Doubt};
use crate::records::guess::draft::Guess;

/// Takes the day of a cell above the table where no column has dates, and asks which cell states it: the day of
/// the checks, or that of the certificate.
pub(crate) fn about_day_above(days: &[(String, String)], today: f64, guess: &mut Guess) {
    if guess.reads(Column::Date) || guess.dates_stand_elsewhere() || !guess.reads(Column::AsFound) {
        return;
    }
    let dated = days.iter().filter_map(|(label, text)| {
        let cell = Headed {
            header: label,
            values: vec![text],
            latest: today,
        };
        let found = date_format(&cell)?;
        Some((label, text, found))
    });
    let dated: Vec<_> = dated.collect();
    let Some((label, text, found)) = dated.first() else {
        return;
    };
    guess.date_format.clone_from(&found.format);
    guess.doubts.extend(found.doubt.clone());
    let by = |label: &str| Answer::State(DATE_CELL, toml::Value::from(label).to_string());
    guess.take(&by(label));
    let words = format!(
        "No column holds dates: all checks of a table are taken to be of the day that its cell \"{label}\" states, here \"{text}\" (date_cell)."
    );
    let doubt = Doubt::new(DATE_CELL, words).or(format!("yes, by \"{label}\""), Answer::AsTaken);
    let others = dated.iter().skip(1);
    guess
        .doubts
        .push(others.fold(doubt, |doubt, (label, text, _)| {
            doubt.or(format!("no, by \"{label}\": {text}"), by(label))
        }));
}
