/*! In or out of tolerance as found: by the numbers where there are numbers.

A stated outcome counts where no value or no tolerance was kept. Where the
numbers contradict it, the numbers win and a warning says so: the tolerance of
today's register may not be the one that the person judged by.
*/

use crate::records::date;
use crate::records::history::label;
use crate::records::{Histories, History, Outcome, Warning};
use rayon::prelude::*;

/// Settles every outcome; returns one warning a history that contradicts itself.
pub(crate) fn settle(histories: &mut Histories) -> Vec<Warning> {
    let settled: Vec<(Vec<Outcome>, Option<Warning>)> = (0..histories.len())
        .into_par_iter()
        .with_min_len(256)
        .map(|index| settle_one(&histories.get(index)))
        .collect();
    let mut warnings = Vec::new();
    histories.columns.outcome.clear();
    for (outcomes, warning) in settled {
        histories.columns.outcome.extend(outcomes);
        warnings.extend(warning);
    }
    warnings
}

fn settle_one(history: &History<'_>) -> (Vec<Outcome>, Option<Warning>) {
    let mut contradictions = Vec::new();
    let outcomes = (0..history.len())
        .map(|i| {
            let stated = history.outcome[i];
            let computed = computed(history, i);
            if computed == Outcome::Unknown {
                return stated;
            }
            if stated != Outcome::Unknown && stated != computed {
                contradictions.push(i);
            }
            computed
        })
        .collect();
    let warning = contradictions.first().map(|&i| {
        let (stated, counted) = match history.outcome[i] {
            Outcome::In => ("in", "out of"),
            _ => ("out of", "in"),
        };
        let words = format!(
            "the record of {} says {stated} tolerance, its numbers say {counted} tolerance; the numbers count{}",
            date::iso(history.date[i]),
            and_more(contradictions.len() - 1)
        );
        Warning::new(label(history.item), words)
    });
    (outcomes, warning)
}

fn computed(history: &History<'_>, i: usize) -> Outcome {
    match history.tolerance_at(i) {
        Some(tolerance) if history.as_found[i].is_finite() => {
            if tolerance.contains(history.as_found[i]) {
                Outcome::In
            } else {
                Outcome::Out
            }
        }
        _ => Outcome::Unknown,
    }
}

/// " (and 3 more)", or nothing.
pub(crate) fn and_more(count: usize) -> String {
    match count {
        0 => String::new(),
        n => format!(" (and {n} more)"),
    }
}
