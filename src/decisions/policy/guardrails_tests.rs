/*! What no interval passes: each guardrail acts, says so, and can be switched off. */

use super::tests::{CALM, decided, proposing, record as yearly};
use super::*;
use crate::decisions::testing::*;
use crate::intervals::Forecast;
use crate::records::Event;

const FAST: Known = Known { drift: 0.8, ..CALM };

#[test]
fn no_interval_is_longer_than_its_own_record() {
    let short = || {
        Record::new()
            .check(330.0, 0.0)
            .check(530.0, 0.0)
            .check(730.0, 0.0)
    };
    let fit = CALM.fit(730.0, 3);
    let settings = PolicySettings::default();
    let held = decided(short(), &fit, &proposing(700.0), &settings);
    assert_eq!((held.action, held.interval_days), (Action::Extend, 400.0));
    says!(held.reason, "its own record is 400 d long");
    let free = PolicySettings {
        beyond_record: true,
        ..settings
    };
    let free = decided(short(), &fit, &proposing(700.0), &free);
    assert_eq!(free.interval_days, 700.0);
}

/// A usage counter of 1e308, say: the staircase saw nothing but a value well inside its limits.
#[test]
fn values_that_could_not_be_fitted_are_not_extended() {
    let fit = unfitted(Status::Failed);
    let settings = PolicySettings::default();
    let held = decided(yearly(), &fit, &proposing(700.0), &settings);
    assert_eq!((held.action, held.interval_days), (Action::Keep, 365.0));
    says!(held.reason, "could not be fitted");
}

/// Checked yearly, then on a short interval because its value had come near a limit; adjusted.
#[test]
fn a_return_to_an_interval_that_it_held_is_no_growth() {
    let near_a_limit = || {
        let mut record = Record::new()
            .check(0.0, 0.0)
            .check(365.0, 0.3)
            .check(730.0, 0.6)
            .check(830.0, 0.75)
            .left(0.0);
        record.item.interval_days = Some(100.0);
        record
    };
    let fit = CALM.fit(830.0, 4);
    let settings = PolicySettings::default();
    let held = decided(near_a_limit(), &fit, &proposing(700.0), &settings);
    assert_eq!((held.action, held.interval_days), (Action::Extend, 365.0));
    says!(held.reason, "it has held before");

    // A failure, or another item, since then: what it held before says nothing.
    let mut failed = near_a_limit();
    failed.columns.as_found[2] = 1.2;
    let mut repaired = near_a_limit();
    repaired.columns.event[2] = Event::Repaired;
    for record in [failed, repaired] {
        let growing = decided(record, &fit, &proposing(700.0), &settings);
        assert_eq!(growing.interval_days, 200.0, "{}", growing.reason);
    }
    let mut stepped = fit.clone();
    stepped.stepped = Some(2);
    let growing = decided(near_a_limit(), &stepped, &proposing(700.0), &settings);
    assert_eq!(growing.interval_days, 200.0);
}

/// The floor came after the veto, and lengthened the interval that a failure had shortened.
#[test]
fn no_floor_lengthens_the_interval_after_a_failure() {
    let failed = |floor| {
        let mut record = yearly().check(830.0, 1.2).left(0.0);
        record.item.interval_days = Some(100.0);
        record.item.floor_days = Some(floor);
        let fit = CALM.fit(830.0, 4);
        decided(record, &fit, &proposing(30.0), &PolicySettings::default())
    };
    let held = failed(365.0);
    assert_eq!((held.action, held.interval_days), (Action::Keep, 100.0));
    let why = "the shortest interval allowed, 365 d, is longer than the one in use";
    says!(held.reason, why);
    assert_eq!(failed(60.0).interval_days, 60.0);
}

/// Nothing leads, so that nothing is known that could lengthen an interval; a floor did.
#[test]
fn no_floor_lengthens_an_interval_that_nothing_leads() {
    let unled = |in_use, floor, cap| {
        let mut record = yearly();
        record.item.interval_days = Some(in_use);
        record.item.floor_days = Some(floor);
        record.item.cap_days = Some(cap);
        let fit = CALM.fit(730.0, 3);
        decided(record, &fit, &[], &PolicySettings::default())
    };
    let kept = unled(90.0, 200.0, 800.0);
    assert_eq!((kept.action, kept.interval_days), (Action::Review, 90.0));
    let stays = "; 90 d stay in force until then.";
    assert!(kept.reason.ends_with(stays), "{}", kept.reason);

    let capped = unled(730.0, 30.0, 400.0);
    assert_eq!(
        (capped.action, capped.interval_days),
        (Action::Review, 400.0)
    );
    let both = "; 730 d stay in force until then, and 400 d are proposed; the register's cap";
    assert!(capped.reason.contains(both), "{}", capped.reason);
}

