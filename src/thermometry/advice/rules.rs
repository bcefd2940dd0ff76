/*! The rules of the advice, in the order in which they are asked. */

use super::anneal::plan;
use super::kind::{Advice, AdviceInput, AdviceKind};
use super::settings::AdviceSettings;
use crate::thermometry::cautions;
use crate::thermometry::its90::Platinum;
use crate::thermometry::range::worst_mk;
use crate::thermometry::session::Standing;
use crate::words::Short;

const SITE: &str = "limit of the site; common practice, no source";
const STABILISATION: &str =
    "Minor and Strouse, Stabilization of SPRTs for ITS-90 calibrations, NCSLI conference 2005";
const GUM: &str = "JCGM 100:2008 (uncertainty of the difference, expanded)";
const SCALE: &str = "ITS-90, Metrologia 27 (1990) 3, section 3.3";

/// Advice for one check.
pub fn advise(input: &AdviceInput, settings: &AdviceSettings) -> Advice {
    let rules = [
        session_in_doubt,
        platinum_refused,
        ratio_moved,
        no_change,
        beyond_limit,
        after_anneal,
        small_change,
    ];
    let (kind, reason, source) = rules
        .iter()
        .find_map(|rule| rule(input, settings))
        .unwrap_or_else(|| strain(input, settings));
    let anneal = (kind == AdviceKind::Anneal)
        .then(|| input.maximum_c.and_then(plan))
        .flatten();
    Advice {
        kind,
        reason,
        source,
        impact: impact(input, kind),
        cautions: cautions_of(kind),
        anneal,
    }
}

