use super::*;
use crate::control::RunLengths;
use crate::control::settings::Deviation;
use crate::drift::testing::*;
use crate::records::Event;

fn noise(count: usize, seed: u64) -> Vec<f64> {
    let mut stream = rand_pcg::Pcg64::seed_from_u64(seed);
    (0..count)
        .map(|_| stream.sample(rand_distr::StandardNormal))
        .collect()
}

/// Monthly checks of a stable item.
fn stable(values: &[f64]) -> Histories {
    let add = |record: Record, (i, value): (usize, &f64)| record.check(30.0 * i as f64, *value);
    let mut record = values.iter().enumerate().fold(Record::new(), add);
    record.item.control_chart = Some(About::Constant);
    record.histories()
}

fn charted(all: &Histories, closed: Option<&[(f64, f64)]>) -> ItemChart {
    let (settings, drift) = (ControlSettings::default(), DriftSettings::default());
    let classes = class_parameters(all, &drift);
    item_chart(
        &all.get(0),
        classes.of_history(0),
        (&settings, &drift),
        closed,
    )
}

/// 40 calm values, then a shift of `by` deviations from value 40 on.
fn shifted(by: f64) -> Vec<f64> {
    // None of them reaches the action limits by itself.
    let moved = |(i, z): (usize, &f64)| z.clamp(-1.2, 1.2) + if i < 40 { 0.0 } else { by };
    noise(60, 3).iter().enumerate().map(moved).collect()
}

#[test]
fn a_small_lasting_shift_shows_on_the_average_before_the_single_values() {
    let chart = charted(&stable(&shifted(1.2)), Some(&[]));
    assert_eq!(chart.state, ControlState::OutOfControl);
    let first = chart.first_open().unwrap();
    assert_eq!(first.rule, Rule::Ewma);
    assert!((40..50).contains(&first.index), "{first:?}");
    says!(chart.finding(), "NOT in control: weighted average");
    assert_eq!(
        charted(&stable(&shifted(0.0)), Some(&[])).state,
        ControlState::InControl
    );
}

#[test]
fn an_event_and_the_register_restart_the_chart() {
    let mut all = stable(&shifted(3.0));
    all.columns.event[39] = Event::Repaired;
    let chart = charted(&all, Some(&[]));
    assert_eq!(
        (chart.stretches.len(), chart.state),
        (2, ControlState::InControl)
    );
    assert_eq!(chart.current().unwrap().restart.unwrap().why, "repaired");
    let mut all = stable(&shifted(3.0));
    all.items[0].control_from = Some(30.0 * 40.0);
    let chart = charted(&all, Some(&[]));
    assert_eq!(
        (chart.stretches.len(), chart.state),
        (2, ControlState::InControl)
    );
    says!(chart.finding(), "the register starts the chart anew");
    all.items[0].control_from = Some(30.0 * 70.0);
    let chart = charted(&all, Some(&[]));
    assert_eq!(chart.state, ControlState::Unknown);
    says!(chart.finding(), "no value since");
}

#[test]
fn a_signal_is_open_until_it_is_closed_and_without_a_book_until_it_is_old() {
    let mut values = shifted(0.0);
    values[30] = 9.0;
    let all = stable(&values);
    let open = charted(&all, Some(&[]));
    assert_eq!(open.state, ControlState::OutOfControl);
    let day = open.first_open().unwrap().date;
    assert_eq!(day, 900.0);
    let last = open.signals.last().unwrap().signal.date;
    let closed = charted(&all, Some(&[(day, last)]));
    assert_eq!(
        closed.state,
        ControlState::InControl,
        "{:?}",
        closed.signals
    );
    // A closing of another day closes nothing, and without a book 25 calm values do.
    assert_eq!(
        charted(&all, Some(&[(30.0, last)])).state,
        ControlState::OutOfControl
    );
    assert_eq!(charted(&all, None).state, ControlState::InControl);
    let recent = stable(&values[..50]);
    assert_eq!(charted(&recent, None).state, ControlState::OutOfControl);
}

#[test]
fn a_closed_case_starts_the_average_anew() {
    let all = stable(&shifted(1.2));
    let open = charted(&all, Some(&[]));
    let day = open.first_open().unwrap().date;
    let closed = charted(&all, Some(&[(day, day + 40.0)]));
    // The shift was not mended, so that it is found again.
    let again = closed.first_open().unwrap();
    assert!(again.date > day + 40.0);
    assert_eq!(closed.state, ControlState::OutOfControl);
}

