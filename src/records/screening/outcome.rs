/*! In or out of tolerance as found: by the numbers where there are numbers.

A stated outcome counts where no value or no tolerance was kept. Where the
numbers contradict it, the numbers win and a warning says so: the tolerance of
today's register may not be the one that the person judged by. Where the newest check or
a row's own limits are contradicted, the decision asks for a person.
*/

use crate::records::date;
use crate::records::{Event, Histories, History, Outcome, Warning};
use crate::words::and_more;
use rayon::prelude::*;

/// The outcomes of one history, and what its record says against itself.
struct Settled {
    outcomes: Vec<Outcome>,
    contradiction: Option<Contradiction>,
}

/// What a record says against itself in words, and whether a person must settle it.
struct Contradiction {
    words: String,
    asks: bool,
}

/// Settles every outcome; returns one warning a history that contradicts itself, with that history.
pub(crate) fn settle(histories: &mut Histories) -> Vec<(usize, Warning)> {
    let settled: Vec<Settled> = (0..histories.len())
        .into_par_iter()
        .with_min_len(256)
        .map(|index| settle_one(&histories.get(index)))
        .collect();
    let mut warnings = Vec::new();
    histories.columns.outcome.clear();
    for (index, (item, settled)) in histories.items.iter_mut().zip(settled).enumerate() {
        histories.columns.outcome.extend(settled.outcomes);
        if let Some(Contradiction { words, asks }) = settled.contradiction {
            warnings.push((index, Warning::new(item.name(), &words)));
            item.contradiction = asks.then_some(words);
        }
    }
    warnings
}

fn settle_one(history: &History<'_>) -> Settled {
    let mut contradictions = Vec::new();
    let outcomes: Vec<Outcome> = (0..history.len())
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
    // The register's tolerance may be younger than an old check: that is no slip of the record.
    let last = |i: &usize| history.date[*i].floor() == last_day(history);
    let own = |i: &usize| !(history.lower[*i].is_nan() && history.upper[*i].is_nan());
    let asks = contradictions.iter().any(|i| last(i) || own(i));
    let contradiction = match contradictions.first() {
        Some(&i) => Some(Contradiction {
            words: against_numbers(history, i, contradictions.len() - 1),
            asks,
        }),
        None => {
            opposed_on_last_day(history, &outcomes).map(|words| Contradiction { words, asks: true })
        }
    };
    Settled {
        outcomes,
        contradiction,
    }
}

fn last_day(history: &History<'_>) -> f64 {
    history.date.last().map_or(f64::NAN, |day| day.floor())
}

fn against_numbers(history: &History<'_>, i: usize, more: usize) -> String {
    let (stated, counted) = match history.outcome[i] {
        Outcome::In => ("in", "out of"),
        _ => ("out of", "in"),
    };
    format!(
        "the record of {} says {stated} tolerance, its numbers say {counted} tolerance; the numbers count{}",
        date::iso(history.date[i]),
        and_more(more)
    )
}

/// A fail and a pass stated of the last day, with nothing done between them.
fn opposed_on_last_day(history: &History<'_>, outcomes: &[Outcome]) -> Option<String> {
    let day = last_day(history);
    let rows = (0..history.len()).filter(|i| history.date[*i].floor() == day);
    let stated = rows.filter(|i| history.outcome[*i] != Outcome::Unknown);
    let rows: Vec<usize> = stated.collect();
    let untouched = rows.iter().all(|i| history.happened(*i) == Event::None);
    let says = |outcome| rows.iter().any(|i| outcomes[*i] == outcome);
    (untouched && says(Outcome::In) && says(Outcome::Out)).then(|| {
        format!(
            "the records of {} say both out of tolerance and in tolerance, and of nothing done between: both are kept",
            date::iso(day)
        )
    })
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
