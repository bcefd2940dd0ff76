use super::*;
use crate::decisions::testing::*;
use crate::drift::series::readings::Axis;
use crate::drift::{DriftSettings, ModelName, fit_history};
use crate::records::DAYS_PER_YEAR;

/// JCGM 100:2008, H.3: a line through eleven corrections of a thermometer, b(30 °C) = −0.1494
/// with u = 0.0041 on nine degrees of freedom. A degree above 20 °C stands for a year.
#[test]
fn the_line_of_a_thermometer() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/gum/h3.csv");
    let text = std::fs::read_to_string(path).unwrap();
    let mut record = Record::new();
    for row in text.lines().skip(1) {
        let cells: Vec<f64> = row
            .split(',')
            .filter_map(|cell| cell.parse().ok())
            .collect();
        let [.., celsius, correction] = cells[..] else {
            panic!("{row}");
        };
        record = record.check((celsius - 20.0) * DAYS_PER_YEAR, correction);
    }
    record.columns.u.iter_mut().for_each(|u| *u = f64::NAN);
    let all = record.histories();
    let fit = fit_history(&all.get(0), &DriftSettings::default(), ModelName::Line);
    let history = all.get(0);
    let course = Course::of(&fit, &history, Axis::Time).unwrap();
    let line = line_on(&fit, &course, 0.0, 10.0 * DAYS_PER_YEAR).unwrap();
    assert!((line.expected + 0.1494).abs() < 5e-5, "{}", line.expected);
    near!(line.u_corrected(), 0.0041, 5e-5);
    assert_eq!(
        (line.degrees_of_freedom, line.distribution()),
        (9.0, "student_t")
    );
}

fn known() -> (crate::records::Histories, Fit) {
    let all = Record::new().check(0.0, 0.3).histories();
    let known = Known {
        error: 0.3,
        u_error: 0.1,
        drift: 0.2,
        u_drift: 0.05,
        wander: 0.06,
        step_rate: 0.1,
    };
    (all, known.fit(0.0, 8))
}

/// By hand after two years: 0.3 + 0.4; 0.1; 2·0.05; 0.06·√2; √((1 − e^−0.2)·0.25).
#[test]
fn the_parts_by_hand() {
    let (all, fit) = known();
    let history = all.get(0);
    let course = Course::of(&fit, &history, Axis::Time).unwrap();
    let line = line_on(&fit, &course, 0.25, 2.0 * DAYS_PER_YEAR).unwrap();
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
    close(line.expected, 0.7);
    close(line.u_calibration, 0.1);
    close(line.u_drift, 0.1);
    close(line.u_wander, 0.06 * 2f64.sqrt());
    close(line.u_step, ((1.0 - (-0.2f64).exp()) * 0.25).sqrt());
    close(line.u_uncorrected(), line.u_corrected().hypot(0.7));
}

/// F.2.4.5 by hand for an error that grows evenly from 0.3 to 0.7 with nothing else unknown:
/// mean 0.5, standard deviation about it 0.4/√12.
#[test]
fn one_correction_for_the_interval() {
    let all = Record::new().check(0.0, 0.3).histories();
    let exact = Known {
        error: 0.3,
        drift: 0.2,
        ..Known::default()
    };
    let fit = exact.fit(0.0, 8);
    let history = all.get(0);
    let course = Course::of(&fit, &history, Axis::Time).unwrap();
    let days = (0.0, 2.0 * DAYS_PER_YEAR);
    let mean = over_interval(&fit, &course, 0.0, days).unwrap();
    near!(mean.expected, 0.5, 1e-12);
    near!(mean.u, 0.4 / 12f64.sqrt(), 1e-9);
    assert_eq!(over_interval(&fit, &course, 0.0, (5.0, 5.0)), None);
}
