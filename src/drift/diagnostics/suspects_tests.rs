use super::*;
use crate::drift::testing::*;
use crate::records::{Event, Outcome, Tolerance};

/// Twelve yearly readings of each of six items that drift evenly, `u` 0.1, tolerance ±2,
/// with `change` added to the readings of the first item.
pub(crate) fn class_of_six(change: &dyn Fn(usize) -> f64) -> Histories {
    let (items, checks) = (6, 12);
    let noise = |k: usize| 0.1 * ((k * 7919 % 101) as f64 / 50.0 - 1.0);
    let record = |i: usize| {
        let mut record = Record::new();
        record.item.instrument = format!("item {i}");
        record.item.group = "class".into();
        record.item.unit = "mV".into();
        record.item.tolerance = Tolerance::new(-2.0, 2.0);
        (0..checks).fold(record, |record, check| {
            let own = if i == 0 { change(check) } else { 0.0 };
            let value = 0.05 * check as f64 + noise(i * checks + check) + own;
            record.check(15_000.0 + 365.25 * check as f64, value)
        })
    };
    fleet((0..items).map(record))
}

fn rows(all: &Histories) -> Vec<u32> {
    let settings = DriftSettings::default();
    let classes = class_parameters(all, &settings);
    let fit = fit_model(&all.get(0), classes.of_history(0), &settings);
    assert_eq!(fit.model, ModelName::State);
    let kept = fit.notes.iter().filter(|note| note.contains("it is kept"));
    assert_eq!(kept.count(), fit.suspects.len());
    fit.suspects.iter().map(|suspect| suspect.row).collect()
}

#[test]
fn a_wild_reading_is_named_wherever_it_stands() {
    assert!(rows(&class_of_six(&|_| 0.0)).is_empty());
    for wild in [0, 1, 5, 10, 11] {
        let all = class_of_six(&|check| if check == wild { 1.5 } else { 0.0 });
        assert_eq!(rows(&all), [wild as u32], "reading {wild}");
    }
    let all = class_of_six(&|check| if check == 3 || check == 8 { -1.5 } else { 0.0 });
    let mut both = rows(&all);
    both.sort_unstable();
    assert_eq!(both, [3, 8]);
}

/// The second reading is out of tolerance. Where an adjustment followed it, a person took it for true; it is not
/// the first, good one that is off.
#[test]
fn a_good_first_reading_is_not_blamed_for_the_failed_one_after_it() {
    for left in [0.05, f64::NAN] {
        let mut all = class_of_six(&|check| if check == 1 { 3.0 } else { 0.0 });
        assert_eq!(rows(&all), [1]);
        all.columns.event[1] = Event::Adjusted;
        all.columns.as_left[1] = left;
        assert!(rows(&all).is_empty(), "left {left}");
    }
}

#[test]
fn a_step_is_not_an_outlier() {
    for from in [3, 6, 9] {
        let all = class_of_six(&|check| if check >= from { 1.2 } else { 0.0 });
        assert!(rows(&all).is_empty(), "step at {from}");
    }
}

#[test]
fn leaving_out_keeps_dates_outcomes_and_events() {
    let mut all = class_of_six(&|_| 0.0);
    all.columns.as_left[2] = all.columns.as_found[2];
    let suspect = Suspect {
        row: 2,
        as_left: false,
        value: 0.0,
        residual: 0.0,
        deleted: 0.0,
        p: 0.0,
        last: false,
    };
    let others = without(&all.get(0), &[suspect]);
    let history = others.get(0);
    assert_eq!((history.len(), history.date), (12, all.get(0).date));
    assert!(history.as_found[2].is_nan() && history.as_left[2].is_nan());
    assert_eq!(history.outcome_at(2), Outcome::In);
    assert_eq!(history.happened(2), Event::None);
}

#[test]
fn one_sentence_tells_of_a_wild_reading() {
    let all = class_of_six(&|check| if check == 6 { 3.0 } else { 0.0 });
    let settings = DriftSettings::default();
    let classes = class_parameters(&all, &settings);
    let fit = crate::drift::fit_model(&all.get(0), classes.of_history(0), &settings);
    assert_eq!(fit.suspects.len(), 1);
    let day = crate::records::date::iso(all.get(0).date[6]);
    let about = fit.notes.iter().filter(|note| note.contains(&day));
    assert_eq!(about.count(), 1, "{:?}", fit.notes);
    assert_eq!(fit.stepped, None);
}
