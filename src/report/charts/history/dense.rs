/*! Readings by columns, where dots would lie on each other: median, middle nine tenths, extremes. */

use super::layout::Layout;
use crate::report::charts::canvas::{Canvas, Dash, Stroke};
use crate::report::charts::palette::Ink;
use crate::report::view::{HistoryView, ReadingView};

/// Histories with more readings than this are drawn by columns.
const DENSE: usize = 400;

/// Width of a column, pixels.
const COLUMN: f64 = 6.0;

/// Fewer readings than this in a column are drawn as dots.
const FEW: usize = 5;

/// Tail that the filled part of a column leaves out on either side.
const TAIL: f64 = 0.05;

/// True where readings are drawn by columns.
pub(super) fn is_dense(view: &HistoryView) -> bool {
    view.readings.len() > DENSE
}

/// Draws every column of readings that nothing marks; the marked ones are drawn one by one.
pub(super) fn draw_columns(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let plain =
        |r: &&ReadingView| !r.is_marked() && layout.y.holds(r.value) && layout.x.holds(r.day);
    let column = |r: &ReadingView| (layout.x.at(r.day) / COLUMN).floor();
    let readings: Vec<&ReadingView> = view.readings.iter().filter(plain).collect();
    for members in readings.chunk_by(|a, b| column(a) == column(b)) {
        match members.len() < FEW {
            true => members.iter().for_each(|r| {
                let at = (layout.x.at(r.day), layout.y.at(r.value));
                canvas.dot(at, 1.5, Ink::Reading);
            }),
            false => draw_column(canvas, layout, column(members[0]) * COLUMN, members),
        }
    }
}

fn draw_column(canvas: &mut Canvas<'_>, layout: &Layout, left: f64, members: &[&ReadingView]) {
    let mut values: Vec<f64> = members.iter().map(|r| r.value).collect();
    values.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let index = (share * (values.len() - 1) as f64).round() as usize;
        layout.y.at(values[index])
    };
    let (right, middle) = (left + COLUMN - 1.0, left + 0.5 * (COLUMN - 1.0));
    let hairline = Stroke(Ink::Reading, 0.75, Dash::Solid);
    canvas.line((middle, at(0.0)), (middle, at(1.0)), hairline);
    canvas.rectangle(
        (left, at(1.0 - TAIL)),
        (right, at(TAIL)),
        Ink::Reading,
        0.35,
    );
    let stroke = Stroke(Ink::Reading, 2.0, Dash::Solid);
    canvas.line((left, at(0.5)), (right, at(0.5)), stroke);
}

#[cfg(test)]
mod tests {
    use crate::report::charts::history_chart;
    use crate::report::samples;

    #[test]
    fn many_readings_are_columns_and_the_subtitle_says_so() {
        let said = "by column: median, 5 to 95\u{a0}%, extremes";
        says_not!(history_chart(&samples::history(400)), said);
        let chart = history_chart(&samples::history(5000));
        says!(chart, said);
        // A dot a reading would be many times this.
        assert!(chart.len() < 150_000, "{}", chart.len());
    }
}
