/*! The rules about a change of R at the triple point of water: how large, what made it, what mends it. */

use super::anneal::plan;
use super::kind::{AdviceInput, AdviceKind, Expected};
use super::settings::AdviceSettings;
use crate::words::Short;

pub(super) const SITE: &str = "limit of the site; common practice, no source";
pub(super) const STABILISATION: &str =
    "Minor and Strouse, Stabilization of SPRTs for ITS-90 calibrations, NCSLI conference 2005";
pub(super) const GUM: &str = "JCGM 100:2008 (uncertainty of the difference, expanded)";
pub(super) const SCALE: &str = "ITS-90, Metrologia 27 (1990) 3, section 3.3";

/// What to do, why, and the rule's source; `None` where the rule does not apply.
pub(super) type Answer = Option<(AdviceKind, String, &'static str)>;

pub(super) fn beyond_limit(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    if input.change_mk.abs() <= settings.withdraw_mk {
        return None;
    }
    let change = format!(
        "changed by {:+.3} mK, more than {} mK",
        Short(input.change_mk),
        settings.withdraw_mk
    );
    match input.confirmed {
        true => {
            let reason = format!("{change}: withdraw and recalibrate");
            Some((AdviceKind::Withdraw, reason, SITE))
        }
        false => Some((AdviceKind::Repeat, once(input, &change), SITE)),
    }
}

/// One session says so, or it is in doubt: what to do before anything else.
pub(super) fn once(input: &AdviceInput, change: &str) -> String {
    let doubt = match input.session_reasons.as_str() {
        "" => String::new(),
        reasons => format!(" ({reasons})"),
    };
    let knock = if input.shocked {
        " after the knock"
    } else {
        ""
    };
    format!(
        "{change}; one session alone says so{knock}{doubt}: repeat it on another day before anything is decided"
    )
}

pub(super) fn after_anneal(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
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

pub(super) fn small_change(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    if input.change_mk.abs() > settings.adopt_mk {
        return None;
    }
    let change = format!(
        "changed by {:+.3} mK, shown and within {} mK",
        Short(input.change_mk),
        settings.adopt_mk
    );
    let again = match (input.confirmed, input.shocked) {
        // A second session says the same: it is the new value, whatever made it.
        (true, _) => {
            return Some((
                AdviceKind::Adopt,
                format!("{change} in two sessions: adopt the new value"),
                SITE,
            ));
        }
        (false, true) => Some("a knock was noted, which strains".to_string()),
        (false, false) => input
            .expected
            .filter(|e| jumped(input, e, settings))
            .map(|e| {
                format!(
                    "but the history lets expect {:+.3} mK ± {:.3} mK: a jump, not its drift",
                    Short(e.change_mk),
                    Short(settings.coverage_factor * e.u_mk)
                )
            }),
    };
    if let Some(why) = again {
        let reason = format!("{change}, {why}; repeat the check, then anneal if it stays");
        return Some((AdviceKind::Repeat, reason, SITE));
    }
    let reason = match input.expected {
        Some(_) => format!("{change}, as the history lets expect: adopt the new value"),
        None => format!("{change}, no history to compare with: adopt the new value and watch"),
    };
    Some((AdviceKind::Adopt, reason, SITE))
}

/// True where the change is farther from what the history lets expect than its uncertainty.
fn jumped(input: &AdviceInput, expected: &Expected, settings: &AdviceSettings) -> bool {
    (input.change_mk - expected.change_mk).abs() > settings.coverage_factor * expected.u_mk
}

/// What is left: more than the adoption limit, less than the limit of withdrawal.
pub(super) fn large_change(
    input: &AdviceInput,
    settings: &AdviceSettings,
) -> (AdviceKind, String, &'static str) {
    let mut change = format!(
        "changed by {:+.3} mK, more than {} mK",
        Short(input.change_mk),
        settings.adopt_mk
    );
    if let Some(other) = &input.other_point {
        change = format!("{change} ({})", other.what.words);
    }
    if !input.confirmed && input.after_anneals_mk.is_empty() {
        return (AdviceKind::Repeat, once(input, &change), SITE);
    }
    match input.change_mk < 0.0 {
        true => fallen(input, &change),
        false => risen(input, &change, settings),
    }
}

/// Neither strain nor oxide lowers R: what lowers it is relieved strain, or a leak of current.
fn fallen(input: &AdviceInput, change: &str) -> (AdviceKind, String, &'static str) {
    if !input.after_anneals_mk.is_empty() {
        let reason = format!(
            "{change}: R fell with the anneal, strain of before is relieved; anneal no further, measure W at a second \
             fixed point, then adopt or recalibrate"
        );
        return (AdviceKind::Repeat, reason, SITE);
    }
    let reason = format!(
        "{change}: R fell, which neither strain nor oxide does; look for moisture or leakage (noise, dependence on the \
         current, insulation) or a value in use that was read too high, do not anneal, measure W at a second fixed point"
    );
    (AdviceKind::Repeat, reason, SITE)
}

/// What raises R: a knock, a slow change in use, or something sudden.
fn risen(
    input: &AdviceInput,
    change: &str,
    settings: &AdviceSettings,
) -> (AdviceKind, String, &'static str) {
    let slow = input.expected.is_some_and(|e| !jumped(input, &e, settings));
    let cause = match (input.shocked, slow) {
        (true, _) => "strain by the knock is likely",
        (false, true) => "it came slowly, as oxide or strain in use does",
        (false, false) => "strain is likely",
    };
    let cycle = input.after_anneals_mk.len() + 1;
    match (input.maximum_c.and_then(plan), input.maximum_c) {
        (Some(plan), _) => {
            let reason = format!(
                "{change}: {cause}; {} (cycle {cycle} of at most {})",
                plan.words(),
                settings.cycles
            );
            (AdviceKind::Anneal, reason, SITE)
        }
        (None, None) => {
            let reason = format!(
                "{change}: {cause}, but its maximum temperature is not stated; state maximum_c before it is annealed"
            );
            (AdviceKind::Repeat, reason, SITE)
        }
        (None, Some(maximum)) => {
            let reason = format!(
                "{change}: {cause}; rated to {maximum} °C it may not be annealed: withdraw and recalibrate"
            );
            (AdviceKind::Withdraw, reason, SITE)
        }
    }
}
