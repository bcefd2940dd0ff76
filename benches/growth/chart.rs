/*! Time and memory against the number of checks, both axes in powers of ten. */

use super::{Failure, Measured, n_log_n};
use plotters::prelude::*;
use std::path::Path;

const WIDTH: u32 = 880;
const HEIGHT: u32 = 380;
const FONT: (&str, i32) = ("sans-serif", 13);
const GRID: RGBColor = RGBColor(0x6b, 0x77, 0x85);
/// Of fleets and of one long history: their words, ink and radius; a ring tells the second
/// where colours do not.
const SERIES: [(&str, RGBColor, bool); 2] = [
    (
        "fleets, 12 checks an instrument",
        RGBColor(0x0b, 0x6e, 0x6e),
        true,
    ),
    ("one history", RGBColor(0xb4, 0x49, 0x1a), false),
];

/// Draws both panels to a new file.
pub fn draw(path: &Path, measured: &[Vec<Measured>; 2]) -> Result<(), Failure> {
    let root = SVGBackend::new(path, (WIDTH, HEIGHT)).into_drawing_area();
    root.fill(&WHITE)?;
    let (left, right) = root.split_horizontally(WIDTH / 2);
    // What n log n gives, through the largest fleet; no such line holds for memory.
    let largest = measured[0].last();
    let line = |checks: f64| largest.map(|m| m.seconds * checks * checks.ln() / n_log_n(m.checks));
    panel(
        &left,
        measured,
        ("seconds", 0.01..1_000.0),
        |m| m.seconds,
        &line,
    )?;
    let none = |_: f64| None;
    panel(
        &right,
        measured,
        ("peak memory, MB", 10.0..10_000.0),
        |m| m.megabytes,
        &none,
    )?;
    root.present()?;
    Ok(())
}

type Area<'a> = DrawingArea<SVGBackend<'a>, plotters::coord::Shift>;

fn panel(
    area: &Area<'_>,
    measured: &[Vec<Measured>; 2],
    (what, range): (&str, std::ops::Range<f64>),
    value: impl Fn(&Measured) -> f64,
    line: &dyn Fn(f64) -> Option<f64>,
) -> Result<(), Failure> {
    const CHECKS: std::ops::Range<f64> = 10.0..20_000_000.0;
    let mut chart = ChartBuilder::on(area)
        .margin(14)
        .x_label_area_size(42)
        .y_label_area_size(62)
        .build_cartesian_2d(CHECKS.log_scale(), range.clone().log_scale())?;
    chart
        .configure_mesh()
        .light_line_style(TRANSPARENT)
        .bold_line_style(GRID.mix(0.3))
        .axis_style(GRID)
        .label_style(FONT)
        .x_desc("checks")
        .y_desc(what)
        .x_label_formatter(&power)
        .y_label_formatter(&power)
        .draw()?;
    let reach = |checks: f64| {
        line(checks)
            .filter(|y| range.contains(y))
            .map(|y| (checks, y))
    };
    let steps = (0..=60).map(|step| 10f64.powf(1.0 + f64::from(step) / 10.0));
    let expected: Vec<(f64, f64)> = steps.filter_map(reach).collect();
    if let Some(&at) = expected.get(expected.len() / 3) {
        chart.draw_series([PathElement::new(expected, GRID)])?;
        chart.draw_series([Text::new("n log n", at, FONT.into_font().color(&GRID))])?;
    }
    for (place, ((words, ink, filled), all)) in (0..).zip(SERIES.into_iter().zip(measured)) {
        let points: Vec<(f64, f64)> = all.iter().map(|m| (m.checks as f64, value(m))).collect();
        let style = ShapeStyle {
            color: ink.to_rgba(),
            filled,
            stroke_width: 2,
        };
        chart.draw_series([PathElement::new(points.clone(), style)])?;
        chart.draw_series(points.into_iter().map(|at| Circle::new(at, 4, style)))?;
        let at = (84, 18 + 18 * place);
        area.draw(&Circle::new((at.0, at.1 + 6), 4, style))?;
        area.draw(&Text::new(
            words,
            (at.0 + 10, at.1),
            FONT.into_font().color(&ink),
        ))?;
    }
    Ok(())
}

/// "100", "10⁴": a power of ten as it is read.
fn power(value: &f64) -> String {
    const RAISED: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let exponent = value.log10().round();
    match (0.0..4.0).contains(&exponent) {
        true => format!("{value:.0}"),
        false if exponent < 0.0 => format!("{value}"),
        false => format!("10{}", RAISED[exponent as usize % RAISED.len()]),
    }
}
