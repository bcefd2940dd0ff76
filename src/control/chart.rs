/*! One series on its chart: points, limits and signals. */

use super::individuals::{Baseline, baseline};
use super::runs::{Rule, Signal, runs};
use super::{ControlSettings, CusumPoint, EwmaPoint, FEWEST_BASELINE, cusum, ewma};
use crate::stats::chi_squared_upper;

/// Probability below which residuals scatter less than their model says, so that the base period
/// sets their limits: one series in a thousand by chance. Ours, no source.
const SCATTERS_LESS: f64 = 1e-3;

/// What is charted.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Series<'a> {
    /// The values in time order.
    pub values: &'a [f64],
    /// Their days since 1970-01-01; as many, or none.
    pub dates: &'a [f64],
    /// Centre and deviation, where they are known beforehand and no base period has to tell them.
    pub known: Option<(f64, f64)>,
    /// Deviation of the limits, where repeated readings tell it.
    pub deviation: Option<f64>,
    /// Days from which averages and sums start anew.
    pub anew: &'a [f64],
}

/// One value with all its statistics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    /// Days since 1970-01-01; NaN where none was given.
    pub date: f64,
    pub value: f64,
    /// Its distance from the centre in deviations.
    pub z: f64,
    /// Step from the value before; NaN for the first.
    pub moving_range: f64,
    /// Weighted average with its limits.
    pub ewma: EwmaPoint,
    /// Cumulative sums, in deviations.
    pub cusum: CusumPoint,
}

/// Centre and deviation of the chart, and the base period behind them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Centre {
    /// Centre line.
    pub value: f64,
    /// Deviation that sets the limits.
    pub deviation: f64,
    /// Figures of the base period.
    pub baseline: Baseline,
}

/// Limits in the unit of the values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Limits {
    /// Centre ± 2 deviations.
    pub warning: (f64, f64),
    /// Centre ± 3 deviations.
    pub action: (f64, f64),
    /// Upper limit of a moving range.
    pub moving_range: f64,
}

/// A chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct ControlResult {
    /// Values in time order; missing values are left out.
    pub points: Vec<Point>,
    /// Number of them in the base period.
    pub base: usize,
    /// Centre line; `None` where no limits could be set.
    pub centre: Option<Centre>,
    /// Limits; `None` where none could be set.
    pub limits: Option<Limits>,
    /// Signals and warnings by index, then rule.
    pub signals: Vec<Signal>,
    /// Why there are no limits; empty where there are.
    pub missing: String,
}

/// Charts `series`. Values that are not numbers are left out.
pub(crate) fn chart(series: &Series<'_>, settings: &ControlSettings) -> ControlResult {
    let date = |i: usize| series.dates.get(i).copied().unwrap_or(f64::NAN);
    let (dates, values): (Vec<f64>, Vec<f64>) = (series.values.iter().enumerate())
        .filter(|(_, value)| value.is_finite())
        .map(|(i, value)| (date(i), *value))
        .unzip();
    let base = match settings.baseline as usize {
        0 => values.len(),
        n => n.min(values.len()),
    };
    let centre = match centre(&values[..base], series, settings) {
        Ok(centre) => centre,
        Err(why) => {
            return ControlResult {
                missing: why.to_string(),
                ..ControlResult::default()
            };
        }
    };
    let points = points(&values, &dates, &centre, (series, settings));
    let limits = limits(&centre);
    let signals = signals(&points, &limits, settings);
    ControlResult {
        points,
        base,
        centre: Some(centre),
        limits: Some(limits),
        signals,
        missing: String::new(),
    }
}

/// Why a chart has no limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
enum NoCentre {
    #[error("no value to chart")]
    NoValue,
    #[error("no limits: {0} values, at least {FEWEST_BASELINE} are needed for a base period")]
    FewValues(usize),
    #[error(
        "no limits: the {0} values of the base period do not differ, which no measurement does"
    )]
    Alike(usize),
}

