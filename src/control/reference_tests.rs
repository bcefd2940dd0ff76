/*! Checks against tests/reference/control: the e-Handbook's charts, numpy and R. */

use super::*;
use crate::control::chart::ControlResult;
use crate::control::chart::Series;
use crate::control::chart::chart;
use crate::control::individuals::baseline;
use crate::control::settings::Deviation;
use crate::drift::testing::*;
use crate::records::About;
use serde_json::Value;

fn text(name: &str) -> String {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/control/");
    std::fs::read_to_string(format!("{folder}{name}")).unwrap()
}

fn json(name: &str) -> Value {
    serde_json::from_str(&text(name)).unwrap()
}

fn column(name: &str, index: usize) -> Vec<f64> {
    let cell = |line: &str| line.split(',').nth(index).unwrap().parse().unwrap();
    text(name).lines().skip(1).map(cell).collect()
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_f64().unwrap())
        .collect()
}

fn indices(value: &Value) -> Vec<usize> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_u64().unwrap() as usize)
        .collect()
}

fn close(a: f64, b: f64, relative: f64) {
    assert!((a - b).abs() <= relative * b.abs().max(1e-6), "{a} {b}");
}

/// e-Handbook 6.3.2.2: mean 50.81, mean moving range 1.8778, limits with the tables' 1.128.
#[test]
fn handbook_individuals() {
    let base = baseline(&column("handbook_individuals.csv", 1));
    close(base.mean, 50.81, 1e-12);
    close(base.mean_moving_range, 1.8777777777777784, 1e-12);
    let half = 3.0 * base.mean_moving_range / 1.128;
    close(base.mean + half, 55.80408983451537, 1e-12);
    close(base.mean - half, 45.81591016548463, 1e-12);
    // The tables round the factor of the moving range's limit to 3.267.
    let factor = base.moving_range_upper() / base.mean_moving_range;
    near!(factor, 3.267, 0.0005);
}

/// e-Handbook 6.3.2.4: twenty averages, limits 52.5884 and 47.4115; exact half-widths of
/// interval-practice 6.3.
#[test]
fn handbook_ewma() {
    let values = column("handbook_ewma.csv", 1);
    let points = ewma(&values, &vec![2.0539; values.len()], 50.0, 0.3, 3.0);
    let computed = numbers(&json("handbook_ewma.json")["computed"]["ewma"]);
    for ((point, expected), published) in points
        .iter()
        .zip(computed)
        .zip(column("handbook_ewma.csv", 2))
    {
        close(point.value, expected, 1e-13);
        near!(point.value, published, 0.00501);
    }
    for (point, expected) in points.iter().zip([1.848510, 2.256394, 2.431406]) {
        near!(point.half_width, expected, 6e-6);
    }
    let last = points.last().unwrap();
    near!(50.0 + last.half_width, 52.5884, 5e-5);
    near!(50.0 - last.half_width, 47.4116, 5e-5);
    assert!(
        points
            .iter()
            .all(|p| (p.value - 50.0).abs() <= p.half_width)
    );
}

/// e-Handbook 6.3.2.3: first signal at group 14.
#[test]
fn handbook_cusum() {
    let sigma = 0.635;
    let values = column("handbook_cusum.csv", 1);
    let z: Vec<f64> = values.iter().map(|value| (value - 325.0) / sigma).collect();
    let points = cusum(&z, 0.5);
    let file = json("handbook_cusum.json");
    let (upper, lower) = (
        numbers(&file["computed"]["upper"]),
        numbers(&file["computed"]["lower"]),
    );
    for (i, point) in points.iter().enumerate() {
        near!(point.upper * sigma, upper[i], 1e-12);
        near!(point.lower * sigma, lower[i], 1e-12);
    }
    let first = points.iter().position(|p| p.upper * sigma > 4.1959);
    assert_eq!(first, Some(13));
}

