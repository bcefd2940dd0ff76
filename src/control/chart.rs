/*! The chart of one check standard: points, limits, signals and the verdict in a sentence. */

use super::individuals::{Baseline, baseline};
use super::runs::{Rule, Signal, runs};
use super::{ControlSettings, CusumPoint, EwmaPoint, FEWEST_BASELINE, cusum, ewma};
use chrono::{Days, NaiveDate};

/// One value with all its statistics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Days since 1970-01-01; NaN where none was given.
    pub date: f64,
    /// The value.
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
pub struct Centre {
    /// Centre line.
    pub value: f64,
    /// Deviation that sets the limits.
    pub deviation: f64,
    /// Figures of the base period.
    pub baseline: Baseline,
}

/// Limits in the unit of the values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Centre ± 2 deviations.
    pub warning: (f64, f64),
    /// Centre ± 3 deviations.
    pub action: (f64, f64),
    /// Upper limit of a moving range.
    pub moving_range: f64,
}

/// A chart with its verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct ControlResult {
    /// Values in time order; missing values are left out.
    pub points: Vec<Point>,
    /// Centre line; `None` where no limits could be set.
    pub centre: Option<Centre>,
    /// Limits; `None` where none could be set.
    pub limits: Option<Limits>,
    /// Signals and warnings by index, then rule.
    pub signals: Vec<Signal>,
    /// True in control, false out of control; `None` where the values cannot say.
    pub in_control: Option<bool>,
    /// The verdict in a sentence.
    pub verdict: String,
}

/// Charts `values` at `dates` (days since 1970-01-01, same length or empty), in time order.
/// Values that are not numbers are left out.
pub fn chart(values: &[f64], dates: &[f64], settings: &ControlSettings) -> ControlResult {
    let date = |i: usize| dates.get(i).copied().unwrap_or(f64::NAN);
    let (dates, values): (Vec<f64>, Vec<f64>) = (values.iter().enumerate())
        .filter(|(_, value)| value.is_finite())
        .map(|(i, value)| (date(i), *value))
        .unzip();
    let base = match settings.baseline as usize {
        0 => values.len(),
        n => n.min(values.len()),
    };
    if base < FEWEST_BASELINE {
        return undecided(format!(
            "no limits: {} values, at least {FEWEST_BASELINE} are needed for a base period",
            values.len()
        ));
    }
    let baseline = baseline(&values[..base]);
    let deviation = baseline.deviation(settings.deviation);
    if !(deviation > 0.0 && deviation.is_finite()) {
        return undecided(format!(
            "no limits: the {base} values of the base period do not differ, which no measurement does"
        ));
    }
    let centre = Centre {
        value: baseline.mean,
        deviation,
        baseline,
    };
    let points = points(&values, &dates, &centre, settings);
    let limits = limits(&centre);
    let signals = signals(&points, &limits, settings);
    let in_control = !signals.iter().any(|s| s.rule.is_signal());
    let verdict = verdict(&points, &centre, &signals);
    ControlResult {
        points,
        centre: Some(centre),
        limits: Some(limits),
        signals,
        in_control: Some(in_control),
        verdict,
    }
}

fn undecided(verdict: String) -> ControlResult {
    ControlResult {
        points: Vec::new(),
        centre: None,
        limits: None,
        signals: Vec::new(),
        in_control: None,
        verdict,
    }
}

fn points(
    values: &[f64],
    dates: &[f64],
    centre: &Centre,
    settings: &ControlSettings,
) -> Vec<Point> {
    let (middle, deviation) = (centre.value, centre.deviation);
    let averages = ewma(
        values,
        middle,
        deviation,
        settings.ewma_weight,
        settings.ewma_width,
    );
    let sums = cusum(values, middle, deviation, settings.cusum_allowance);
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

/// Fewer base values than this make limits provisional (common practice).
const DEPENDABLE_BASELINE: usize = 20;

fn verdict(points: &[Point], centre: &Centre, signals: &[Signal]) -> String {
    let mut counted: Vec<(Rule, usize, Signal)> = Vec::new();
    for signal in signals.iter().filter(|s| s.rule.is_signal()) {
        match counted.iter_mut().find(|(rule, _, _)| *rule == signal.rule) {
            Some((_, count, _)) => *count += 1,
            None => counted.push((signal.rule, 1, *signal)),
        }
    }
    let base = centre.baseline.values;
    let caution = if base < DEPENDABLE_BASELINE {
        format!("; limits from {base} values are provisional")
    } else {
        String::new()
    };
    if counted.is_empty() {
        return format!("in control: {} values, no signal{caution}", points.len());
    }
    let part = |(rule, count, first): &(Rule, usize, Signal)| {
        let times = if *count == 1 {
            String::new()
        } else {
            format!(", {count} times")
        };
        format!("{} (first at {}{times})", rule.words(), place(first))
    };
    let parts: Vec<String> = counted.iter().map(part).collect();
    format!("out of control: {}{caution}", parts.join("; "))
}

/// The date of a signal, or the value's number where there is none.
fn place(signal: &Signal) -> String {
    let day = |days: f64| {
        let start = NaiveDate::from_ymd_opt(1970, 1, 1)?;
        let whole = Days::new(days.abs().floor().min(1e9) as u64);
        if days >= 0.0 {
            start.checked_add_days(whole)
        } else {
            start.checked_sub_days(Days::new(days.abs().ceil().min(1e9) as u64))
        }
    };
    let date = signal.date.is_finite().then(|| day(signal.date)).flatten();
    date.map_or_else(|| format!("value {}", signal.index + 1), |d| d.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_or_constant_values_say_so() {
        let settings = ControlSettings::default();
        let few = chart(&[1.0, f64::NAN, 2.0], &[], &settings);
        assert_eq!(few.in_control, None);
        assert!(few.verdict.contains("2 values"));
        let constant = chart(&[1.0; 30], &[], &settings);
        assert!(constant.verdict.contains("do not differ"));
    }

    #[test]
    fn a_spike_is_dated() {
        let mut values: Vec<f64> = (0..30).map(|i| f64::from((i * 7) % 5)).collect();
        values[29] = 40.0;
        let dates: Vec<f64> = (0..30).map(|i| 365.0 + f64::from(i)).collect();
        let result = chart(&values, &dates, &ControlSettings::default());
        assert_eq!(result.in_control, Some(false));
        assert!(result.verdict.contains("1971-01-30"), "{}", result.verdict);
    }

    #[test]
    fn unit_and_origin_do_not_matter() {
        let values: Vec<f64> = (0..40)
            .map(|i| (f64::from(i) * 1.7).sin() + f64::from(i / 30))
            .collect();
        let moved: Vec<f64> = values.iter().map(|v| 1e3 * v - 7.0).collect();
        let settings = ControlSettings::default();
        let (a, b) = (
            chart(&values, &[], &settings),
            chart(&moved, &[], &settings),
        );
        assert_eq!(a.verdict, b.verdict);
        let rules = |r: &ControlResult| {
            r.signals
                .iter()
                .map(|s| (s.index, s.rule))
                .collect::<Vec<_>>()
        };
        assert_eq!(rules(&a), rules(&b));
    }
}
