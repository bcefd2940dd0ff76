/*! Coverage study of the 95 % bands, of the straight line and of wander: 20,000 seeded histories a cell.

`cargo bench --bench coverage [-- HISTORIES]` prints the table of docs/methods-drift.md. Each history has
irregular yearly checks on a straight line; the band is judged one year after the last
check: the confidence band by the true error, the prediction band by a next reading.
*/

use driftbook::drift::{
    Likelihood, Prediction, Reading, fit_line_readings, fit_wander_readings, mixed_forecast,
};
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;

/// Histories a cell; another number may follow `--`.
const HISTORIES: u64 = 20_000;
const LEVEL: f64 = 0.95;
const READING_U: f64 = 1.0;

/// One kind of truth.
struct Case {
    name: &'static str,
    u_stated: bool,
    /// Scatter between checks beyond u.
    excess: f64,
    /// Random walk per √year of the true error.
    wander: f64,
}

const CASES: [Case; 8] = [
    Case {
        name: "u stated",
        u_stated: true,
        excess: 0.0,
        wander: 0.0,
    },
    Case {
        name: "no u",
        u_stated: false,
        excess: 0.0,
        wander: 0.0,
    },
    Case {
        name: "u stated, excess 0.5 u",
        u_stated: true,
        excess: 0.5,
        wander: 0.0,
    },
    Case {
        name: "u stated, excess 1 u",
        u_stated: true,
        excess: 1.0,
        wander: 0.0,
    },
    Case {
        name: "u stated, excess 3 u",
        u_stated: true,
        excess: 3.0,
        wander: 0.0,
    },
    Case {
        name: "u stated, wander 0.5 u",
        u_stated: true,
        excess: 0.0,
        wander: 0.5,
    },
    Case {
        name: "u stated, wander 1 u",
        u_stated: true,
        excess: 0.0,
        wander: 1.0,
    },
    Case {
        name: "no u, wander 1 u",
        u_stated: false,
        excess: 0.0,
        wander: 1.0,
    },
];

fn main() {
    println!("| truth | model | n | confidence band | prediction band |");
    println!("| --- | --- | --- | --- | --- |");
    for case in &CASES {
        for n in [3, 5, 12, 40] {
            print(case, n, "line", &|readings, x| {
                fit_line_readings(readings).at(x)
            });
            if case.wander > 0.0 && n >= 12 {
                print(case, n, "wander", &|readings, x| {
                    let fit = fit_wander_readings(readings, Likelihood::Restricted).ok()?;
                    Some(mixed_forecast(readings, &fit).unwrap_or(fit.forecast).at(x))
                });
            }
        }
    }
}

type Model<'a> = &'a dyn Fn(&[Reading], f64) -> Option<Prediction>;

fn print(case: &Case, n: usize, name: &str, model: Model<'_>) {
    let (confidence, prediction) = coverage(case, n, model);
    println!(
        "| {} | {name} | {n} | {:.1} % | {:.1} % |",
        case.name,
        100.0 * confidence,
        100.0 * prediction
    );
}

fn coverage(case: &Case, n: usize, model: Model<'_>) -> (f64, f64) {
    let histories = std::env::args()
        .find_map(|word| word.parse().ok())
        .unwrap_or(HISTORIES);
    let (mut confident, mut predicted) = (0u64, 0u64);
    for seed in 0..histories {
        let mut random = Pcg64::seed_from_u64(seed);
        let mut normal = move || -> f64 { StandardNormal.sample(&mut random) };
        let mut dates = Pcg64::seed_from_u64(seed ^ 0x5eed);
        let slope = normal();
        let (mut x, mut walk) = (50.0, 0.0);
        let mut step = |gap: f64, x: &mut f64, walk: &mut f64| {
            *x += gap;
            *walk += case.wander * gap.sqrt() * normal();
            let truth = slope * (*x - 50.0) + *walk;
            (truth, truth + READING_U * normal() + case.excess * normal())
        };
        let mut readings = Vec::with_capacity(n);
        for check in 0..n {
            let gap = dates.random_range(0.7..1.3);
            let (_, value) = step(gap, &mut x, &mut walk);
            readings.push(Reading {
                x,
                value,
                u: if case.u_stated { READING_U } else { f64::NAN },
                segment: 0,
                drift_segment: 0,
                check: check as u32,
                as_left: false,
                unread_since: None,
                on_steps: false,
            });
        }
        let (truth, next) = step(1.0, &mut x, &mut walk);
        if let Some(forecast) = model(&readings, x) {
            let (lower, upper) = forecast.confidence(LEVEL);
            confident += u64::from(lower <= truth && truth <= upper);
            let (lower, upper) = forecast.reading(LEVEL);
            predicted += u64::from(lower <= next && next <= upper);
        }
    }
    let share = |count: u64| count as f64 / histories as f64;
    (share(confident), share(predicted))
}
