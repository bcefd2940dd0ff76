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
    /// Deviation of each value, where repeated readings tell it; as many, or none.
    pub deviations: &'a [f64],
    /// Days from which averages and sums start anew.
    pub anew: &'a [f64],
}

/// One value with all its statistics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    /// Days since 1970-01-01; NaN where none was given.
    pub date: f64,
    pub value: f64,
    /// Its deviation, which sets its limits.
    pub deviation: f64,
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
    /// Deviation that sets the limits; of values that have each their own, a typical one.
    pub deviation: f64,
    /// Figures of the base period.
    pub baseline: Baseline,
}

/// Limits of one value, in its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Limits {
    /// Centre ± 2 deviations.
    pub warning: (f64, f64),
    /// Centre ± 3 deviations.
    pub action: (f64, f64),
}

impl Centre {
    /// The limits of a value of this deviation.
    pub(crate) fn limits(&self, deviation: f64) -> Limits {
        let about = |k: f64| (self.value - k * deviation, self.value + k * deviation);
        Limits {
            warning: about(2.0),
            action: about(3.0),
        }
    }
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
    /// Signals and warnings by index, then rule.
    pub signals: Vec<Signal>,
    /// Why there are no limits; empty where there are.
    pub missing: String,
}

/// Charts `series`. Values that are not numbers are left out.
pub(crate) fn chart(series: &Series<'_>, settings: &ControlSettings) -> ControlResult {
    let date = |i: usize| series.dates.get(i).copied().unwrap_or(f64::NAN);
    let charted: Vec<(usize, f64)> = (series.values.iter().copied().enumerate())
        .filter(|(_, value)| value.is_finite())
        .collect();
    let dates: Vec<f64> = charted.iter().map(|(i, _)| date(*i)).collect();
    let values: Vec<f64> = charted.iter().map(|(_, value)| *value).collect();
    let own = charted.iter().map(|(i, _)| series.deviations.get(*i));
    let own: Option<Vec<f64>> = own.map(Option::<&f64>::copied).collect();
    let base = match settings.baseline as usize {
        0 => values.len(),
        n => n.min(values.len()),
    };
    let of_base = own.as_deref().map(|own| &own[..base]);
    let centre = match centre(&values[..base], of_base, series.known, settings) {
        Ok(centre) => centre,
        Err(why) => {
            return ControlResult {
                missing: why.to_string(),
                ..ControlResult::default()
            };
        }
    };
    let deviations = own.unwrap_or_else(|| vec![centre.deviation; values.len()]);
    let measured = Measured {
        values: &values,
        deviations: &deviations,
        dates: &dates,
    };
    let points = points(&measured, &centre, series.anew, settings);
    let signals = signals(&points, &centre, settings);
    ControlResult {
        points,
        base,
        centre: Some(centre),
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

/// Centre and deviation, known beforehand or by the base period, whose values have each their
/// `own` deviation or all the same.
fn centre(
    base: &[f64],
    own: Option<&[f64]>,
    known: Option<(f64, f64)>,
    settings: &ControlSettings,
) -> Result<Centre, NoCentre> {
    let baseline = baseline(base);
    if let Some((value, deviation)) = known {
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
    let (value, deviation) = match own {
        Some(own) => weighted_mean(base, own),
        None => (baseline.mean, baseline.deviation(settings.deviation)),
    };
    if !(deviation > 0.0 && deviation.is_finite()) {
        return Err(NoCentre::Alike(base.len()));
    }
    Ok(Centre {
        value,
        deviation,
        baseline,
    })
}

/// Mean of `values`, each weighted by 1/s² (by its number of readings: the mean of them all), and
/// the root of the mean s².
fn weighted_mean(values: &[f64], deviations: &[f64]) -> (f64, f64) {
    let most = deviations.iter().copied().fold(0.0, f64::max);
    let origin = values.first().copied().unwrap_or_default();
    let (mut weights, mut moved, mut squares) = (0.0, 0.0, 0.0);
    for (value, deviation) in values.iter().zip(deviations) {
        // Counted from the largest, so that no unit takes a square out of range.
        let part = deviation / most;
        let weight = (part * part).recip();
        weights += weight;
        moved += weight * (value - origin);
        squares += part * part;
    }
    let typical = most * (squares / values.len() as f64).sqrt();
    (origin + moved / weights, typical)
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

/// The charted values in time order, as many of each.
struct Measured<'a> {
    values: &'a [f64],
    deviations: &'a [f64],
    dates: &'a [f64],
}

fn points(
    measured: &Measured<'_>,
    centre: &Centre,
    anew: &[f64],
    settings: &ControlSettings,
) -> Vec<Point> {
    let Measured {
        values,
        deviations,
        dates,
    } = *measured;
    let off = values.iter().zip(deviations);
    let z: Vec<f64> = off
        .map(|(value, own)| (value - centre.value) / own)
        .collect();
    let (weight, width) = (settings.ewma_weight, settings.ewma_width);
    let (mut averages, mut sums) = (Vec::new(), Vec::new());
    let starts = |i: usize| {
        let between = |day: &f64| i > 0 && dates[i - 1] < *day && dates[i] >= *day;
        anew.iter().any(between)
    };
    let mut from = 0;
    for to in (1..=values.len()).filter(|i| *i == values.len() || starts(*i)) {
        let part = from..to;
        let (own, about) = (&deviations[part.clone()], centre.value);
        averages.extend(ewma(&values[part.clone()], own, about, weight, width));
        sums.extend(cusum(&z[part], settings.cusum_allowance));
        from = to;
    }
    (averages.into_iter().zip(sums).enumerate())
        .map(|(i, (ewma, cusum))| Point {
            date: dates[i],
            value: values[i],
            deviation: deviations[i],
            z: z[i],
            moving_range: match i {
                0 => f64::NAN,
                _ => (values[i] - values[i - 1]).abs(),
            },
            ewma,
            cusum,
        })
        .collect()
}

fn signals(points: &[Point], centre: &Centre, settings: &ControlSettings) -> Vec<Signal> {
    let z: Vec<f64> = points.iter().map(|p| p.z).collect();
    let mut fired = runs(&z, settings.run_length as usize);
    let largest_step = centre.baseline.moving_range_upper();
    for (i, point) in points.iter().enumerate() {
        if (point.ewma.value - centre.value).abs() > point.ewma.half_width {
            fired.push((i, Rule::Ewma));
        }
        if point.cusum.upper.max(point.cusum.lower) > settings.cusum_limit {
            fired.push((i, Rule::Cusum));
        }
        if point.moving_range > largest_step {
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
