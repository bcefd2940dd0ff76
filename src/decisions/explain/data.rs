/*! The data behind a decision, in words: checks, outcomes, tolerance, segments. */

use crate::drift::series::readings::fill_readings;
use crate::intervals::Evidence;
use crate::records::{DAYS_PER_YEAR, Outcome};
use crate::section::SectionView;
use crate::words::{count, date, figure, resolved};

/// How many checks of what kind, what tolerance, what uncertainty.
pub(crate) fn data_used(evidence: &Evidence<'_>) -> SectionView {
    let history = &evidence.history;
    let item = history.item;
    let ends = (history.date.first(), history.date.last());
    let span = match ends {
        (Some(first), Some(last)) => format!(" from {} to {}", date(*first), date(*last)),
        _ => String::new(),
    };
    let judged: Vec<Outcome> = (0..history.len()).map(|i| evidence.outcome(i)).collect();
    let number = |outcome| judged.iter().filter(|o| **o == outcome).count();
    let valued = history.as_found.iter().filter(|v| v.is_finite()).count();
    let with_u = history.u.iter().filter(|u| u.is_finite()).count();
    let mut paragraphs = vec![
        format!(
            "{}{span}: {valued} with a value, {with_u} of them with a stated uncertainty.",
            count(history.len(), "check")
        ),
        format!(
            "Found in tolerance {}, out of tolerance {}, not known {}.",
            number(Outcome::In),
            number(Outcome::Out),
            number(Outcome::Unknown)
        ),
    ];
    paragraphs.push(tolerance_words(evidence));
    let of_that_day = |row: &f64| row.floor() == evidence.last_calibration.floor();
    let from = match item.last_calibration {
        Some(_) if evidence.history.date.iter().any(of_that_day) => "the register",
        Some(_) => {
            "the register (no row of the records is of that day: what it found and left is not known)"
        }
        None => "the checks",
    };
    paragraphs.push(format!(
        "The interval counts from the calibration of {}, by {from}; the as-of date is {}.",
        date(evidence.last_calibration),
        date(evidence.as_of)
    ));
    SectionView::of("Data used", paragraphs)
}

fn tolerance_words(evidence: &Evidence<'_>) -> String {
    let unit = evidence.history.item.unit.as_str();
    let Some(limits) = evidence.tolerance else {
        return "No tolerance was given.".into();
    };
    let words = limits.words(["", unit]);
    let colon = if limits.is_one_sided() { ":" } else { "" };
    format!("Tolerance of the error{colon} {words}.")
}

/// Why a fit has more readings than the record has checks, where it has.
pub(crate) fn as_left_words(evidence: &Evidence<'_>) -> String {
    let mut readings = Vec::new();
    fill_readings(&evidence.history, evidence.axis, &mut readings);
    let left = readings.iter().filter(|reading| reading.as_left).count();
    match left > 0 && readings.len() == evidence.fit.readings as usize {
        true => format!(" ({} as found, {left} as left)", readings.len() - left),
        false => String::new(),
    }
}

/// The stretches between events, oldest first.
pub(crate) fn segments(evidence: &Evidence<'_>) -> SectionView {
    let history = &evidence.history;
    let mut readings = Vec::new();
    fill_readings(history, evidence.axis, &mut readings);
    let rows: Vec<Vec<String>> = readings
        .chunk_by(|a, b| a.segment == b.segment)
        .filter_map(|segment| {
            let (first, last) = (segment.first()?, segment.last()?);
            let opened = if first.segment == 0 {
                "start of the record".to_string()
            } else {
                history.happened(first.check as usize).word().to_string()
            };
            Some(vec![
                (first.segment + 1).to_string(),
                opened,
                date(history.date[first.check as usize]),
                date(history.date[last.check as usize]),
                segment.len().to_string(),
                resolved(first.value, first.u),
                format!("{} {}", resolved(last.value, last.u), history.item.unit),
            ])
        })
        .collect();
    let years = (evidence.as_of - evidence.last_calibration) / DAYS_PER_YEAR;
    let words = format!(
        "{} {} years have passed since the last calibration.",
        match rows.len() {
            0 => "No values were kept: there is no level to follow.",
            1 => "No event breaks the record: it is one segment.",
            _ =>
                "Each event opens a segment with a level of its own; a repair, replacement, annealing or shock also a drift of its own.",
        },
        figure(years, "")
    );
    SectionView::of("Segments", [words]).table(
        "segment | opened by | from | to | readings | first | last",
        rows,
    )
}
