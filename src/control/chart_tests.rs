use super::*;

fn charted(values: &[f64], dates: &[f64]) -> ControlResult {
    let series = Series {
        values,
        dates,
        ..Series::default()
    };
    chart(&series, &ControlSettings::default())
}

/// The action limits of the first value.
fn action(result: &ControlResult) -> (f64, f64) {
    let centre = result.centre.unwrap();
    centre.limits(result.points[0].deviation).action
}

#[test]
fn too_few_or_constant_values_say_so() {
    let few = charted(&[1.0, f64::NAN, 2.0], &[]);
    assert!(few.centre.is_none() && few.missing.contains("2 values"));
    says!(charted(&[1.0; 30], &[]).missing, "do not differ");
    let none = Series {
        known: Some((0.0, 1.0)),
        ..Series::default()
    };
    let none = chart(&none, &ControlSettings::default());
    says!(none.missing, "no value");
}

#[test]
fn a_spike_is_dated() {
    let mut values: Vec<f64> = (0..30).map(|i| f64::from((i * 7) % 5)).collect();
    values[29] = 40.0;
    let dates: Vec<f64> = (0..30).map(|i| 365.0 + f64::from(i)).collect();
    let result = charted(&values, &dates);
    assert!(
        result
            .signals
            .iter()
            .all(|s| s.date == 394.0 || s.rule.chart().is_none())
    );
    assert!(result.signals.iter().any(|s| s.rule == Rule::BeyondThree));
}

#[test]
fn unit_and_origin_do_not_matter() {
    let values: Vec<f64> = (0..40)
        .map(|i| (f64::from(i) * 1.7).sin() + f64::from(i / 30))
        .collect();
    let moved: Vec<f64> = values.iter().map(|v| 1e3 * v - 7.0).collect();
    let rules = |values: &[f64]| {
        let signals = charted(values, &[]).signals;
        signals
            .iter()
            .map(|s| (s.index, s.rule))
            .collect::<Vec<_>>()
    };
    assert_eq!(rules(&values), rules(&moved));
}

#[test]
fn known_limits_need_no_base_period_and_narrow_where_all_scatter_far_less() {
    let known = |values: &[f64]| {
        let series = Series {
            values,
            known: Some((0.0, 1.0)),
            ..Series::default()
        };
        chart(&series, &ControlSettings::default())
    };
    assert_eq!(known(&[0.5, 3.5]).signals[0].rule, Rule::BeyondThree);
    assert_eq!(action(&known(&[0.5, 3.5])), (-3.0, 3.0));
    let calm: Vec<f64> = (0..30).map(|i| 0.1 * f64::from((i * 7) % 5 - 2)).collect();
    let narrow = action(&known(&calm)).1;
    assert!((0.3..0.6).contains(&narrow), "{narrow}");
}

#[test]
fn sums_start_anew_after_a_closed_case() {
    let values: Vec<f64> = (0..40)
        .map(|i| f64::from(i / 20) + 0.1 * f64::from(i % 3))
        .collect();
    let dates: Vec<f64> = (0..40).map(f64::from).collect();
    let anew = Series {
        values: &values,
        dates: &dates,
        anew: &[31.0],
        ..Series::default()
    };
    let settings = ControlSettings::default();
    let after = chart(&anew, &settings);
    let plain = charted(&values, &dates);
    let path = |result: &ControlResult| {
        let points = result.points[..31].iter();
        points.map(|p| (p.ewma, p.cusum)).collect::<Vec<_>>()
    };
    assert_eq!(path(&after), path(&plain));
    assert!(after.points[31].cusum.upper < plain.points[31].cusum.upper);
    assert_eq!(
        after.points[31].ewma.half_width,
        plain.points[0].ewma.half_width
    );
}
