use super::*;
use crate::drift::DriftSettings;
use crate::drift::class::classes::{Classes, class_parameters};
use crate::drift::state::fit::fit_state;
use crate::intervals::MethodName;
use crate::records::DAYS_PER_YEAR;
use crate::simulate::closed_loop::live::{Visit, life};
use crate::simulate::closed_loop::logbook::Logbook;
use crate::simulate::closed_loop::logbook::day_of;

const EVIDENCE: &str = include_str!("../../../data/evidence/closed-loop.toml");

/// One kind that drifts at exactly 0.3 half widths a year, read exactly, never adjusted.
const CERTAIN: &str = r#"
years = 20
class_sizes = [{ instruments = 3, classes = 1 }]
[[fleet]]
name = "certain"
prefix = "CE"
cost = 1.0
cost_out_of_tolerance = 12.0
[fleet.truth]
drift = 0.3
[fleet.reading]
u = 0.0
[fleet.adjustment]
when = "never"
residual = 0.0
"#;

fn small() -> LoopSettings {
    let mut settings = LoopSettings::from_toml(EVIDENCE).unwrap();
    settings.fleet.truncate(5);
    settings.years = 10.0;
    settings.class_sizes = vec![ClassSize {
        instruments: 12,
        classes: 2,
    }];
    settings
}

#[test]
fn the_committed_settings_can_be_used() {
    let settings = LoopSettings::from_toml(EVIDENCE).unwrap();
    assert!(settings.fleet.len() >= 12);
    let guardrails = include_str!("../../../data/evidence/guardrails.toml");
    assert_eq!(LoopSettings::from_toml(guardrails).unwrap().fleet.len(), 5);
    let promises = include_str!("../../../data/evidence/promises.toml");
    assert_eq!(LoopSettings::from_toml(promises).unwrap().fleet.len(), 4);
    let bands = include_str!("../../../data/evidence/bands.toml");
    crate::simulate::SimulationSettings::from_toml(bands).unwrap();
}

#[test]
fn what_cannot_be_is_refused_with_its_key() {
    let no_cost = CERTAIN.replace("cost = 1.0\n", "");
    says!(
        LoopSettings::from_toml(&no_cost).unwrap_err().to_string(),
        "cost"
    );
    let target = format!("reliability_target = 1.5\n{CERTAIN}");
    let error = LoopSettings::from_toml(&target).unwrap_err();
    says!(error.to_string(), "reliability_target");
}

/// Closed form: the error passes 1 after 1/0.3 years and stays there.
#[test]
fn a_certain_drift_costs_what_arithmetic_says() {
    let settings = LoopSettings::from_toml(CERTAIN).unwrap();
    let never = Candidate::new("never change", |_: &LoopSettings, _| NeverChange);
    let cells = run(&settings, &[never]);
    let out = 20.0 - 1.0 / 0.3;
    let expected = 1.0 + 12.0 * out / 20.0;
    // The truth is looked at 24 times a year.
    near!(cells[0].cost_per_year, expected, 12.0 / 24.0 / 20.0);
    assert_eq!(cells[0].calibrations_per_year, 1.0);
    near!(cells[0].found_in, 3.0 / 20.0, 1e-12);
}

#[test]
fn any_number_of_threads_gives_the_same_cells() {
    let settings = small();
    let candidates = || {
        vec![
            product::method(MethodName::LeastCost),
            product::method(MethodName::GroupRegression),
        ]
    };
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| format!("{:?}", run(&settings, &candidates())))
    };
    assert!(with(1) == with(3));
}

/// One interval for all.
struct Constant(f64);

