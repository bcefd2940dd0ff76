/*! Coverage study of `model = "auto"` beside each of its candidates, 2 to 40 readings, single items.

`cargo bench --bench coverage_auto [-- HISTORIES]` prints the table of docs/methods-drift.md. Each
history has irregular yearly checks on a straight line or on a random walk with a drift; the 95 %
confidence band is judged one year after the last check, by the true error. No class lends
anything: every history is alone.
*/

use driftbook::drift::{DriftSettings, Fit, ModelName, class_parameters, fit_model};
use driftbook::records::{Check, Histories, Item};
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Histories a cell; another number may follow `--`.
const HISTORIES: u64 = 4_000;
const LEVEL: f64 = 0.95;
const READING_U: f64 = 1.0;
const DAYS_PER_YEAR: f64 = 365.25;
const READINGS: [usize; 13] = [2, 3, 4, 5, 6, 8, 10, 11, 12, 14, 20, 30, 40];
const MODELS: [ModelName; 7] = [
    ModelName::Auto,
    ModelName::State,
    ModelName::Constant,
    ModelName::Line,
    ModelName::Quadratic,
    ModelName::Season,
    ModelName::Wander,
];

/// One kind of truth: standard deviations of the drift, a year, of its change, a year², and of
/// the walk, a √year; and half of a yearly swing.
struct Truth {
    name: &'static str,
    drift: f64,
    curvature: f64,
    swing: f64,
    wander: f64,
    u_stated: bool,
}

const TRUTHS: [Truth; 8] = [
    truth("line, u stated", 1.0, 0.0, true),
    truth("line, no u", 1.0, 0.0, false),
    truth("steep line, u stated", 20.0, 0.0, true),
    truth("walk 0.5 u, u stated", 0.3, 0.5, true),
    truth("walk 2 u, u stated", 0.3, 2.0, true),
    truth("walk 2 u, no u", 0.3, 2.0, false),
    Truth {
        curvature: 0.3,
        ..truth("parabola, u stated", 1.0, 0.0, true)
    },
    Truth {
        swing: 3.0,
        ..truth("season, u stated", 1.0, 0.0, true)
    },
];

const fn truth(name: &'static str, drift: f64, wander: f64, u_stated: bool) -> Truth {
    Truth {
        name,
        drift,
        curvature: 0.0,
        swing: 0.0,
        wander,
        u_stated,
    }
}

fn main() {
    let histories = std::env::args()
        .find_map(|word| word.parse().ok())
        .unwrap_or(HISTORIES);
    let names = MODELS.map(ModelName::word).join(" | ");
    println!(
        "| truth | n | {names} |\n| --- | --- |{}",
        " --- |".repeat(MODELS.len())
    );
    for truth in &TRUTHS {
        for n in READINGS {
            let cells = coverage(truth, n, histories).map(|share| match share {
                Some((inside, width)) => format!("{:.1} ({width:.1})", 100.0 * inside),
                None => "".into(),
            });
            println!("| {} | {n} | {} |", truth.name, cells.join(" | "));
        }
    }
    println!("in brackets: median half width of the band, in u");
}

/// Share inside and median half width of each model's band; `None` where it mostly gives none.
fn coverage(truth: &Truth, n: usize, histories: u64) -> [Option<(f64, f64)>; MODELS.len()] {
    let judged: Vec<[Option<(bool, f64)>; MODELS.len()]> = (0..histories)
        .into_par_iter()
        .map(|seed| judge(truth, n, seed))
        .collect();
    std::array::from_fn(|model| {
        let given: Vec<(bool, f64)> = judged.iter().filter_map(|of| of[model]).collect();
        if 2 * given.len() < judged.len() {
            return None;
        }
        let inside = given.iter().filter(|(inside, _)| *inside).count() as f64;
        let mut widths: Vec<f64> = given.iter().map(|(_, width)| *width).collect();
        widths.sort_by(f64::total_cmp);
        Some((inside / given.len() as f64, widths[widths.len() / 2]))
    })
}

fn judge(truth: &Truth, n: usize, seed: u64) -> [Option<(bool, f64)>; MODELS.len()] {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut normal = move || -> f64 { StandardNormal.sample(&mut random) };
    let mut dates = Pcg64::seed_from_u64(seed ^ 0x5eed);
    let (drift, turning) = (truth.drift * normal(), truth.curvature * normal());
    let (mut year, mut walked) = (45.0, 0.0);
    let mut step = |gap: f64| {
        year += gap;
        walked += truth.wander * gap.sqrt() * normal();
        let (age, swing) = (year - 45.0, truth.swing * (TAU * year).sin());
        let error = age * (drift + 0.5 * turning * age) + walked + swing;
        (year * DAYS_PER_YEAR, error, error + READING_U * normal())
    };
    let u = if truth.u_stated { READING_U } else { f64::NAN };
    let mut all = Histories::default();
    for _ in 0..n {
        let (date, _, as_found) = step(dates.random_range(0.7..1.3));
        all.columns.push(Check {
            date,
            as_found,
            u,
            ..Check::UNSTATED
        });
    }
    all.end_item(Item::default());
    let (day, truth_then, _) = step(1.0);
    MODELS.map(|model| {
        let settings = DriftSettings {
            model,
            ..DriftSettings::default()
        };
        let classes = class_parameters(&all, &settings);
        let fit: Fit = fit_model(&all.get(0), classes.of_history(0), &settings);
        let (low, high) = fit.at(day / DAYS_PER_YEAR)?.confidence(LEVEL);
        let width = 0.5 * (high - low);
        width
            .is_finite()
            .then_some((low <= truth_then && truth_then <= high, width))
    })
}
