/*! A weighted line with an uncertainty that all readings share, against an independent computation. */

use super::class::classes::class_parameters;
use super::{DriftSettings, ModelName, fit_model};
use crate::drift::testing::*;

/// Interval-practice 4.2: years, error, and the random uncertainties of 4.3 (example data).
const READINGS: [(f64, f64, f64); 8] = [
    (0.0, 2.10, 0.10),
    (1.02, 2.52, 0.10),
    (1.98, 2.81, 0.10),
    (3.05, 3.35, 0.06),
    (4.01, 3.58, 0.06),
    (5.00, 4.12, 0.06),
    (6.03, 4.37, 0.04),
    (6.97, 4.85, 0.04),
];

fn near(found: f64, expected: f64) {
    near!(found, expected, 6e-7);
}

/// Checks 35 and 36 of interval-practice.md (numpy 2.4.6): the shared part leaves the line as
/// it is and adds to the value once, √(0.056048² + 0.08²) = 0.097680.
#[test]
fn a_shared_uncertainty_adds_to_the_value_once() {
    for (shared, expected) in [(0.0, 0.056_048_0), (0.08, 0.097_680_0)] {
        let mut record = Record::new();
        for (years, error, u) in READINGS {
            record = record.check(years * DAYS_PER_YEAR, error);
            record.columns.u.pop();
            record.columns.u.push(u);
            record.columns.u_common.pop();
            record.columns.u_common.push(shared);
        }
        let histories = record.histories();
        let settings = DriftSettings {
            model: ModelName::Line,
            ..DriftSettings::default()
        };
        let classes = class_parameters(&histories, &settings);
        let fit = fit_model(&histories.get(0), classes.of_history(0), &settings);
        near(fit.drift_per_year, 0.388_443_4);
        near(fit.u_drift_per_year, 0.010_311_6);
        near(fit.chi_squared, 9.337_670);
        let at_ten = fit.at(10.0).unwrap();
        near(at_ten.expected, 5.982_766);
        near(at_ten.u_error, expected);
    }
}
