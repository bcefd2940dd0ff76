/*! Which headers mean an interval, and in which unit it is stated: by the header, else by its size. */

use crate::records::cells::unit::length_of_time::names;
use crate::records::date::DateFormat;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::headers::folded;
use crate::records::guess::sample::Sample;
use crate::records::own_facts::differ;
use crate::records::settings::words::TimeUnit;
use crate::records::words::{plain, register_words};
use std::collections::BTreeMap;

/// The setting that states the unit of intervals.
pub(crate) const INTERVAL_IN: &str = "interval_in";

/// What is known of a unit.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum UnitOfTime {
    Stated(TimeUnit),
    /// The likely ones, the likeliest first.
    Open(Vec<TimeUnit>),
}

/// The unit that a header states.
pub(crate) fn unit_of_time(header: &str) -> Option<TimeUnit> {
    let inside = header.split(['[', '(', '（']).nth(1).unwrap_or("");
    let inside = plain(inside);
    let words = folded(header);
    // A letter alone is a unit in brackets only.
    let long = |word: &&str| word.chars().count() > 2 || !word.is_ascii();
    let says = |unit: &TimeUnit| {
        let known = |word: &str| names(*unit, word);
        inside.split(' ').any(known) || words.split(' ').filter(long).any(known)
    };
    TimeUnit::ALL.into_iter().find(says)
}

/// Whether a header means the interval in use, or the date on which it ends: "Next due", "Interval (months)".
pub(crate) fn means_interval(header: &str) -> bool {
    let header = plain(header);
    let lists = ["next_due", "interval_days"].map(register_words);
    let own = |header: &str| {
        lists
            .iter()
            .any(|words| words.iter().any(|word| word == header))
    };
    let is_time = |word: &str| TimeUnit::ALL.into_iter().any(|unit| names(unit, word));
    let timed = header.rsplit_once(' ').filter(|(_, unit)| is_time(unit));
    own(&header) || timed.is_some_and(|(before, _)| own(before))
}

impl UnitOfTime {
    /// The setting that states it, as a line of the draft, and the question `name` where it is open; `which` are
    /// the words for the column.
    pub(crate) fn drafted(self, name: &'static str, which: &str) -> (String, Option<Doubt>) {
        let value = |unit: TimeUnit| format!("\"{}\"", unit.word());
        let units = match self {
            UnitOfTime::Stated(unit) => return (value(unit), None),
            UnitOfTime::Open(units) => units,
        };
        // The likeliest of them stands in the draft until that is answered.
        let likeliest = units.first().copied().unwrap_or_default();
        let words = format!(
            "{which} says in no unit how long it is: taken in {}.",
            likeliest.word()
        );
        let doubt = Doubt::new(name, words).settled_by(INTERVAL_IN);
        let doubt = units.into_iter().fold(doubt, |doubt, unit| {
            doubt.or(unit.word(), Answer::State(INTERVAL_IN, value(unit)))
        });
        (value(likeliest), Some(doubt))
    }

    /// The unit in which the lengths are those of the times between two dates of their rows, where there is
    /// but one; dates are written as `format` says.
    pub(crate) fn by_dates(lengths: &Sample, dates: [&Sample; 2], format: &str) -> Option<Self> {
        let format = DateFormat::from_setting(format);
        let [from, to] = dates.map(|sample| {
            let days = sample.by_row();
            let days = days.filter_map(|(row, text)| Some((row, format.parse(text)?)));
            days.collect::<BTreeMap<u32, f64>>()
        });
        let rows = lengths.by_row().filter_map(|(row, text)| {
            let length = text.replace(',', ".").parse::<f64>().ok()?;
            Some((length, to.get(&row)? - from.get(&row)?))
        });
        let rows: Vec<(f64, f64)> = rows.collect();
        let fits = |unit: &TimeUnit| {
            let mut rows = rows.iter();
            rows.all(|(length, days)| !differ(unit.days(*length), *days))
        };
        let mut units = TimeUnit::ALL.into_iter().filter(fits);
        match (units.next(), units.next()) {
            (Some(unit), None) => Some(Self::Stated(unit)),
            _ => None,
        }
    }