#[test]
fn no_due_date_lies_where_the_forecast_is_below_the_target() {
    let fit = FAST.fit(730.0, 3);
    let settings = PolicySettings::default();
    let held = decided(yearly(), &fit, &proposing(700.0), &settings);
    assert!(held.probability_in_tolerance >= 0.95, "{}", held.reason);
    assert!(held.interval_days < 460.0 && held.reason.contains("below the target of 95 %"));

    let mut floored = yearly();
    floored.item.floor_days = Some(700.0);
    let asked = decided(floored, &fit, &proposing(700.0), &settings);
    assert_eq!(asked.action, Action::Review);
    says!(asked.reason, "even after 700 d");

    let free = PolicySettings {
        below_target: true,
        ..settings
    };
    let free = decided(yearly(), &fit, &proposing(700.0), &free);
    assert_eq!(free.interval_days, 700.0);
    assert!(
        free.reason
            .starts_with("Below the target of 95 %, as the pipeline allows: ")
    );
}

#[test]
fn a_higher_target_gives_a_shorter_interval() {
    let fit = FAST.fit(730.0, 3);
    let histories = yearly().histories();
    let evidence = evidence(&histories, &fit);
    let at = |target| guardrails::within_forecast(&evidence, target).unwrap();
    let forecast = Forecast::new(&evidence).unwrap();
    assert!(at(0.99) < at(0.95));
    assert!(forecast.probability_in(at(0.99)).unwrap() >= 0.99);
    assert!(forecast.probability_in(at(0.99) + 1.0).unwrap() < 0.99);
}

#[test]
fn after_a_shock_a_repair_or_a_step_a_person_looks_first() {
    let settings = PolicySettings::default();
    let group = GroupEvidence::default();
    let after = |event: Event, stepped: Option<u32>, settings: &PolicySettings| {
        let mut fit = CALM.fit(730.0, 3);
        fit.stepped = stepped;
        let mut histories = yearly().histories();
        histories.columns.event[2] = event;
        let evidence = evidence(&histories, &fit);
        decide(&evidence, &proposing(700.0), &group, settings, &[])
    };
    for (event, stepped) in [
        (Event::Shocked, None),
        (Event::Repaired, None),
        (Event::None, Some(2)),
    ] {
        let held = after(event, stepped, &settings);
        assert_eq!((held.action, held.interval_days), (Action::Review, 365.0));
        assert!(
            held.reason
                .starts_with("Review by a person, keep 365 d until then")
        );
        says!(held.reason, "1972-01-01");
    }
    assert_eq!(
        after(Event::None, Some(1), &settings).action,
        Action::Extend
    );
    // A shorter interval is proposed all the same, and the person asked.
    let mut histories = yearly().histories();
    histories.columns.event[2] = Event::Shocked;
    let fit = CALM.fit(730.0, 3);
    let evidence = evidence(&histories, &fit);
    let shorter = decide(&evidence, &proposing(200.0), &group, &settings, &[]);
    assert_eq!(
        (shorter.action, shorter.interval_days),
        (Action::Review, 200.0)
    );
    says!(
        shorter.reason,
        "a shock is recorded on 1972-01-01, and a person judges it first"
    );
    let free = PolicySettings {
        extend_after_surprise: true,
        ..settings
    };
    assert_eq!(after(Event::Shocked, None, &free).action, Action::Extend);
}

#[test]
fn what_is_decided_today_makes_nothing_overdue_in_the_past() {
    let fit = CALM.fit(730.0, 3);
    let histories = yearly().histories();
    let mut evidence = evidence(&histories, &fit);
    let group = GroupEvidence::default();
    let settings = PolicySettings::default();
    let mut after = |day: f64, proposed: f64| {
        evidence.as_of = day;
        let mut made = decide(&evidence, &proposing(proposed), &group, &settings, &[]);
        end_with_due(&evidence, &mut made);
        made
    };
    let mut on = |day: f64| after(day, 100.0);
    let now = on(930.0);
    assert_eq!((now.interval_days, now.due_date), (100.0, 930.0));
    says!(now.reason, " Calibrate now: ");
    let late = on(1200.0);
    assert_eq!(late.due_date, 730.0 + 365.0);
    assert!(
        late.reason.ends_with(" Overdue since 1972-12-31."),
        "{}",
        late.reason
    );
    assert_eq!(on(800.0).due_date, 830.0);
    // A longer interval that nobody approved yet does not put off the day since when it is overdue.
    let longer = after(1500.0, 500.0);
    assert_eq!(longer.due_date, 730.0 + 500.0);
    let both =
        " Overdue since 1972-12-31 by the interval in force, since 1973-05-15 by the longer one.";
    assert!(longer.reason.ends_with(both), "{}", longer.reason);
}
