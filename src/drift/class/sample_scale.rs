/*! In what unit and pace the readings of a class are counted, and about what its levels lie. */

use super::left::About;
use crate::drift::series::readings::{Axis, Reading};
use crate::records::{DAYS_PER_YEAR, History};

/// A typical use in a year on the usage axis (median over members), where no use can be told
/// from the dates a typical use; 1 on the time axis.
pub(super) fn pace_of(members: &[History<'_>], axis: Axis) -> f64 {
    if axis == Axis::Time {
        return 1.0;
    }
    let ends = || {
        members
            .iter()
            .filter(|history| !history.is_empty())
            .map(|h| (h, h.len() - 1))
    };
    let pace = ends().map(|(history, last)| {
        let years = (history.date[last] - history.date[0]) / DAYS_PER_YEAR;
        (history.usage[last] - history.usage[0]) / years
    });
    typical(pace)
        .or_else(|| typical(ends().map(|(history, last)| history.usage[last])))
        .unwrap_or(1.0)
}

/// Typical size of a class without tolerances: the median change between neighbouring
/// readings, within a segment or else over events too, else the median stated u, else the median value; `None` where all of them are zero.
pub(super) fn robust_size(chosen: &[(f64, Vec<Reading>)]) -> Option<f64> {
    let readings = || chosen.iter().flat_map(|(_, readings)| readings);
    let between = |(scale, readings): &(f64, Vec<Reading>)| -> Vec<f64> {
        let steps = readings.windows(2);
        steps
            .map(|pair| (pair[1].value - pair[0].value).abs() / scale)
            .collect()
    };
    typical(changes(chosen))
        .or_else(|| typical(chosen.iter().flat_map(between)))
        .or_else(|| typical(readings().map(|reading| reading.u)))
        .or_else(|| typical(readings().map(|reading| reading.value.abs())))
}

/// Median of the sizes above zero, where it can be squared.
fn typical(sizes: impl Iterator<Item = f64>) -> Option<f64> {
    let mut sizes: Vec<f64> = sizes.filter(|size| *size > 0.0).collect();
    let usable = |size: &f64| *size > f64::MIN_POSITIVE.sqrt() && *size < f64::MAX.sqrt();
    median(&mut sizes).filter(usable)
}

/// Where the levels after an event lie; before any, where there was none.
pub(super) fn about_levels(chosen: &[(f64, Vec<Reading>)], size: f64) -> About {
    let after = levels(chosen, size, false);
    About::levels(&mut match after.is_empty() {
        true => levels(chosen, size, true),
        false => after,
    })
}

/// Where items of these tolerances are meant to be left: at zero, or in the middle of most
/// tolerances where zero lies outside.
pub(super) fn aim_of(members: &[History<'_>]) -> About {
    let middle = |history: &History<'_>| {
        let tolerance = history.item.tolerance?;
        let middle = 0.5 * (tolerance.lower() + tolerance.upper());
        let aim = match tolerance.contains(0.0) {
            true => 0.0,
            false => middle / tolerance.half_width(),
        };
        aim.is_finite().then_some(aim)
    };
    let mut middles: Vec<f64> = members.iter().filter_map(middle).collect();
    About {
        aim: median(&mut middles).unwrap_or(0.0),
        ..About::default()
    }
}

/// Levels read after events, as left or at the next check; with `all` every reading.
fn levels(chosen: &[(f64, Vec<Reading>)], size: f64, all: bool) -> Vec<f64> {
    let own = |(scale, readings): &(f64, Vec<Reading>)| -> Vec<f64> {
        let after = |r: &&Reading| all || r.as_left || r.unread_since.is_some();
        let levels = readings.iter().filter(after);
        levels.map(|r| r.value / (scale * size)).collect()
    };
    chosen.iter().flat_map(own).collect()
}

/// Changes between neighbouring readings of one segment, in units of each history's scale.
pub(super) fn changes(chosen: &[(f64, Vec<Reading>)]) -> impl Iterator<Item = f64> + '_ {
    chosen.iter().flat_map(|(scale, readings)| {
        readings.windows(2).filter_map(move |pair| {
            let same = pair[0].segment == pair[1].segment;
            same.then(|| (pair[1].value - pair[0].value).abs() / scale)
        })
    })
}

/// Median, in place; `None` of nothing.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len().checked_sub(1)? / 2;
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}