    /// The unit by the size of intervals alone.
    pub(crate) fn by_size<'a>(values: impl Iterator<Item = &'a str>) -> Self {
        /// Longest interval in months that is likely: ten years.
        const MONTHS: f64 = 120.0;
        /// Longest interval in years that is likely.
        const YEARS: f64 = 10.0;
        let lengths = values.filter_map(|value| value.replace(',', ".").parse::<f64>().ok());
        let (least, most) = lengths.fold((f64::INFINITY, 0.0), |(least, most), length: f64| {
            (length.min(least), length.max(most))
        });
        let [days, _, months, years] = TimeUnit::ALL;
        match (least, most) {
            (least, _) if least > MONTHS => Self::Stated(days),
            (_, most) if most > MONTHS => Self::Open(vec![days, months]),
            (_, most) if most > YEARS => Self::Open(vec![months, days]),
            _ => Self::Open(vec![years, months, days]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_interval_is_meant_by_its_length_or_its_end() {
        for header in [
            "Next due",
            "DUE DATE",
            "Interval (months)",
            "Kalibrierintervall [Monate]",
            "Fällig am",
        ] {
            assert!(means_interval(header), "{header}");
        }
        for header in [
            "Date",
            "Frequency (Hz)",
            "Point",
            "Purchased",
            "Due to",
            "months",
        ] {
            assert!(!means_interval(header), "{header}");
        }
    }

    #[test]
    fn a_header_states_the_unit_of_its_intervals() {
        for (header, unit) in [
            ("Interval [months]", Some(TimeUnit::Months)),
            ("interval_days", Some(TimeUnit::Days)),
            ("Intervall (Monate)", Some(TimeUnit::Months)),
            ("Périodicité (mois)", Some(TimeUnit::Months)),
            ("Kalibrierintervall in Jahren", Some(TimeUnit::Years)),
            ("Intervalle (an)", Some(TimeUnit::Years)),
            ("Intervalle d'étalonnage", None),
            ("Interval", None),
        ] {
            assert_eq!(unit_of_time(header), unit, "{header}");
        }
    }

    #[test]
    fn dates_tell_the_unit_of_the_interval_between_them() {
        let sample = |cells: &[&str]| {
            let mut sample = Sample::new("");
            cells.iter().for_each(|cell| sample.add(cell));
            sample
        };
        let from = sample(&["01/03/2025", "01/03/2025", ""]);
        let to = sample(&["01/03/2026", "28/02/2027", "01/01/2026"]);
        let by =
            |lengths: &[&str]| UnitOfTime::by_dates(&sample(lengths), [&from, &to], "%d/%m/%Y");
        let stated = |unit| Some(UnitOfTime::Stated(unit));
        assert_eq!(by(&["12", "24", "6"]), stated(TimeUnit::Months));
        assert_eq!(by(&["1", "2", "1"]), stated(TimeUnit::Years));
        assert_eq!(by(&["365", "", ""]), stated(TimeUnit::Days));
        // Rows that contradict each other, and none with all three.
        assert_eq!(by(&["12", "1", ""]), None);
        assert_eq!(by(&["", "", "12"]), None);
    }

    #[test]
    fn without_a_unit_only_lengths_that_no_other_could_be_are_days() {
        let by = |values: &[&str]| UnitOfTime::by_size(values.iter().copied());
        assert_eq!(by(&["365", "730"]), UnitOfTime::Stated(TimeUnit::Days));
        let first = |found: UnitOfTime| match found {
            UnitOfTime::Open(units) => units[0],
            UnitOfTime::Stated(unit) => panic!("{unit:?}"),
        };
        assert_eq!(first(by(&["12", "24"])), TimeUnit::Months);
        assert_eq!(first(by(&["1", "2"])), TimeUnit::Years);
        assert_eq!(first(by(&["90", "365"])), TimeUnit::Days);
    }
}
