/*! By which format the dates of headers read, and what they leave open. */

use crate::records::date::iso;
use crate::records::date::period::Period;
use crate::records::date::whole_period::EndDay;
use crate::records::guess::dates::PLAUSIBLE;
use crate::records::guess::doubt::{Answer, Doubt, Typed};
use crate::records::reading::wide::{WideSettings, dated_parts};

pub(super) fn settings_of(format: &str) -> WideSettings {
    WideSettings {
        date_format: format.to_string(),
        ..WideSettings::default()
    }
}

/// Dates of the headers that read by `format`, each with what stands beside it.
pub(super) fn dates_by(format: &str, dated: &[&String]) -> Vec<(f64, String)> {
    let settings = settings_of(format);
    let date = |text: &str| settings.date(text).filter(|day| PLAUSIBLE.contains(day));
    let parts = dated.iter().filter_map(|header| dated_parts(header, date));
    parts.collect()
}

/// Another of the formats that reads the same headers as other dates, with the same beside them.
pub(super) fn mirrored<'f>(
    formats: &[&'f str],
    parts: &[(f64, String)],
    dated: &[&String],
) -> Option<&'f str> {
    let mirrors = |other: &&str| {
        let others = dates_by(other, dated);
        let same_words = others.iter().zip(parts).all(|(a, b)| a.1 == b.1);
        others.len() == parts.len()
            && same_words
            && others.iter().zip(parts).any(|(a, b)| a.0 != b.0)
    };
    formats.iter().copied().find(mirrors)
}

/// The question by which of two formats the headers read.
pub(super) fn two_readings(best: &str, other: &str, example: &str) -> Doubt {
    let words = format!(
        "The dates of the headers read as \"{best}\" and as \"{other}\" alike (date_format under [checks.wide])."
    );
    let read = |format: &str| {
        let settings = settings_of(format);
        let day = dated_parts(example, |text| settings.date(text));
        let day = day.map_or(String::new(), |(day, _)| iso(day));
        format!("\"{example}\" is {day}")
    };
    Doubt::new("header_dates", words)
        .or(read(best), Answer::HeaderDates(best.to_string()))
        .or(read(other), Answer::HeaderDates(other.to_string()))
}

/// The question which day of their quarter, week or half-year the checks of such headers are dated by.
pub(super) fn day_of_periods<'f>(formats: impl Iterator<Item = &'f str>, example: &str) -> Doubt {
    let periods = formats.filter_map(|format| {
        let named = |period: &Period| EndDay::First.of(period.name()) == format;
        Period::ALL.into_iter().find(named)
    });
    let periods: Vec<Period> = periods.collect();
    let what: Vec<&str> = periods.iter().map(|period| period.several()).collect();
    let words = format!(
        "The headers state {} and no day: the first day is taken, by which nothing comes due later than it may.",
        what.join(" or ")
    );
    let settings = periods
        .iter()
        .flat_map(|period| EndDay::ALL.map(|day| day.of(period.name())));
    settings.fold(Doubt::new("header_days", words), |doubt, format| {
        let settings = settings_of(&format);
        let day = dated_parts(example, |text| settings.date(text));
        let day = day.map_or(String::new(), |(day, _)| iso(day));
        doubt.or(
            format!("\"{example}\" is {day} (date_format = \"{format}\")"),
            Answer::HeaderDates(format),
        )
    })
}

/// The question on which day of its month or year a check was made; `None` where headers state it.
pub(super) fn unstated_days(settings: &WideSettings) -> Option<Doubt> {
    let open = settings.leaves_open()?;
    let unstated = settings.unstated.clone();
    let words = format!(
        "The headers do not state {open}: every check is dated by unstated = \"{unstated}\" (month-day) under [checks.wide]."
    );
    let doubt = Doubt::new("header_days", words)
        .or(format!("{unstated} of each"), Answer::Unstated(unstated));
    Some(Doubt {
        typed: Some(Typed::MonthDay),
        ..doubt
    })
}
