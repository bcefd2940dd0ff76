/*! What each guardrail of the policy costs: alone, and taken away from all of them. */

use super::Candidate;
use super::product::decided;
use crate::decisions::policy::{PolicySettings, StepRate};
use crate::intervals::MethodName;

/// Growth at once where nothing else is asked for.
const FREE_GROWTH: f64 = 1e3;

/// One guardrail: its name in tables, and how it is put in force as by default.
type Guardrail = (&'static str, fn(&mut PolicySettings, &PolicySettings));

const GUARDRAILS: [Guardrail; 6] = [
    ("twofold growth", |to, from| {
        to.largest_extension = from.largest_extension;
    }),
    ("three checks", |to, from| {
        to.checks_to_extend = from.checks_to_extend;
    }),
    ("three checks after a failure", |to, from| {
        to.checks_after_failure = from.checks_after_failure;
    }),
    ("record", |to, from| to.beyond_record = from.beyond_record),
    ("target at the due date", |to, from| {
        to.below_target = from.below_target;
    }),
    ("surprise", |to, from| {
        to.extend_after_surprise = from.extend_after_surprise;
    }),
];

/// The policy without any guardrail.
fn free() -> PolicySettings {
    PolicySettings {
        largest_extension: FREE_GROWTH,
        checks_to_extend: 0,
        checks_after_failure: 0,
        beyond_record: true,
        below_target: true,
        extend_after_surprise: true,
        ..PolicySettings::default()
    }
}

/// The policy with those guardrails that `kept` lets stand.
fn with(kept: impl Fn(usize) -> bool) -> PolicySettings {
    let (mut settings, default) = (free(), PolicySettings::default());
    for (number, (_, keep)) in GUARDRAILS.iter().enumerate() {
        if kept(number) {
            keep(&mut settings, &default);
        }
    }
    settings
}

/// By target and by cost: no guardrail, all, each alone, and all but each.
pub(crate) fn candidates() -> Vec<Candidate> {
    let by_cost = vec![MethodName::LeastCost, MethodName::DriftCrossing];
    let rules = [
        ("target", vec![MethodName::DriftCrossing]),
        ("least cost", by_cost),
    ];
    let mut all = Vec::new();
    for (rule, methods) in rules {
        let mut add = |name: &str, settings: PolicySettings| {
            all.push(decided(
                format!("{rule}, {name}"),
                methods.clone(),
                settings,
            ));
        };
        add("no guardrail", with(|_| false));
        add("all", with(|_| true));
        let bearing = PolicySettings {
            step_rate: StepRate::Largest,
            ..with(|_| true)
        };
        add("all, steps as frequent as the record bears", bearing);
        for (number, (name, _)) in GUARDRAILS.iter().enumerate() {
            add(&format!("only {name}"), with(|other| other == number));
            add(&format!("all but {name}"), with(|other| other != number));
        }
    }
    all
}
