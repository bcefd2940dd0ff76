use super::*;
use crate::records::{Event, Outcome};
use crate::simulate::replay::cut::known_by;
use crate::simulate::replay::past_classes::fit_days;
use crate::simulate::{SimulationSettings, histories};

const AS_OF: f64 = 20_634.0;

fn simulated(text: &str) -> Histories {
    histories(&SimulationSettings::from_toml(text).unwrap())
}

const SMALL: &str = r#"
[[fleet]]
name = "drifters"
prefix = "DR"
instruments = 12
years = 8.0
[fleet.truth]
drift = { normal = { mean = 0.0, deviation = 0.25 } }
wander = 0.1
[fleet.schedule]
late_days = { normal = { mean = 0.0, deviation = 20.0 } }
interval_days = 300.0
"#;

fn replay() -> Replay<'static> {
    let mut tables = DecisionTables::default();
    tables.intervals.cap_days = 1826.0;
    Replay::new(DriftSettings::default(), tables, ReplaySettings::default())
}

/// The walk again, the slow and obvious way: for every forecast the table is cut, the
/// classes fitted and the one history taken from the cut table.
#[test]
fn the_walk_is_that_of_a_slow_and_obvious_reference() {
    let histories = simulated(SMALL);
    let replay = replay();
    let walk = replay.walk(&histories);
    let days = fit_days(&histories, &replay.settings);
    let mut compared = 0;
    for scored in walk.forecasts[0].iter().flatten().step_by(3) {
        let history = histories.get(scored.history as usize);
        let (known_day, target_day) = (
            history.date[scored.origin as usize],
            history.date[scored.target as usize],
        );
        let review = *days.iter().rfind(|day| **day <= known_day).unwrap();
        let lent = crate::drift::class::classes::class_parameters(
            &known_by(&histories, review),
            &replay.drift,
        );
        let cut = known_by(&histories, known_day);
        let fit = crate::drift::state::fit::fit_state(
            &cut.get(scored.history as usize),
            lent.of_history(scored.history as usize),
            &replay.drift,
        );
        let expected = fit.at(target_day / crate::records::DAYS_PER_YEAR).unwrap();
        assert_eq!(expected, scored.prediction);
        compared += 1;
    }
    assert!(compared > 20);
}

/// A short record that stands alone is the hardest: its own newest check is a large part of what
/// its class knows.
#[test]
fn a_past_interval_of_a_lone_item_is_that_of_a_run_on_that_day() {
    let mut histories = simulated(SMALL);
    for (number, item) in histories.items.iter_mut().enumerate() {
        item.group = format!("alone {number}");
    }
    let replay = replay();
    let methods = replay.tables.methods();
    let crossing = methods
        .iter()
        .position(|m| m.name().words() == "drift crossing");
    let of_crossing = |decision: &PastDecision| decision.intervals[crossing.unwrap()].to_bits();
    let mut compared = 0;
    let walk = replay.walk(&histories);
    for past in walk.decisions.iter().filter(|past| past.history < 3) {
        let known = known_by(&histories, past.day);
        let on_the_day = Replay {
            today: Some(Today {
                as_of: past.day,
                thermometry: None,
                past: &[],
            }),
            ..self::replay()
        };
        let last = on_the_day.walk(&known).today;
        let of_run = last.iter().find(|(told, _)| told.history == past.history);
        let (of_run, _) = of_run.unwrap();
        if of_run.row <= 9 {
            assert_eq!(
                of_crossing(past),
                of_crossing(of_run),
                "{past:?} {of_run:?}"
            );
            compared += 1;
        }
    }
    assert!(compared > 15, "{compared}");
}

/// Everything dated after a day is poisoned; nothing forecast or decided up to that day
/// may change.
#[test]
fn the_future_cannot_be_seen() {
    let histories = simulated(SMALL);
    let poisoned_from = AS_OF - 1200.0;
    let mut poisoned = histories.clone();
    let columns = &mut poisoned.columns;
    for row in 0..columns.date.len() {
        if columns.date[row] > poisoned_from {
            columns.as_found[row] = 1e6 + row as f64;
            columns.u[row] = 1e-9;
            columns.event[row] = Event::Replaced;
            columns.outcome[row] = Outcome::Out;
        }
    }
    let (clean, poisoned) = (replay().walk(&histories), replay().walk(&poisoned));
    let before = |walk: &Walk| -> Vec<(u32, u32, u32, u64, u64)> {
        walk.forecasts[0]
            .iter()
            .flatten()
            .filter(|s| s.ahead == Ahead::Next)
            .filter(|s| histories.get(s.history as usize).date[s.target as usize] <= poisoned_from)
            .map(|s| {
                let p = s.prediction;
                (
                    s.history,
                    s.origin,
                    s.target,
                    p.expected.to_bits(),
                    p.u_reading.to_bits(),
                )
            })
            .collect()
    };
    assert!(before(&clean).len() > 30);
    assert_eq!(before(&clean), before(&poisoned));
    let intervals = |walk: &Walk| -> Vec<Vec<u64>> {
        walk.decisions
            .iter()
            .filter(|d| histories.get(d.history as usize).date[d.row as usize] <= poisoned_from)
            .map(|d| d.intervals.iter().map(|days| days.to_bits()).collect())
            .collect()
    };
    assert!(!intervals(&clean).is_empty());
    assert_eq!(intervals(&clean), intervals(&poisoned));
}

