use super::*;
use crate::drift::{Classes, DriftSettings, class_parameters, fit_state};
use crate::intervals::MethodName;
use crate::records::DAYS_PER_YEAR;

const EVIDENCE: &str = include_str!("../../../data/evidence/closed-loop.toml");

/// The state forecast with the plainest possible search, to check the loop by.
struct PlainState {
    costs: Option<(f64, f64)>,
    target: f64,
    step: f64,
    bounds: (f64, f64),
    classes: Classes,
    next: f64,
}

impl PlainState {
    fn new(settings: &LoopSettings, fleet: usize, least_cost: bool) -> Self {
        let fleet = &settings.fleet[fleet];
        PlainState {
            costs: least_cost.then_some((fleet.cost, fleet.cost_out_of_tolerance)),
            target: settings.reliability_target,
            step: settings.step(),
            bounds: (settings.shortest_years, settings.longest_years),
            classes: Classes::default(),
            next: 0.0,
        }
    }
}

impl Planner for PlainState {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<f64> {
        let settings = DriftSettings::default();
        if visits[0].now >= self.next {
            self.classes = class_parameters(&logbook.histories(), &settings);
            self.next = visits[0].now + 1.0;
        }
        visits
            .iter()
            .map(|visit| {
                let history = logbook.history(visit.instrument);
                let fit = fit_state(
                    &history,
                    self.classes.of_history(visit.instrument),
                    &settings,
                );
                let now = day_of(visit.now) / DAYS_PER_YEAR;
                let tolerance = history.item.tolerance.unwrap();
                let inside = |ahead: f64| {
                    fit.at(now + ahead)
                        .map_or(0.5, |p| p.probability_in(tolerance))
                };
                let grid = (1..)
                    .map(|i| f64::from(i) * self.step)
                    .take_while(|h| *h <= self.bounds.1 + 1e-9);
                match self.costs {
                    None => grid
                        .take_while(|h| inside(*h) >= self.target)
                        .last()
                        .unwrap_or(0.0),
                    Some((cost, out_cost)) => {
                        let mut out = 0.0;
                        grid.map(|h| {
                            out += (1.0 - inside(h)) * self.step;
                            (h, (cost + out_cost * out) / h)
                        })
                        .filter(|(h, _)| *h >= self.bounds.0 - 1e-9)
                        .min_by(|a, b| a.1.total_cmp(&b.1))
                        .unwrap()
                        .0
                    }
                }
            })
            .collect()
    }
}

fn candidates() -> Vec<Candidate> {
    vec![
        Candidate::new("never change", |_: &LoopSettings, _| NeverChange),
        Candidate::new("omniscient", |s: &LoopSettings, f| {
            PerfectKnowledge::new(s, f, Knowledge::Everything)
        }),
        Candidate::new("plain state, target", |s: &LoopSettings, f| {
            PlainState::new(s, f, false)
        }),
        Candidate::new("plain state, least cost", |s: &LoopSettings, f| {
            PlainState::new(s, f, true)
        }),
    ]
}

#[test]
#[ignore = "a measurement: run with --nocapture"]
fn print_the_table() {
    let mut settings = LoopSettings::from_toml(EVIDENCE).unwrap();
    settings.class_sizes = vec![ClassSize {
        instruments: 200,
        classes: 1,
    }];
    let start = std::time::Instant::now();
    for cell in run(
        &settings,
        &[
            candidates(),
            vec![
                product::method(MethodName::DriftCrossing),
                product::method(MethodName::LeastCost),
                product::method(MethodName::Staircase),
                product::policy("policy, target", vec![MethodName::DriftCrossing]),
                product::policy("policy, least cost", vec![MethodName::LeastCost]),
            ],
        ]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>(),
    ) {
        println!(
            "{:4} {:30} {:26} cost {:.2} excess {:6.1} ± {:4.1} in {:.3} settled {:.3} per year {:.2} time {:.3}",
            cell.class_size,
            cell.kind,
            cell.planner,
            cell.cost_per_year,
            cell.excess,
            cell.excess_error,
            cell.found_in,
            cell.settled_in,
            cell.calibrations_per_year,
            cell.time_in
        );
    }
    println!("{:?}", start.elapsed());
}
