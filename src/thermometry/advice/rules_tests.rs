use super::*;
use crate::settings::SettingsTable;
use crate::thermometry::advice::{Expected, Total};
use crate::thermometry::found::Confirmable;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::range::ratio_change;

/// The worked session: u of a difference is √2 · 22.73 µK.
fn input(change_mk: f64) -> AdviceInput {
    AdviceInput {
        standing: SessionStanding::Used,
        session_reasons: String::new(),
        change_mk,
        u_change_mk: 0.022_731 * std::f64::consts::SQRT_2,
        confirmed: true,
        shocked: false,
        total: None,
        expected: None,
        after_anneals_mk: Vec::new(),
        other_point: None,
        certificate: None,
        platinum: None,
        maximum_c: Some(660.0),
        highest_use_c: 420.0,
    }
}

fn kind(input: &AdviceInput) -> AdviceKind {
    advise(input, &AdviceSettings::default()).kind
}

/// Drifts of the worked session against six earlier values, evaluated independently.
#[test]
fn the_worked_drifts() {
    assert_eq!(kind(&input(-0.0272)), AdviceKind::Keep);
    assert_eq!(kind(&input(0.0811)), AdviceKind::Adopt);
    assert_eq!(kind(&input(0.2680)), AdviceKind::Adopt);
    assert_eq!(kind(&input(1.0060)), AdviceKind::Anneal);
    // R that fell is not annealed: neither strain nor oxide lowers it.
    assert_eq!(kind(&input(-2.4379)), AdviceKind::Repeat);
    assert_eq!(kind(&input(5.1)), AdviceKind::Withdraw);
}

#[test]
fn an_anneal_that_helps_is_adopted() {
    let mut after = input(0.108);
    after.after_anneals_mk = vec![0.108];
    assert_eq!(kind(&after), AdviceKind::Adopt);
    let mut stable = input(1.35);
    stable.after_anneals_mk = vec![1.5, 1.35];
    assert_eq!(kind(&stable), AdviceKind::Adopt);
}

#[test]
fn five_cycles_without_repeat_withdraw() {
    let mut restless = input(1.0);
    restless.after_anneals_mk = vec![3.0, 1.0, 2.5, 3.9, 1.0];
    assert_eq!(kind(&restless), AdviceKind::Withdraw);
    restless.after_anneals_mk.pop();
    restless.change_mk = 3.9;
    assert_eq!(kind(&restless), AdviceKind::Anneal);
}

#[test]
fn a_jump_against_the_history_is_repeated() {
    let mut jump = input(0.4);
    jump.confirmed = false;
    jump.expected = Some(Expected {
        change_mk: 0.05,
        u_mk: 0.05,
    });
    assert_eq!(kind(&jump), AdviceKind::Repeat);
    jump.expected = Some(Expected {
        change_mk: 0.36,
        u_mk: 0.05,
    });
    assert_eq!(kind(&jump), AdviceKind::Adopt);
}

#[test]
fn doubt_and_damage_come_first() {
    let mut doubt = input(9.0);
    doubt.standing = SessionStanding::Rejected;
    doubt.session_reasons = "plateau not flat".into();
    let advice = advise(&doubt, &AdviceSettings::default());
    assert_eq!(advice.kind, AdviceKind::Repeat);
    says!(advice.reason, "plateau not flat");
    let mut damaged = input(0.3);
    let zinc = FixedPoint::Zinc.reference_ratio();
    let seen = |confirmed| Confirmable {
        what: ratio_change(FixedPoint::Zinc, (zinc, zinc - 1e-5), 0.3, 0.3),
        confirmed,
    };
    damaged.other_point = Some(seen(true));
    assert_eq!(kind(&damaged), AdviceKind::Withdraw);
    let mut soft = input(0.3);
    let refused = |confirmed| Confirmable {
        what: Platinum::Refused("W(gallium) = 1.117".into()),
        confirmed,
    };
    soft.platinum = Some(refused(true));
    assert_eq!(kind(&soft), AdviceKind::Withdraw);
    // One session alone asks for another, never for a withdrawal.
    damaged.other_point = Some(seen(false));
    soft.platinum = Some(refused(false));
    assert_eq!(kind(&damaged), AdviceKind::Repeat);
    assert_eq!(kind(&soft), AdviceKind::Repeat);
}