/// Centre and deviation, known beforehand or by the base period.
fn centre(
    base: &[f64],
    series: &Series<'_>,
    settings: &ControlSettings,
) -> Result<Centre, NoCentre> {
    let baseline = baseline(base);
    if let Some((value, deviation)) = series.known {
        if base.is_empty() {
            return Err(NoCentre::NoValue);
        }
        return Ok(Centre {
            value,
            deviation: own_scatter(base, value, deviation).unwrap_or(deviation),
            baseline,
        });
    }
    if base.len() < FEWEST_BASELINE {
        return Err(NoCentre::FewValues(base.len()));
    }
    let deviation = series
        .deviation
        .unwrap_or_else(|| baseline.deviation(settings.deviation));
    if !(deviation > 0.0 && deviation.is_finite()) {
        return Err(NoCentre::Alike(base.len()));
    }
    Ok(Centre {
        value: baseline.mean,
        deviation,
        baseline,
    })
}

/// The scatter of the base period about a known centre, where it is certainly less than the
/// known deviation: the readings share most of the u that was stated for each.
fn own_scatter(base: &[f64], centre: f64, deviation: f64) -> Option<f64> {
    let squares: f64 = base.iter().map(|v| (v - centre).powi(2)).sum();
    let freedom = base.len() as f64;
    let less = 1.0 - chi_squared_upper(squares / (deviation * deviation), freedom);
    let enough = base.len() >= FEWEST_BASELINE && squares > 0.0;
    (enough && less < SCATTERS_LESS).then(|| (squares / freedom).sqrt())
}

fn points(
    values: &[f64],
    dates: &[f64],
    centre: &Centre,
    (series, settings): (&Series<'_>, &ControlSettings),
) -> Vec<Point> {
    let (middle, deviation) = (centre.value, centre.deviation);
    let (weight, width) = (settings.ewma_weight, settings.ewma_width);
    let (mut averages, mut sums) = (Vec::new(), Vec::new());
    let starts = |i: usize| {
        let between = |day: &f64| i > 0 && dates[i - 1] < *day && dates[i] >= *day;
        series.anew.iter().any(between)
    };
    let mut from = 0;
    for to in (1..=values.len()).filter(|i| *i == values.len() || starts(*i)) {
        let part = &values[from..to];
        averages.extend(ewma(part, middle, deviation, weight, width));
        sums.extend(cusum(part, middle, deviation, settings.cusum_allowance));
        from = to;
    }
    (averages.into_iter().zip(sums).enumerate())
        .map(|(i, (ewma, cusum))| Point {
            date: dates[i],
            value: values[i],
            z: (values[i] - middle) / deviation,
            moving_range: match i {
                0 => f64::NAN,
                _ => (values[i] - values[i - 1]).abs(),
            },
            ewma,
            cusum,
        })
        .collect()
}

fn limits(centre: &Centre) -> Limits {
    let about = |k: f64| {
        (
            centre.value - k * centre.deviation,
            centre.value + k * centre.deviation,
        )
    };
    Limits {
        warning: about(2.0),
        action: about(3.0),
        moving_range: centre.baseline.moving_range_upper(),
    }
}

fn signals(points: &[Point], limits: &Limits, settings: &ControlSettings) -> Vec<Signal> {
    let z: Vec<f64> = points.iter().map(|p| p.z).collect();
    let mut fired = runs(&z, settings.run_length as usize);
    let centre = 0.5 * (limits.action.0 + limits.action.1);
    for (i, point) in points.iter().enumerate() {
        if (point.ewma.value - centre).abs() > point.ewma.half_width {
            fired.push((i, Rule::Ewma));
        }
        if point.cusum.upper.max(point.cusum.lower) > settings.cusum_limit {
            fired.push((i, Rule::Cusum));
        }
        if point.moving_range > limits.moving_range {
            fired.push((i, Rule::MovingRange));
        }
    }
    fired.sort_unstable();
    let signal = |(index, rule): (usize, Rule)| Signal {
        index,
        date: points[index].date,
        rule,
    };
    fired.into_iter().map(signal).collect()
}

#[cfg(test)]
#[path = "chart_tests.rs"]
mod tests;
