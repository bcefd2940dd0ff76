/*! Columns that tell of the item beside the reading: its group, the interval in use, the next due date. */

use crate::records::cells::column::Column;
use crate::records::cells::unit::length_of_time::with_unit;
use crate::records::date::DateFormat;
use crate::records::guess::dates::FoundFormat;
use crate::records::guess::dates::length_of_time::{INTERVAL_IN, UnitOfTime, unit_of_time};
use crate::records::guess::doubt::{Answer, Choice, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::folded;
use crate::records::guess::sample::Sample;
use crate::records::words::words;
use crate::settings::toml_text::quoted;
use std::collections::{BTreeMap, BTreeSet};

/// Words for an interval that mean other quantities too: only with a unit of time are they intervals.
/// Common practice, no source.
const AMBIGUOUS: [&str; 6] = ["frequency", "period", "cycle", "okres", "周期", "termijn"];

/// True where the header is one of the words for `column`, and not merely holds one of them: "Sensor type
/// note" names no group.
pub(crate) fn is_named(header: &str, column: Column) -> bool {
    let header = folded(header);
    words(column).contains(&header)
}

/// True where the groups are fewer than the instruments, each of which has one; a row may leave it open.
pub(crate) fn groups_items(groups: &Sample, instruments: &Sample) -> bool {
    let group_of: BTreeMap<u32, &str> = groups.by_row().collect();
    let mut of: BTreeMap<&str, Option<&str>> = BTreeMap::new();
    for (row, item) in instruments.by_row() {
        let known = of.entry(item).or_default();
        match (*known, group_of.get(&row)) {
            (Some(known), Some(group)) if known != *group => return false,
            (None, Some(group)) => *known = Some(group),
            _ => (),
        }
    }
    let distinct: BTreeSet<&Option<&str>> = of.values().collect();
    !distinct.contains(&None) && distinct.len() < of.len()
}

/// True where a column of numbers is one of intervals: by its header, or by the units in its cells.
pub(crate) fn is_interval(sample: &Sample) -> bool {
    let ambiguous = AMBIGUOUS.contains(&folded(&sample.header).as_str());
    let own_units = sample.mostly(|text| with_unit(text).is_some());
    let number = |text: &str| {
        let number = with_unit(text).map_or(text, |(number, _)| number);
        let length = number.replace(',', ".").parse::<f64>();
        length.is_ok_and(|length| length > 0.0)
    };
    let stated = unit_of_time(&sample.header).is_some() || own_units;
    sample.mostly(number) && (stated || !ambiguous)
}

/// Says what was taken for facts of the items, and asks for the unit of an interval that states none.
pub(crate) fn about_own_facts(samples: &[Sample], guess: &mut Guess) {
    if let Some(header) = header_of(guess, Column::Group) {
        guess.to_check.push(format!(
            "\"{header}\" is taken for the group: items of one group lend each other what is known of their drift (group = false under columns switches it off)."
        ));
    }
    let Some(sample) = guess.sample(samples, Column::IntervalDays) else {
        return;
    };
    let header = sample.header.clone();
    let bare = || sample.values().filter(|text| with_unit(text).is_none());
    let unit = match unit_of_time(&header) {
        Some(unit) => UnitOfTime::Stated(unit),
        None if bare().next().is_none() => return,
        None => by_next_due(samples, guess).unwrap_or_else(|| UnitOfTime::by_size(bare())),
    };
    let (value, doubt) = unit.drafted("checks_interval", &format!("\"{header}\""));
    guess.to_state.set(INTERVAL_IN, value);
    guess.doubts.extend(doubt);
}

/// States the format of the next due dates where it is not that of the checks.
pub(crate) fn about_next_due_format(
    samples: &[Sample],
    dates: &[Option<FoundFormat>],
    guess: &mut Guess,
) {
    let header = header_of(guess, Column::NextDue);
    let place = header.and_then(|header| samples.iter().position(|s| s.header == header));
    let found =
        place.and_then(|i| other_format(&samples[i], dates[i].as_ref()?, &guess.date_format));
    let Some(found) = found else {
        return;
    };
    guess.take(&Answer::State("next_due_format", quoted(&found.format)));
    guess.doubts.extend(about_months(&found, "next_due_format"));
}

/// The format `found` of a column of dates that `usual` does not read.
pub(crate) fn other_format(
    sample: &Sample,
    found: &FoundFormat,
    usual: &str,
) -> Option<FoundFormat> {
    let usual = DateFormat::from_setting(usual);
    let unread = sample.values().any(|text| usual.parse(text).is_none());
    (unread && !found.format.is_empty()).then(|| found.clone())
}

/// The doubt of a format of the next due dates, whose answers state its setting.
pub(crate) fn about_months(found: &FoundFormat, setting: &'static str) -> Option<Doubt> {
    let doubt = found.doubt.clone()?;
    let own = |choice: Choice| match choice.answer {
        Answer::Dates(format) => Choice {
            answer: Answer::State(setting, quoted(&format)),
            ..choice
        },
        _ => choice,
    };
    Some(Doubt {
        name: "next_due_format",
        setting,
        words: doubt.words.replace("date_format", setting),
        choices: doubt.choices.into_iter().map(own).collect(),
        ..doubt
    })
}

/// The unit of the intervals by the dates of the checks and those on which the next are due.
fn by_next_due(samples: &[Sample], guess: &Guess) -> Option<UnitOfTime> {
    let sample = |column| guess.sample(samples, column);
    let dates = [sample(Column::Date)?, sample(Column::NextDue)?];
    UnitOfTime::by_dates(sample(Column::IntervalDays)?, dates, &guess.date_format)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(header: &str, values: &[&str]) -> Sample {
        let mut sample = Sample::new(header);
        values.iter().for_each(|value| sample.add(value));
        sample
    }

    #[test]
    fn a_group_is_one_for_each_item_and_shared_by_some() {
        let items = sample("id", &["A", "A", "B", "C"]);
        let groups = |values: &[&str]| groups_items(&sample("model", values), &items);
        assert!(groups(&["x", "x", "x", "y"]));
        // One group an item lends nothing, and what changes from row to row is none of the item.
        assert!(!groups(&["x", "x", "y", "z"]));
        assert!(!groups(&["found", "left", "found", "found"]));
        assert!(!groups(&["x", "x", "x"]));
        // A row that leaves it open, where the item has it in another; an item without one.
        assert!(groups(&["", "x", "x", "y"]));
        assert!(!groups(&["x", "x", "", "y"]));
    }

    #[test]
    fn a_frequency_is_an_interval_only_in_a_unit_of_time() {
        assert!(is_interval(&sample("Interval", &["12", "24"])));
        assert!(is_interval(&sample("Frequency (months)", &["12", "6"])));
        assert!(is_interval(&sample("Frequency", &["12 months", "1 a"])));
        assert!(!is_interval(&sample("Frequency", &["50", "1000"])));
        assert!(!is_interval(&sample("Interval", &["yearly", "yearly"])));
        assert!(is_named("Interval (months)", Column::IntervalDays));
        assert!(!is_named("Interval remark", Column::IntervalDays));
    }
}
