/*! The rules of the advice, in the order in which they are asked. */

use super::anneal::plan;
use super::change_rules::{
    Answer, GUM, SCALE, SITE, after_anneal, beyond_limit, large_change, once, small_change,
};
use super::kind::{Advice, AdviceInput, AdviceKind};
use super::settings::AdviceSettings;
use crate::thermometry::cautions;
use crate::thermometry::its90::Platinum;
use crate::thermometry::range::worst_mk;
use crate::thermometry::session::SessionStanding;
use crate::words::Short;

/// Advice for one check.
pub(crate) fn advise(input: &AdviceInput, settings: &AdviceSettings) -> Advice {
    let rules = [
        session_in_doubt,
        nothing_can_show,
        platinum_refused,
        off_its_certificate,
        ratio_moved,
        total_too_large,
        no_change,
        beyond_limit,
        after_anneal,
        small_change,
    ];
    let (kind, reason, source) = rules
        .iter()
        .find_map(|rule| rule(input, settings))
        .unwrap_or_else(|| large_change(input, settings));
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

/// Advice after a session that was rejected for these reasons, where nothing else is known of the thermometer.
pub(crate) fn after_rejection(reasons: &str) -> Advice {
    let (kind, reason, source) = no_measurement(reasons);
    Advice {
        kind,
        reason,
        source,
        impact: String::new(),
        cautions: cautions_of(kind),
        anneal: None,
    }
}

fn no_measurement(why: &str) -> (AdviceKind, String, &'static str) {
    let reason = format!("the session is no valid measurement ({why}): repeat it, decide nothing");
    (AdviceKind::Repeat, reason, SITE)
}

fn session_in_doubt(input: &AdviceInput, _: &AdviceSettings) -> Answer {
    let unusable = input.standing == SessionStanding::Rejected
        || !input.change_mk.is_finite()
        || !input.u_change_mk.is_finite();
    unusable.then(|| {
        let why = if input.session_reasons.is_empty() {
            "the change or its uncertainty is not known"
        } else {
            &input.session_reasons
        };
        no_measurement(why)
    })
}

/// An uncertainty beyond the limit of withdrawal shows nothing, whatever was read.
fn nothing_can_show(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    let expanded = settings.coverage_factor * input.u_change_mk;
    (expanded > settings.withdraw_mk).then(|| {
        let reason = format!(
            "{:+.3} mK with U = {:.3} mK (k = {}): this session can show no change within the {} mK at which the \
             thermometer would be withdrawn; look for what makes U so large, then repeat",
            Short(input.change_mk),
            Short(expanded),
            settings.coverage_factor,
            settings.withdraw_mk
        );
        (AdviceKind::Repeat, reason, GUM)
    })
}

fn platinum_refused(input: &AdviceInput, _: &AdviceSettings) -> Answer {
    let found = input.platinum.as_ref()?;
    let Platinum::Refused(words) = &found.what else {
        return None;
    };
    let reason = format!("the platinum no longer carries the scale: {words}");
    Some(confirmed_or_repeat(found.confirmed, reason, SCALE))
}

fn off_its_certificate(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    let found = input.certificate.as_ref()?;
    let off = found.what.is_off(settings.coverage_factor);
    off.then(|| confirmed_or_repeat(found.confirmed, found.what.words(), GUM))
}

fn ratio_moved(input: &AdviceInput, _: &AdviceSettings) -> Answer {
    let found = input.other_point.as_ref()?;
    let moved = found.what.moved();
    moved.then(|| confirmed_or_repeat(found.confirmed, found.what.words.clone(), GUM))
}

/// What two sessions say withdraws; one alone is read again first.
fn confirmed_or_repeat(
    confirmed: bool,
    reason: String,
    source: &'static str,
) -> (AdviceKind, String, &'static str) {
    match confirmed {
        true => (AdviceKind::Withdraw, reason, source),
        false => {
            let reason = format!(
                "{reason}; one session alone says so: read that point again before anything is decided"
            );
            (AdviceKind::Repeat, reason, source)
        }
    }
}

fn total_too_large(input: &AdviceInput, settings: &AdviceSettings) -> Answer {
    let total = input.total.as_ref()?;
    let shown = total.mk.abs() > settings.coverage_factor * total.u_mk;
    if total.mk.abs() <= settings.total_mk || !shown {
        return None;
    }
    let reason = format!(
        "{:+.2} mK in all {}, more than {} mK: in one step or in many that were adopted, the coefficients are no \
         longer those of this thermometer",
        Short(total.mk),
        total.since,
        settings.total_mk
    );
    match total.confirmed {
        true => {
            let reason = format!("{reason}; withdraw and recalibrate");
            Some((AdviceKind::Withdraw, reason, SITE))
        }
        false => Some((AdviceKind::Repeat, once(input, &reason), SITE)),
    }
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
    let mut list = match kind {
        AdviceKind::Keep | AdviceKind::Adopt => vec![cautions::FRAGILE],
        AdviceKind::Repeat => vec![cautions::CELL, cautions::ALCOHOL, cautions::FRAGILE],
        AdviceKind::Anneal => vec![
            cautions::HOT,
            cautions::SHEATH,
            cautions::ALCOHOL,
            cautions::FRAGILE,
            cautions::DOUBT,
        ],
        AdviceKind::Withdraw => vec![cautions::FRAGILE, cautions::DOUBT],
    };
    list.push(cautions::LOCAL);
    list
}

#[cfg(test)]
#[path = "rules_tests.rs"]
mod tests;