/// Only what raises R is strain or oxide.
#[test]
fn a_fall_is_neither_strain_nor_oxide() {
    let advice = |change| advise(&input(change), &AdviceSettings::default());
    says!(advice(1.0).reason, "strain is likely");
    let reason = advice(-1.0).reason;
    assert!(
        reason.contains("neither strain nor oxide") && !reason.contains("is likely"),
        "{reason}"
    );
}

#[test]
fn what_may_not_be_annealed_is_not() {
    let mut capsule = input(1.0);
    capsule.maximum_c = Some(250.0);
    assert_eq!(kind(&capsule), AdviceKind::Withdraw);
    capsule.maximum_c = Some(420.0);
    assert_eq!(kind(&capsule), AdviceKind::Withdraw);
    capsule.maximum_c = None;
    assert_eq!(kind(&capsule), AdviceKind::Repeat);
}

/// 1.006 mK, scaled, is 2.9514 mK at 420 °C: evaluated independently.
#[test]
fn impact_names_the_largest_error() {
    let advice = advise(&input(1.0060), &AdviceSettings::default());
    says!(advice.impact, "2.95 mK at 420 °C");
    assert!(advice.cautions.contains(&cautions::LOCAL));
    assert!(
        advise(&input(0.0), &AdviceSettings::default())
            .impact
            .is_empty()
    );
}

/// Common practice, no source: a thermometer is handled, whatever the verdict on it.
#[test]
fn every_advice_says_how_the_thermometer_is_handled() {
    let with = |change_mk| advise(&input(change_mk), &AdviceSettings::default());
    for change_mk in [-0.0272, 0.0811, 1.006, -2.4379, 5.1] {
        let advice = with(change_mk);
        assert!(advice.cautions.contains(&cautions::FRAGILE), "{change_mk}");
        assert!(advice.cautions.contains(&cautions::LOCAL), "{change_mk}");
    }
}

#[test]
fn contradictory_limits_are_named() {
    let settings = AdviceSettings {
        adopt_mk: 6.0,
        ..Default::default()
    };
    assert_eq!(settings.check()[0].key, "adopt_mk");
    assert!(AdviceSettings::default().check().is_empty());
}

#[test]
fn one_session_alone_asks_for_another() {
    for change in [1.0, 5.1, -1.0, -5.1] {
        let mut alone = input(change);
        alone.confirmed = false;
        let advice = advise(&alone, &AdviceSettings::default());
        assert_eq!(advice.kind, AdviceKind::Repeat, "{}", advice.reason);
        says!(advice.reason, "one session alone says so");
    }
}

/// −104.989 mK with U = 4213 mK once read "no change is shown".
#[test]
fn what_can_show_nothing_shows_no_missing_change() {
    let mut blind = input(-104.989);
    blind.u_change_mk = 2106.5;
    let advice = advise(&blind, &AdviceSettings::default());
    assert_eq!(advice.kind, AdviceKind::Repeat);
    says_not!(advice.reason, "no change is shown");
}

/// 7.2 mK in four years, adopted in steps of 0.45 mK.
#[test]
fn the_total_since_the_certificate_has_its_own_limit() {
    let mut crept = input(0.45);
    crept.total = Some(Total {
        mk: 7.2,
        u_mk: 0.05,
        confirmed: true,
        since: "since the certificate of 2022-01-10".into(),
    });
    let advice = advise(&crept, &AdviceSettings::default());
    assert_eq!(advice.kind, AdviceKind::Withdraw);
    let words = "+7.20 mK in all since the certificate of 2022-01-10, more than 5 mK";
    assert!(advice.reason.starts_with(words), "{}", advice.reason);
}