type Answer = Option<(AdviceKind, String, &'static str)>;

fn session_in_doubt(input: &AdviceInput, _: &AdviceSettings) -> Answer {
    let unusable = input.standing == Standing::Rejected
        || !input.change_mk.is_finite()
        || !input.u_change_mk.is_finite();
    unusable.then(|| {
        let why = if input.session_reasons.is_empty() {
            "the change or its uncertainty is not known"
        } else {
            &input.session_reasons
        };
        let reason =
            format!("the session is no valid measurement ({why}): repeat it, decide nothing");
        (AdviceKind::Repeat, reason, SITE)
    })
}

fn platinum_refused(input: &AdviceInput, _: &AdviceSettings) -> Answer {
    match &input.platinum {
        Some(Platinum::Refused(words)) => {
            let reason = format!("the platinum no longer carries the scale: {words}");
            Some((AdviceKind::Withdraw, reason, SCALE))
        }
        _ => None,
    }
}

fn ratio_moved(input: &AdviceInput, _: &AdviceSettings) -> Answer {
    let other = input.other_point.as_ref()?;
    other
        .moved()
        .then(|| (AdviceKind::Withdraw, other.words.clone(), GUM))
}

fn no_change(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    let expanded = settings.coverage_factor * input.u_change_mk;
    (input.change_mk.abs() <= expanded).then(|| {
        let reason = format!(
            "no change is shown: {:+.3} mK with U = {:.3} mK (k = {})",
            Short(input.change_mk),
            Short(expanded),
            settings.coverage_factor
        );
        (AdviceKind::Keep, reason, GUM)
    })
}

fn beyond_limit(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    (input.change_mk.abs() > settings.withdraw_mk).then(|| {
        let reason = format!(
            "changed by {:+.3} mK, more than {} mK: withdraw and recalibrate",
            Short(input.change_mk),
            settings.withdraw_mk
        );
        (AdviceKind::Withdraw, reason, SITE)
    })
}

fn after_anneal(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    let values = &input.after_anneals_mk;
    let last = *values.last()?;
    let repeats =
        values.len() >= 2 && (last - values[values.len() - 2]).abs() <= settings.repeat_mk;
    if repeats || last.abs() <= settings.adopt_mk {
        let reason = if repeats {
            format!(
                "two successive values after anneals agree within {} mK: adopt the last ({:+.3} mK) \
                 and measure a second fixed point",
                settings.repeat_mk,
                Short(last)
            )
        } else {
            format!(
                "the anneal brought the change back to {:+.3} mK: adopt, it looks like relieved strain",
                Short(last)
            )
        };
        return Some((AdviceKind::Adopt, reason, STABILISATION));
    }
    let cycles = values.len() as u32;
    (cycles >= settings.cycles).then(|| {
        let reason = format!(
            "not stable after {cycles} anneal cycles (limit {}): withdraw and recalibrate",
            settings.cycles
        );
        (AdviceKind::Withdraw, reason, STABILISATION)
    })
}

fn small_change(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    if input.change_mk.abs() > settings.adopt_mk {
        return None;
    }
    let change = format!(
        "changed by {:+.3} mK, shown and within {} mK",
        Short(input.change_mk),
        settings.adopt_mk
    );
    match input.expected {
        Some(e) if (input.change_mk - e.change_mk).abs() > settings.coverage_factor * e.u_mk => {
            let reason = format!(
                "{change}, but the history lets expect {:+.3} mK ± {:.3} mK: a jump, not its drift; \
                 repeat the check, then anneal if it stays",
                Short(e.change_mk),
                Short(settings.coverage_factor * e.u_mk)
            );
            Some((AdviceKind::Repeat, reason, SITE))
        }
        Some(_) => {
            let reason = format!("{change}, as the history lets expect: adopt the new value");
            Some((AdviceKind::Adopt, reason, SITE))
        }
        None => {
            let reason =
                format!("{change}, no history to compare with: adopt the new value and watch");
            Some((AdviceKind::Adopt, reason, SITE))
        }
    }
}

/// What is left: more than the adoption limit, less than the limit of withdrawal.
fn strain(input: &AdviceInput, settings: &AdviceSettings) -> (AdviceKind, String, &'static str) {
    let change = format!(
        "changed by {:+.3} mK, more than {} mK",
        Short(input.change_mk),
        settings.adopt_mk
    );
    let change = match &input.other_point {
        Some(other) => format!("{change} ({})", other.words),
        None => change,
    };
    // Strain, quenched vacancies and oxide all raise R (Matthiessen's rule; pattern from memory).
    let cause = match input.change_mk > 0.0 {
        true => "strain or oxide is likely",
        false => {
            "R fell, which neither strain nor oxide does: look for leakage, moisture or a shorted turn first"
        }
    };
    let cycle = input.after_anneals_mk.len() + 1;
    match input.maximum_c.and_then(plan) {
        Some(plan) => {
            let reason = format!(
                "{change}: {cause}; {} (cycle {cycle} of at most {})",
                plan.words(),
                settings.cycles
            );
            (AdviceKind::Anneal, reason, SITE)
        }
        None if input.maximum_c.is_none() => {
            let reason = format!(
                "{change}: {cause}, but its maximum temperature is not stated; \
                 state maximum_c before it is annealed"
            );
            (AdviceKind::Repeat, reason, SITE)
        }
        None => {
            let reason = format!("{change} and it may not be annealed: withdraw and recalibrate");
            (AdviceKind::Withdraw, reason, SITE)
        }
    }
}

fn impact(input: &AdviceInput, kind: AdviceKind) -> String {
    if matches!(kind, AdviceKind::Keep) || !input.change_mk.is_finite() {
        return String::new();
    }
    format!(
        "work since the last good check with the old value may be wrong by up to {:.2} mK at {} °C",
        Short(worst_mk(input.change_mk, input.highest_use_c)),
        input.highest_use_c
    )
}

fn cautions_of(kind: AdviceKind) -> Vec<&'static str> {
    let mut list = Vec::new();
    match kind {
        AdviceKind::Keep | AdviceKind::Adopt => {}
        AdviceKind::Repeat => list.push(cautions::CELL),
        AdviceKind::Anneal => list.extend([cautions::HOT, cautions::SHEATH, cautions::DOUBT]),
        AdviceKind::Withdraw => list.push(cautions::DOUBT),
    }
    if !list.is_empty() {
        list.push(cautions::LOCAL);
    }
    list
}

#[cfg(test)]
#[path = "rules_tests.rs"]
mod tests;
