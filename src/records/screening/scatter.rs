/*! How the repeats scatter of which the readings are means: told for all, and where one row's
scatter by far more than the others of its history, as a slip in one of them does.

A row is compared with the pooled variance of the others by F, its probability multiplied by the
rows that were compared: of equal numbers of repeats this is Cochran's test (ISO 5725-2:1994,
7.3.3, which calls what lies beyond 1 % an outlier; from memory). */

use crate::records::Warning;
use crate::records::cells::batch::Batch;
use crate::records::cells::repeated::Scatter;
use crate::records::cells::sparse::value;
use crate::records::date;
use crate::records::load::group::{Entry, Groups};
use crate::records::screening::findings::DROPPED;
use crate::words::and_more;
use crate::words::{count, figure};
use statrs::distribution::{ContinuousCDF, FisherSnedecor};

/// Probability below which a row's repeats scatter by more than the others' do.
const OUTLIER: f64 = 0.01;

/// Repeats of the rows of one history, pooled.
#[derive(Clone, Copy, Default)]
struct Pooled {
    squares: f64,
    degrees: f64,
}

impl Pooled {
    fn add(&mut self, scatter: &Scatter) {
        let degrees = f64::from(scatter.count) - 1.0;
        self.squares += degrees * scatter.deviation.powi(2);
        self.degrees += degrees;
    }

    fn deviation(self) -> f64 {
        (self.squares / self.degrees).sqrt()
    }
}

/// The check of a history whose repeats scatter far more than those of its others, in words.
fn odd_check(
    rows: &[(Entry, Scatter)],
    pooled: Pooled,
    batches: &[Batch],
    unit: &str,
) -> Option<String> {
    let step = rows.iter().map(|(_, own)| own.step).fold(0.0, f64::max);
    let mut odd = rows
        .iter()
        .filter(|(_, own)| stands_out(own, (pooled, rows.len(), step)));
    let (entry, own) = odd.next()?;
    let batch = &batches[entry.batch as usize];
    Some(format!(
        "the repeats of the check of {} (row {}) scatter with a standard deviation of {}, far more than those of its other checks: is one of them a slip?{}",
        date::iso(entry.date),
        batch.first_row + batch.row[entry.row as usize],
        figure(own.deviation, unit),
        and_more(odd.count())
    ))
}

/// What the repeats of all histories tell; `label` and `unit` are those of a history.
pub(crate) fn warnings_of<'a>(
    groups: &Groups,
    batches: &[Batch],
    history: impl Fn(usize) -> (String, &'a str),
) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if batches.iter().all(|batch| batch.scatter.is_empty()) {
        return warnings;
    }
    // Least and most of the histories, each in its unit.
    let mut all: Vec<(f64, Pooled, usize)> = Vec::new();
    for (index, pair) in groups.offsets.windows(2).enumerate() {
        let entries = groups.entries[pair[0]..pair[1]].iter();
        let scatter = |entry: &Entry| {
            let batch = batches
                .get(entry.batch as usize)
                .filter(|_| entry.batch != DROPPED)?;
            Some((*entry, value(&batch.scatter, entry.row, None)?))
        };
        let rows: Vec<(Entry, Scatter)> = entries.filter_map(scatter).collect();
        let mut pooled = Pooled::default();
        rows.iter().for_each(|(_, scatter)| pooled.add(scatter));
        if pooled.degrees == 0.0 {
            continue;
        }
        all.push((pooled.deviation(), pooled, index));
        let (label, unit) = history(index);
        let words = odd_check(&rows, pooled, batches, unit);
        warnings.extend(words.map(|words| Warning::new(label, words)));
    }
    let by_size = |a: &&(f64, Pooled, usize), b: &&(f64, Pooled, usize)| a.0.total_cmp(&b.0);
    if let (Some(least), Some(most)) = (all.iter().min_by(by_size), all.iter().max_by(by_size)) {
        let of = |(deviation, pooled, index): &(f64, Pooled, usize)| {
            let (label, unit) = history(*index);
            let degrees = count(pooled.degrees as usize, "degree");
            format!(
                "{} ({label}, {degrees} of freedom)",
                figure(*deviation, unit)
            )
        };
        let sizes = match all.len() {
            1 => of(least),
            _ => format!("{} to {}", of(least), of(most)),
        };
        let words = format!(
            "readings are means of repeats in columns; one repeat scatters with a standard deviation of {sizes}, pooled over the checks of a history; it is told and adds nothing to u"
        );
        warnings.insert(0, Warning::new("", words));
    }
    warnings
}

/// True where the repeats of a row scatter beyond all chance among the others of its history, whose
/// `rows` together, with it, scatter as `all` and are on steps of `step`.
fn stands_out(own: &Scatter, (all, rows, step): (Pooled, usize, f64)) -> bool {
    let (mut others, mut mine) = (all, Pooled::default());
    mine.add(own);
    others.squares -= mine.squares;
    others.degrees -= mine.degrees;
    // Values on a grid stand for anything within half a step: its variance is the least (GUM F.2.2.1).
    let least = step * step / 12.0;
    let variance = (others.squares.max(0.0) / others.degrees).max(least);
    let law = FisherSnedecor::new(mine.degrees, others.degrees);
    let chance = law.map_or(1.0, |law| law.sf(mine.squares / mine.degrees / variance));
    chance * (rows as f64) < OUTLIER
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(deviations: &[f64], count: u32, step: f64) -> Vec<bool> {
        let row = |deviation: &f64| Scatter {
            count,
            deviation: *deviation,
            step,
        };
        let rows: Vec<Scatter> = deviations.iter().map(row).collect();
        let mut all = Pooled::default();
        rows.iter().for_each(|own| all.add(own));
        let out = |own| stands_out(own, (all, rows.len(), step));
        rows.iter().map(out).collect()
    }

    /// Cochran's critical value at 1 % of five rows of three repeats is 0.788 (ISO 5725-2:1994,
    /// table 4, from memory).
    #[test]
    fn a_row_stands_out_beyond_cochrans_critical_value() {
        let largest = |share: f64| {
            let other = ((1.0 - share) / 4.0_f64).sqrt();
            of(&[share.sqrt(), other, other, other, other], 3, 0.0)
        };
        assert_eq!(largest(0.80), [true, false, false, false, false]);
        assert_eq!(largest(0.77), [false; 5]);
    }

    #[test]
    fn one_digit_of_the_display_stands_out_nowhere_and_a_slip_does() {
        let digit = 0.01 / 3.0_f64.sqrt();
        assert_eq!(of(&[digit, 0.0, 0.0, 0.0, 0.0], 3, 0.01), [false; 5]);
        assert_eq!(of(&[5.19, 0.0, 0.0], 3, 0.01), [true, false, false]);
        assert_eq!(of(&[5.19], 3, 0.01), [false]);
    }
}
