/*! Checks against tests/reference/conformity (mpmath to 30 digits). */

use super::*;
use crate::conformity::decision::conformance_probability;
use crate::conformity::global::Process;
use crate::records::Tolerance;
use serde_json::Value;

#[test]
fn six_cases() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/reference/conformity/cases_py.json"
    );
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 6);
    for case in cases {
        let input = |key: &str| case["inputs"][key].as_f64();
        let given = |key: &str| input(key).unwrap();
        let tolerance = Tolerance::new(
            input("lower").unwrap_or(f64::NEG_INFINITY),
            input("upper").unwrap_or(f64::INFINITY),
        )
        .unwrap();
        let (y, um) = (given("y"), given("um"));
        let close = |a: f64, key: &str| {
            let text = |v: &Value| v.as_str().and_then(|s| s.parse().ok());
            let b: f64 = case[key].as_f64().or_else(|| text(&case[key])).unwrap();
            near!(a, b, 1e-12 * b.abs(), "{key}: {a} {b}");
        };
        close(
            conformance_probability(y, um, tolerance),
            "conformance_probability_reading_only",
        );
        let process = Process {
            mean: given("prior_mean"),
            deviation: given("prior_sd"),
            u_reading: um,
        };
        let risks = global_risks(&process, tolerance, given("guard")).unwrap();
        close(risks.consumer, "global_consumer_risk_30_digits");
        close(risks.producer, "global_producer_risk_30_digits");
        close(risks.conforming, "prior_conformance");
        close(risks.accepted, "probability_of_acceptance");
        let rule = DecisionRule {
            name: if given("guard") < 0.0 {
                RuleName::Relaxed
            } else {
                RuleName::Guarded
            },
            guard_factor: given("guard").abs() / (2.0 * um),
            ..DecisionRule::SIMPLE
        };
        let accepted = decide(y, um, tolerance, &rule).state == State::Conforming;
        assert_eq!(Some(accepted), case["accepted"].as_bool());
    }
}

/// JCGM 106:2012 resistor example (figures from memory, recomputed with scipy in
/// interval-practice 5.3, check 46): guard band 0.08.
#[test]
fn resistors_of_the_guide() {
    let tolerance = Tolerance::new(1499.8, 1500.2).unwrap();
    let process = Process {
        mean: 1500.0,
        deviation: 0.12,
        u_reading: 0.04,
    };
    let risks = global_risks(&process, tolerance, 0.08).unwrap();
    near!(risks.consumer, 0.000468634, 6e-10);
    near!(risks.producer, 0.247670, 6e-7);
}
