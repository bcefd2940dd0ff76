/*! Where a history's checks and dates stand on its chart, for a page that tells their values. */

use super::layout::Layout;
use super::readings::place;
use crate::report::charts::dash::UNITS;
use crate::report::view::HistoryView;

/// Places on a chart, in the units of its `viewBox`.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Places {
    /// First and last day (or usage) of the axis, and where they stand.
    pub axis: [f64; 4],
    /// Upper and lower edge of the plot.
    pub plot: [i32; 2],
    /// One place a reading; `None` for one that is not drawn by its value.
    pub readings: Vec<Option<(i32, i32)>>,
}

/// The places of `view` as drawn.
pub(super) fn places(view: &HistoryView, layout: &Layout) -> Places {
    let units = |pixel: f64| (pixel * UNITS).round() as i32;
    let (from, to) = layout.x.domain;
    let reading = |r: &crate::report::view::ReadingView| {
        let drawn = !r.value.is_nan() && layout.x.holds(r.day);
        drawn.then(|| (units(layout.x.at(r.day)), units(place(layout, r.value))))
    };
    Places {
        axis: [from, to, UNITS * layout.x.at(from), UNITS * layout.x.at(to)],
        plot: [units(layout.top), units(layout.foot)],
        readings: view.readings.iter().map(reading).collect(),
    }
}
