use super::*;

fn limits(lower: f64, upper: f64) -> Tolerance {
    Tolerance::new(lower, upper).unwrap()
}

fn rule(name: RuleName, guard_factor: f64) -> DecisionRule {
    DecisionRule {
        name,
        guard_factor,
        ..DecisionRule::SIMPLE
    }
}

/// JCGM 106:2012 examples (figures of the guide from memory, recomputed with scipy
/// in interval-practice 5.3): Zener voltage, container, engine oil.
#[test]
fn examples_of_the_guide() {
    let open = f64::INFINITY;
    let cases = [
        (-5.47, 0.05, limits(-open, -5.40), 0.919243),
        (507.0, 8.6, limits(490.0, open), 0.975965),
        (13.6, 1.8, limits(12.5, 16.3), 0.662630),
    ];
    for (y, u, tolerance, expected) in cases {
        let p = conformance_probability(y, u, tolerance);
        near!(p, expected, 6e-4_f64.min(2e-5 / u));
    }
}

/// Specific risk at the acceptance limit (interval-practice 5.3 table, scipy).
#[test]
fn risk_at_the_acceptance_limit() {
    let table = [
        (0.0, 0.5),
        (0.83, 0.048457),
        (1.0, 0.022750),
        (1.5, 0.00134990),
        (3.0, 9.8659e-10),
    ];
    for (factor, risk) in table {
        let guarded = rule(RuleName::Guarded, factor);
        let tolerance = limits(f64::NEG_INFINITY, 10.0);
        let at_limit = 10.0 - guarded.guard_band(0.5, tolerance) - 1e-12;
        let decision = decide(at_limit, 0.5, tolerance, &guarded);
        assert_eq!(decision.state, State::Conforming);
        near!(
            decision.risk / risk,
            1.0,
            2e-5,
            "{factor} {}",
            decision.risk
        );
    }
}

/// A reading of 4.9 with u = 0.35 against 5: Φ(0.1/0.35) = Φ(0.285714) = 0.61245 (the lower
/// limit 28 u away adds nothing); normal integral by any table.
#[test]
fn a_reading_at_its_limit_is_indeterminate() {
    let tolerance = limits(-5.0, 5.0);
    let state = |value, name| decide(value, 0.35, tolerance, &rule(name, 1.0)).state;
    let made = decide(4.9, 0.35, tolerance, &DecisionRule::SIMPLE);
    assert_eq!(made.state, State::Indeterminate);
    near!(made.probability, 0.61245, 6e-6);
    assert!(
        made.words.contains("61.2 %") && made.words.ends_with("a person decides"),
        "{}",
        made.words
    );
    assert_eq!(state(4.5, RuleName::Simple), State::Conforming);
    assert_eq!(state(5.1, RuleName::Simple), State::Indeterminate);
    assert_eq!(state(5.5, RuleName::Simple), State::Nonconforming);
    // 1.645 u = 0.5757 inside the limit the risk is 5 %.
    assert_eq!(state(4.42, RuleName::Risk), State::Conforming);
    assert_eq!(state(4.43, RuleName::Risk), State::Indeterminate);
    assert_eq!(state(5.58, RuleName::Risk), State::Nonconforming);
    let by_value = DecisionRule {
        doubt_factor: 0.0,
        ..DecisionRule::SIMPLE
    };
    assert_eq!(
        decide(4.9, 0.35, tolerance, &by_value).state,
        State::Conforming
    );
}

#[test]
fn rules_differ_near_the_limit() {
    let tolerance = limits(-1.0, 1.0);
    let state = |x, name| decide(x, 0.1, tolerance, &rule(name, 1.0)).state;
    assert_eq!(state(0.85, RuleName::Simple), State::Conforming);
    assert_eq!(state(0.85, RuleName::Guarded), State::Indeterminate);
    assert_eq!(state(1.15, RuleName::Simple), State::Nonconforming);
    assert_eq!(state(1.15, RuleName::Guarded), State::Indeterminate);
    assert_eq!(state(1.15, RuleName::Relaxed), State::Conforming);
    assert_eq!(state(1.21, RuleName::Relaxed), State::Nonconforming);
    assert_eq!(state(1.21, RuleName::Guarded), State::Nonconforming);
}

#[test]
fn no_statement_says_why() {
    let tolerance = limits(-1.0, 1.0);
    let wide = decide(0.0, 1.0, tolerance, &rule(RuleName::Guarded, 1.0));
    assert_eq!(wide.state, State::Indeterminate);
    says!(wide.words, "guard bands meet");
    let unknown = decide(0.0, f64::NAN, tolerance, &DecisionRule::SIMPLE);
    assert_eq!(unknown.state, State::Unknown);
    let exact = decide(1.0, 0.0, tolerance, &DecisionRule::SIMPLE);
    assert_eq!((exact.state, exact.risk), (State::Conforming, 0.0));
}