impl Planner for Constant {
    fn plan(&mut self, _: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>> {
        vec![Some(self.0); visits.len()]
    }
}

#[test]
fn nothing_beats_knowing_everything() {
    let settings = small();
    let everything = Candidate::new("everything", |s: &LoopSettings, fleet| {
        PerfectKnowledge::new(s, fleet, Knowledge::Everything)
    });
    let others = [
        product::method(MethodName::LeastCost),
        product::method(MethodName::Staircase),
        Candidate::new("two years", |_: &LoopSettings, _| Constant(2.0)),
    ];
    let candidates: Vec<Candidate> = std::iter::once(everything).chain(others).collect();
    for kind in run(&settings, &candidates).chunks(candidates.len() + 1) {
        for cell in &kind[1..] {
            let error = 3.0 * cell.excess_error.hypot(kind[0].excess_error);
            assert!(kind[0].excess <= cell.excess + error, "{kind:#?}");
        }
    }
}

/// The target method again, by the plainest possible search: moment by moment.
struct BesidePlainSearch {
    product: Box<dyn Planner>,
    step: f64,
    bounds: (f64, f64),
    target: f64,
    classes: Classes,
    next_review: f64,
    compared: usize,
}

impl Planner for BesidePlainSearch {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>> {
        let settings = DriftSettings::default();
        if visits[0].now >= self.next_review {
            self.classes = class_parameters(&logbook.histories(), &settings);
            self.next_review = visits[0].now + 1.0;
        }
        let intervals = self.product.plan(logbook, visits);
        for (visit, interval) in visits.iter().zip(&intervals) {
            let history = logbook.history(visit.instrument);
            let class = self.classes.of_history(visit.instrument);
            let fit = fit_state(&history, class, &settings);
            let now = day_of(visit.now) / DAYS_PER_YEAR;
            let tolerance = history.item.tolerance.unwrap();
            let inside = |ahead: f64| {
                let forecast = fit.at(now + ahead);
                forecast.map_or(0.0, |p| p.probability_in(tolerance))
            };
            let plain = (1..)
                .map(|i| f64::from(i) * self.step)
                .take_while(|ahead| *ahead <= self.bounds.1 && inside(*ahead) >= self.target)
                .last()
                .unwrap_or(0.0);
            let (plain, found) = (
                plain.max(self.bounds.0),
                interval.unwrap().clamp(self.bounds.0, self.bounds.1),
            );
            assert!(
                (plain - found).abs() <= self.step * 1.001,
                "{plain} {found}"
            );
            self.compared += 1;
        }
        intervals
    }
}

#[test]
fn the_target_method_finds_what_a_plain_search_finds() {
    let settings = small();
    let candidate = product::method(MethodName::DriftCrossing);
    for fleet in 0..settings.fleet.len() {
        let mut both = BesidePlainSearch {
            product: (candidate.prepare)(&settings, fleet)(),
            step: 1.0 / 96.0,
            bounds: (settings.shortest_years, settings.longest_years),
            target: settings.reliability_target,
            classes: Classes::default(),
            next_review: 0.0,
            compared: 0,
        };
        live(&settings, &World::new(&settings, fleet, 12, 0), &mut both);
        assert!(both.compared > 20);
    }
}

/// Withdraws whatever was found out of tolerance and not adjusted; else one year.
struct Withdrawing;

impl Planner for Withdrawing {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>> {
        let next = |visit: &Visit<'_>| {
            let history = logbook.history(visit.instrument);
            let last = history.len() - 1;
            let out = history.as_found[last].abs() > 1.0 && history.as_left[last].is_nan();
            (!out).then_some(1.0)
        };
        visits.iter().map(next).collect()
    }
}

/// Closed form: the error passes 1 after 3 1/3 years and is found after four. Then the instrument is out
/// of use for half a month, is set right and serves again: 4 years and 1/24, of which 2/3 are out of
/// tolerance, and five calibrations.
#[test]
fn a_withdrawn_instrument_is_out_of_use_until_it_was_set_right() {
    let settings = LoopSettings::from_toml(CERTAIN).unwrap();
    let world = World::new(&settings, 0, 1, 0);
    let (logbook, tallies) = life(&settings, &world, &mut Withdrawing);
    let history = logbook.history(0);
    let left = |row: usize| history.as_left[row];
    assert!(left(4).is_nan() && left(5).abs() < 1e-12 && left(6).is_nan());
    near!(
        history.date[5] - history.date[4],
        DAYS_PER_YEAR / 24.0,
        1e-6
    );
    // Four rounds of 4 1/24 years, then three years in tolerance and 5/6 of one, of which a half is out.
    let tally = &tallies[0];
    assert_eq!((tally.calibrations, tally.checks), (23, 19));
    assert_eq!(tally.truly_in, 15);
    let out = 4.0 * 2.0 / 3.0 + 0.5;
    near!(tally.years_out, out, 5.0 / 24.0);
    assert_eq!(logbook.interval(0), 1.0);
}

/// What the program withdraws gets no interval from the loop, and the interval in force stays.
#[test]
fn what_a_run_would_withdraw_is_withdrawn_in_the_loop() {
    let settings = LoopSettings::from_toml(CERTAIN).unwrap();
    let candidate = product::policy("policy", vec![MethodName::DriftCrossing]);
    let mut planner = (candidate.prepare)(&settings, 0)();
    let world = World::new(&settings, 0, 3, 0);
    let (logbook, tallies) = life(&settings, &world, planner.as_mut());
    for (index, tally) in tallies.iter().enumerate() {
        let history = logbook.history(index);
        for row in 0..history.len() - 1 {
            let out = history.as_found[row].abs() > 1.0 && history.as_left[row].is_nan();
            let next = history.date[row + 1] - history.date[row];
            if out {
                near!(next, DAYS_PER_YEAR / 24.0, 1e-6);
                assert!(!history.as_left[row + 1].is_nan());
            }
        }
        assert!(tally.checks < tally.calibrations, "{tally:?}");
    }
}