/// Charts by numpy, pandas and R over a real check standard and a seeded shift.
fn whole_chart(name: &str, values: &[f64], base: usize) {
    let file = json(&format!("{name}_py.json"));
    let results = &file["results"];
    let number = |path: &str| results.pointer(path).and_then(Value::as_f64).unwrap();
    let settings = ControlSettings {
        baseline: base as u32,
        ..Default::default()
    };
    let series = Series {
        values,
        ..Series::default()
    };
    let ranges = chart(&series, &settings);
    let centre = ranges.centre.unwrap();
    let (limits, figures) = (centre.limits(centre.deviation), centre.baseline);
    close(figures.mean, number("/baseline/mean"), 1e-12);
    close(
        figures.mean_moving_range,
        number("/baseline/mean_moving_range"),
        1e-12,
    );
    close(
        limits.action.0,
        number("/individuals_moving_range/lower"),
        1e-12,
    );
    close(
        limits.action.1,
        number("/individuals_moving_range/upper"),
        1e-12,
    );
    close(
        figures.moving_range_upper(),
        number("/individuals_moving_range/moving_range_upper"),
        1e-12,
    );
    let at = |result: &ControlResult, rule: Rule| -> Vec<usize> {
        let of_rule = result.signals.iter().filter(|s| s.rule == rule);
        of_rule.map(|s| s.index + 1).collect()
    };
    assert_eq!(
        at(&ranges, Rule::BeyondThree),
        indices(&results["individuals_moving_range"]["signals"])
    );
    let standard = ControlSettings {
        deviation: Deviation::Standard,
        ..settings.clone()
    };
    let result = chart(&series, &standard);
    let centre = result.centre.unwrap();
    let limits = centre.limits(centre.deviation);
    close(limits.action.0, number("/individuals_sd/lower"), 1e-12);
    close(limits.warning.1, number("/individuals_sd/upper_2s"), 1e-12);
    assert_eq!(
        at(&result, Rule::BeyondThree),
        indices(&results["individuals_sd"]["signals"])
    );
    let averages = numbers(&results["ewma"]["value"]);
    let widths = numbers(&results["ewma"]["exact_half_width"]);
    let (upper, lower) = (
        numbers(&results["cusum"]["upper"]),
        numbers(&results["cusum"]["lower"]),
    );
    let r = json(&format!("{name}_r.json"));
    let by_r = numbers(&r["results"]["ewma"]);
    for (i, point) in result.points.iter().enumerate() {
        close(point.ewma.value, averages[i], 1e-12);
        close(point.ewma.value, by_r[i], 1e-12);
        close(point.ewma.half_width, widths[i], 1e-12);
        near!(point.cusum.upper, upper[i], 1e-9);
        near!(point.cusum.lower, lower[i], 1e-9);
    }
    assert_eq!(
        at(&result, Rule::Ewma),
        indices(&results["ewma"]["signals_exact"])
    );
    let mut sums = indices(&results["cusum"]["signals_upper"]);
    sums.extend(indices(&results["cusum"]["signals_lower"]));
    sums.sort_unstable();
    sums.dedup();
    assert_eq!(at(&result, Rule::Cusum), sums);
    let first_run = at(&result, Rule::RunOnOneSide)[0];
    assert_eq!(
        first_run as f64,
        number("/runs/first_index_completing_a_run_of_8")
    );
    assert!(
        result
            .signals
            .iter()
            .any(|s| s.rule.is_signal(&settings.signals))
    );
}

#[test]
fn seeded_shift() {
    whole_chart("shifted60", &column("shifted60.csv", 1), 30);
}

#[test]
fn kilogram_check_standard() {
    whole_chart("mass_checks", &column("mass_checks.csv", 3), 99);
}

/// Days of one to five readings: the limits of each go by its own number, as do average and sums.
#[test]
fn limits_of_days_that_differ_in_their_number_of_readings() {
    let readings = column("uneven_days.csv", 0)
        .into_iter()
        .zip(column("uneven_days.csv", 1));
    let mut record = readings.fold(Record::new(), |r, (day, value)| r.check(day, value));
    record.item.control_chart = Some(About::Constant);
    let all = record.histories();
    let file = json("uneven_days_py.json");
    for (deviation, name) in [(Deviation::Within, "within"), (Deviation::Range, "range")] {
        let results = &file["results"][name];
        let settings = ControlSettings {
            deviation,
            ..ControlSettings::default()
        };
        let drift = DriftSettings::default();
        let classes = class_parameters(&all, &drift);
        let class = classes.of_history(0);
        let chart = item_chart(&all.get(0), class, (&settings, &drift), None);
        let result = &chart.current().unwrap().result;
        let centre = result.centre.unwrap();
        close(centre.value, results["centre"].as_f64().unwrap(), 1e-12);
        let own = |of: &dyn Fn(&Point) -> f64, column: &str, within: f64| {
            for (point, expected) in result.points.iter().zip(numbers(&results[column])) {
                near!(of(point), expected, within);
            }
        };
        let limits = |p: &Point| centre.limits(p.deviation);
        own(&|p| limits(p).action.0, "action_lower", 1e-9);
        own(&|p| limits(p).action.1, "action_upper", 1e-9);
        own(&|p| limits(p).warning.1, "warning_upper", 1e-9);
        own(&|p| p.ewma.value, "ewma", 1e-9);
        own(&|p| p.ewma.half_width, "ewma_half_width", 1e-9);
        own(&|p| p.cusum.upper, "cusum_upper", 1e-8);
        own(&|p| p.cusum.lower, "cusum_lower", 1e-8);
        let beyond = result
            .signals
            .iter()
            .filter(|s| s.rule == Rule::BeyondThree);
        let beyond: Vec<usize> = beyond.map(|s| s.index).collect();
        assert_eq!(beyond, indices(&results["beyond_three"]), "{name}");
    }
}