#[test]
fn repeated_readings_are_charted_as_means_with_their_scatter() {
    let z = noise(160, 7);
    let mut record = Record::new();
    for (i, run) in z.chunks(4).enumerate() {
        let wild = if i == 35 { 6.0 } else { 1.0 };
        for value in run {
            record = record.check(30.0 * i as f64, 10.0 + wild * value.clamp(-1.5, 1.5));
        }
    }
    record.item.control_chart = Some(About::Constant);
    let all = record.histories();
    let chart = charted(&all, Some(&[]));
    let stretch = chart.current().unwrap();
    assert_eq!(stretch.checks.len(), 40);
    let scatter = stretch.within.unwrap();
    assert_eq!(scatter.freedom, 75.0);
    assert!((0.6..1.2).contains(&scatter.pooled));
    let precision = stretch
        .result
        .signals
        .iter()
        .filter(|s| s.rule == Rule::Precision);
    assert_eq!(precision.map(|s| s.index).collect::<Vec<_>>(), [35]);
    let limits = |deviation| {
        let settings = ControlSettings {
            deviation,
            ..ControlSettings::default()
        };
        let drift = DriftSettings::default();
        let classes = class_parameters(&all, &drift);
        let chart = item_chart(
            &all.get(0),
            classes.of_history(0),
            (&settings, &drift),
            None,
        );
        chart.current().unwrap().result.centre.unwrap().deviation
    };
    assert_eq!(stretch.of_other_sizes(Deviation::Within, "mK"), None);
    let mut uneven = stretch.clone();
    uneven.checks[7].size = 2;
    let told = uneven.of_other_sizes(Deviation::Within, "mK").unwrap();
    says!(
        told,
        "Days have 2 to 4 readings: the limits of each go by its own number"
    );
    assert_eq!(uneven.of_other_sizes(Deviation::MovingRange, "mK"), None);
    near!(limits(Deviation::Within), scatter.pooled / 2.0, 1e-12);
    near!(
        limits(Deviation::Range) / (scatter.by_range / 2.0),
        1.0,
        1e-12
    );
}

#[test]
fn what_the_chart_is_worth_is_said() {
    let settings = ControlSettings::default();
    let lengths = RunLengths::of(&settings);
    let chart = charted(&stable(&shifted(0.0)), Some(&[]));
    let words = chart.sentences("mK", &settings, lengths.as_ref()).join(" ");
    let alarm = format!(
        "one false alarm in {:.0} checks",
        lengths.unwrap().in_control
    );
    assert!(words.contains(&alarm), "{words}");
    assert!(
        words.contains("the mean") && words.contains("25 values"),
        "{words}"
    );
    let few = charted(&stable(&[1.0, 2.0]), Some(&[]));
    says!(few.finding(), "2 values, at least 4 are needed");
    assert!(few.sentences("mK", &settings, lengths.as_ref()).is_empty());
    let flat = charted(&stable(&[1.0; 30]), Some(&[]));
    says!(flat.finding(), "do not differ");
}

/// Two readings before the adjustment of a day and two after it are two means, not one.
#[test]
fn no_mean_joins_readings_before_and_after_an_adjustment() {
    let mut record = Record::new();
    for day in 0..12 {
        let level = if day < 6 { 0.0 } else { 5.0 };
        let wave = 0.1 * f64::from(day % 3);
        let values = [level + wave, level - wave];
        record = values
            .iter()
            .fold(record, |r, v| r.check(f64::from(day), *v));
    }
    record = record.check(5.0, 5.1).check(5.0, 4.9);
    record.item.control_chart = Some(About::Constant);
    let mut all = record.histories();
    let rows = all.get(0);
    let last = (0..rows.len()).rfind(|row| rows.date[*row] == 5.0 && rows.as_found[*row] < 1.0);
    all.columns.event[last.unwrap()] = Event::Adjusted;
    let chart = charted(&all, Some(&[]));
    let means = |stretch: &Stretch| stretch.checks.iter().map(|c| c.value).collect::<Vec<_>>();
    let [before, after] = [0, 1].map(|i| means(&chart.stretches[i]));
    assert_eq!((before.len(), after.len()), (6, 7));
    assert!(before.iter().all(|v| v.abs() < 1e-9), "{before:?}");
    assert!(after.iter().all(|v| (v - 5.0).abs() < 1e-9), "{after:?}");
}