#[test]
fn any_number_of_threads_gives_the_same_walk() {
    let histories = simulated(SMALL);
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| format!("{:?}", replay().walk(&histories)))
    };
    assert!(with(1) == with(3));
}

#[test]
fn a_short_record_makes_no_claims() {
    let text = SMALL
        .replace("instruments = 12", "instruments = 2")
        .replace("years = 8.0", "years = 3.0");
    let histories = simulated(&text);
    let replay = replay();
    let result = replay.score(&histories, &replay.walk(&histories));
    says!(result.words[0], "too short to tell");
    assert!(
        result
            .words
            .iter()
            .any(|sentence| sentence.contains("too few to judge"))
    );
}

#[test]
fn a_due_date_between_in_and_out_is_unknown() {
    let mut histories = simulated(SMALL);
    let rows = histories.offsets[1];
    histories.columns.event[..rows].fill(Event::None);
    histories.columns.as_left[..rows].fill(f64::NAN);
    histories.columns.outcome[..rows].fill(Outcome::In);
    histories.columns.outcome[3] = Outcome::Out;
    let history = histories.get(0);
    let gap = |row: usize| history.date[row] - history.date[0];
    assert_eq!(decisions::verdict(&history, 0, gap(2)), Hindsight::In);
    assert_eq!(decisions::verdict(&history, 0, gap(3)), Hindsight::Out);
    assert_eq!(
        decisions::verdict(&history, 0, 0.5 * (gap(2) + gap(3))),
        Hindsight::Unknown
    );
    assert_eq!(decisions::verdict(&history, 3, 9e4), Hindsight::Unknown);
}

#[test]
fn a_history_that_misses_too_often_is_named_and_the_others_are_scored_without_it() {
    let mut histories = simulated(SMALL);
    let restless = 3;
    let rows = histories.offsets[restless]..histories.offsets[restless + 1];
    for (number, row) in rows.enumerate() {
        // A swing that no model of level and drift holds.
        histories.columns.as_found[row] += if number % 2 == 0 { 2.0 } else { -2.0 };
        histories.columns.as_left[row] = histories.columns.as_found[row];
    }
    let replay = replay();
    let walk = replay.walk(&histories);
    let result = replay.score(&histories, &walk);
    let misses = result.forecasters[0].misses.as_ref().unwrap();
    assert_eq!(misses.histories[0].name, histories.items[restless].name());
    let own = misses.histories.iter().map(|m| m.count).sum::<u64>();
    assert_eq!(own + misses.others.count, result.forecasters[0].next.count);
    assert!(result.words[1].contains(&misses.histories[0].name));
}

/// One row of the coverage table that leaves the level out, whichever it is, and no sentence says
/// that the bands hold; without one both that speak of bands do.
#[test]
fn bands_are_as_wide_as_they_claim_where_every_row_says_so() {
    let histories = simulated(SMALL);
    let replay = replay();
    let mut result = replay.score(&histories, &replay.walk(&histories));
    let first = &mut result.forecasters[0];
    let rows = |first: &mut ForecasterResult, off: usize| {
        let parts = [
            &mut first.by_horizon,
            &mut first.by_known,
            &mut first.by_group,
        ];
        let rows = std::iter::once(&mut first.next).chain(parts.into_iter().flatten());
        let mut number = 0;
        for row in rows {
            (row.count, row.inside) = (1000, 950);
            row.limits = (0.93, 0.97);
            if number == off {
                (row.inside, row.limits) = (900, (0.88, 0.92));
            }
            number += 1;
        }
        number
    };
    let claims = |first: &ForecasterResult| {
        let words = words::findings(std::slice::from_ref(first), &[], &[], &replay);
        let claim = |sentence: &&String| sentence.contains("as wide as they claim");
        (words.iter().filter(claim).count(), words[0].clone())
    };
    let number = rows(first, usize::MAX);
    assert_eq!(claims(first).0, 2);
    assert!(number > 6, "{number}");
    for off in 0..number {
        rows(first, off);
        let (claimed, said) = claims(first);
        assert_eq!(claimed, 0, "row {off}: {said}");
        assert!(said.contains("90.0 %"), "row {off}: {said}");
    }
}
