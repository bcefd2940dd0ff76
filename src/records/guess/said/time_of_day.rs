/*! A column of times of day beside that of the days: readings of one day follow each other by it. */

use crate::records::cells::column::Column;
use crate::records::date::time_of_day::time_of_day;
use crate::records::guess::apart::same_days::SameDays;
use crate::records::guess::doubt::Answer;
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::folded;
use crate::records::guess::sample::Sample;
use crate::records::words::time_words;
use crate::settings::toml_text::quoted;
use crate::words::quoted_list;

/// Reads the only column of times, where the dates state none and an item has several rows a day; names them where
/// there are several, such as the begin and the end of a check, or where the header says nothing of the time of day.
pub(crate) fn about_time_of_day(samples: &[Sample], guess: &mut Guess) {
    let Some(dates) = guess.sample(samples, Column::Date) else {
        return;
    };
    let stated = guess.wide.is_some() || dates.values().any(|text| text.contains(':'));
    let points = [Column::Point, Column::Nominal];
    if stated || SameDays::of(samples, guess, &points).is_none() {
        return;
    }
    let times = |sample: &&Sample| {
        sample.values().next().is_some() && sample.mostly(|text| time_of_day(text).is_some())
    };
    let found = guess.not_read(samples).into_iter().filter(times);
    let found: Vec<String> = found.map(|sample| sample.header.clone()).collect();
    match found.as_slice() {
        [] => tell_unread(samples, guess),
        [header] if time_words("of_day").contains(&folded(header)) => {
            guess.take(&Answer::State("time_in", quoted(header)));
            guess.ignored.retain(|other| other != header);
            guess.to_check.push(format!(
                "\"{header}\" states the time of day of each check, by which those of one day follow each other (time_in)."
            ));
        }
        several => guess.to_check.push(format!(
            "Not read, though it may state when on its day each check was: {}. Checks of one day follow each other as their rows do; time_in under [checks] names the column that tells.",
            quoted_list(several)
        )),
    }
}

/// Names a column that is headed as times of day, some of which are none.
fn tell_unread(samples: &[Sample], guess: &mut Guess) {
    let named = |sample: &&&Sample| time_words("of_day").contains(&folded(&sample.header));
    let unread = guess.not_read(samples);
    let told = unread.iter().find(named).and_then(|sample| {
        let other = sample.values().find(|text| time_of_day(text).is_none())?;
        let some = sample.values().any(|text| time_of_day(text).is_some());
        some.then(|| {
            format!(
                "\"{}\" is not read, since \"{other}\" is no time of day: checks of one day follow each other as their rows do. Write times from 00:00 to 23:59.",
                sample.header
            )
        })
    });
    guess.to_check.extend(told);
}
