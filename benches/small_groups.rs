/*! Coverage study of small groups with few checks: 95 % bands of the true error, and what is
stated of the tolerance.

`cargo bench --bench small_groups [-- ITEMS [SEED [SIZES [CHECKS]]]]`, sizes and checks as lists with
commas, prints the tables of docs/methods-state.md. Each item drifts by a normal law and wanders, is
checked once a year with u a tenth of its tolerance ±1, and is judged a year after its last
check. Groups are fitted one by one, as classes. In the last row each group has a drift and a
wander of its own, drawn from what the model believes before it has seen a reading.

The control is the forecast that knows drift and wander of the group (Kalman's filter from the first
reading on): what it states of the items of which the program states less than a half, and what
is stated and true of those of which the control itself states less than a half.
*/

use driftbook::drift::{DriftSettings, Prediction, class_parameters, fit_state};
use driftbook::records::{Check, Columns, DAYS_PER_YEAR, Histories, Item, Tolerance};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use rayon::prelude::*;

/// Items a cell, about; standard error of a share of 0.95: 0.0039, and more as members of a group
/// depend on each other.
const ITEMS: usize = 3_200;
const SEED: u64 = 1;
const SIZES: &str = "1,3,6,8,30";
const CHECKS: &str = "3,4,5";
const LEVEL: f64 = 0.95;
const U: f64 = 0.1;
/// Scale of the half-Cauchy prior of drift and wander.
const PRIOR_SCALE: f64 = 0.36;
/// Standard deviation of the drift, a year, and wander a √year.
const TRUTHS: [(f64, f64); 8] = [
    (0.05, 0.24),
    (0.05, 0.12),
    (0.05, 0.0),
    (0.2, 0.05),
    (0.2, 0.24),
    (0.4, 0.05),
    (0.4, 0.12),
    (0.4, 0.24),
];

/// What came of one item, or the sum over many.
#[derive(Default, Clone, Copy)]
struct Judged {
    items: f64,
    inside: f64,
    width: f64,
    /// Width of the band and what readings outside cost: the interval score (Gneiting and Raftery).
    score: f64,
    stated: f64,
    held: f64,
    /// The same of items of which less than a half is stated.
    doubtful: f64,
    doubtful_stated: f64,
    doubtful_held: f64,
    /// What the control states of these.
    doubtful_known: f64,
    /// The same of items of which the control states less than a half.
    known_doubtful: f64,
    known_doubtful_stated: f64,
    known_doubtful_held: f64,
}

/// Drift and wander of a group.
#[derive(Clone, Copy)]
enum Truth {
    Given(f64, f64),
    Drawn,
}

fn main() {
    let words: Vec<String> = std::env::args().filter(|word| digits(word)).collect();
    let word = |i: usize, default: &str| words.get(i).cloned().unwrap_or(default.into());
    let items = word(0, "").parse().unwrap_or(ITEMS);
    let seed: u64 = word(1, "").parse().unwrap_or(SEED);
    println!(
        "| drift, wander | group of | checks | inside 95 % band | half width | interval score | stated | true | below 0.5: share | stated | true | by the control | control below 0.5: stated | true |"
    );
    println!("| --- |{}", " ---: |".repeat(13));
    let given = TRUTHS.map(|(drift, wander)| Truth::Given(drift, wander));
    for truth in given.into_iter().chain([Truth::Drawn]) {
        let name = match truth {
            Truth::Given(drift, wander) => format!("{drift}, {wander}"),
            Truth::Drawn => "drawn".into(),
        };
        for size in list(&word(2, SIZES)) {
            for checks in list(&word(3, CHECKS)) {
                let of = cell(truth, size, checks, items, seed);
                println!(
                    "| {name} | {size} | {checks} | {:.3} | {:.2} | {:.2} | {:.3} | {:.3} | {:.3} | {:.2} | {:.2} | {:.2} | {:.2} | {:.2} |",
                    of.inside / of.items,
                    of.width / of.items,
                    of.score / of.items,
                    of.stated / of.items,
                    of.held / of.items,
                    of.doubtful / of.items,
                    of.doubtful_stated / of.doubtful,
                    of.doubtful_held / of.doubtful,
                    of.doubtful_known / of.doubtful,
                    of.known_doubtful_stated / of.known_doubtful,
                    of.known_doubtful_held / of.known_doubtful,
                );
            }
        }
    }
}

fn digits(word: &str) -> bool {
    word.chars().all(|c| c.is_ascii_digit() || c == ',')
}

fn list(words: &str) -> Vec<usize> {
    words.split(',').filter_map(|n| n.parse().ok()).collect()
}

/// All groups of one cell.
fn cell(truth: Truth, size: usize, checks: usize, items: usize, seed: u64) -> Judged {
    let groups = items.div_ceil(size) as u64;
    let judged = (0..groups).into_par_iter().map(|group| {
        let random = Pcg64::seed_from_u64(seed.wrapping_mul(1_000_003) + group);
        judge(truth, size, checks, random)
    });
    // Summed in order, so that the threads change no digit.
    judged
        .collect::<Vec<_>>()
        .into_iter()
        .fold(Judged::default(), Judged::with)
}

/// One group, a year after its last checks.
fn judge(truth: Truth, size: usize, checks: usize, mut random: Pcg64) -> Judged {
    let mut half_cauchy =
        || PRIOR_SCALE * (std::f64::consts::FRAC_PI_2 * random.random::<f64>()).tan();
    let (drift, wander) = match truth {
        Truth::Given(drift, wander) => (drift, wander),
        Truth::Drawn => (half_cauchy(), half_cauchy()),
    };
    let mut normal = || -> f64 { random.sample(StandardNormal) };
    let mut all = Histories::default();
    let mut truths = Vec::new();
    for item in 0..size {
        let (slope, mut error) = (drift * normal(), 0.0);
        for year in 0..checks {
            push(&mut all.columns, year as f64, error + U * normal());
            error += slope + wander * normal();
        }
        truths.push(error);
        all.end_item(Item {
            instrument: format!("item {item:03}"),
            group: "g".into(),
            unit: "mK".into(),
            tolerance: Tolerance::new(-1.0, 1.0),
            ..Item::default()
        });
    }
    let settings = DriftSettings::default();
    let classes = class_parameters(&all, &settings);
    let mut sum = Judged::default();
    for (i, truth) in truths.into_iter().enumerate() {
        let fit = fit_state(&all.get(i), classes.of_history(i), &settings);
        let (Some(forecast), Some(tolerance)) = (fit.at(checks as f64), all.items[i].tolerance)
        else {
            continue;
        };
        let (below, above) = forecast.confidence(LEVEL);
        let (stated, held) = (
            forecast.probability_in(tolerance),
            f64::from(truth.abs() <= 1.0),
        );
        let doubtful = f64::from(stated < 0.5);
        let control = known(all.get(i).as_found, drift, wander).probability_in(tolerance);
        let known_doubtful = f64::from(control < 0.5);
        let missed = (below - truth).max(truth - above).max(0.0);
        sum = sum.with(Judged {
            items: 1.0,
            inside: f64::from(below <= truth && truth <= above),
            width: 0.5 * (above - below),
            score: above - below + 2.0 / (1.0 - LEVEL) * missed,
            stated,
            held,
            doubtful,
            doubtful_stated: doubtful * stated,
            doubtful_held: doubtful * held,
            doubtful_known: doubtful * control,
            known_doubtful,
            known_doubtful_stated: known_doubtful * control,
            known_doubtful_held: known_doubtful * held,
        });
    }
    sum
}

/// Forecast a year after yearly `readings` where drift and wander of the group are known.
fn known(readings: &[f64], drift: f64, wander: f64) -> Prediction {
    let (mut level, mut slope) = (readings.first().copied().unwrap_or(0.0), 0.0);
    let (mut ee, mut eb, mut bb) = (U * U, 0.0, drift * drift);
    for reading in readings.iter().skip(1).map(Some).chain([None]) {
        level += slope;
        ee += 2.0 * eb + bb + wander * wander;
        eb += bb;
        if let Some(reading) = reading {
            let (off, variance) = (reading - level, ee + U * U);
            let (gain, slope_gain) = (ee / variance, eb / variance);
            (level, slope) = (level + gain * off, slope + slope_gain * off);
            bb -= slope_gain * eb;
            (ee, eb) = (ee - gain * ee, eb - gain * eb);
        }
    }
    Prediction {
        expected: level,
        u_error: ee.sqrt(),
        u_reading: (ee + U * U).sqrt(),
        degrees_of_freedom: f64::INFINITY,
        no_step: 1.0,
        no_step_at_most: 1.0,
    }
}

impl Judged {
    fn with(self, other: Self) -> Self {
        Self {
            items: self.items + other.items,
            inside: self.inside + other.inside,
            width: self.width + other.width,
            score: self.score + other.score,
            stated: self.stated + other.stated,
            held: self.held + other.held,
            doubtful: self.doubtful + other.doubtful,
            doubtful_stated: self.doubtful_stated + other.doubtful_stated,
            doubtful_held: self.doubtful_held + other.doubtful_held,
            doubtful_known: self.doubtful_known + other.doubtful_known,
            known_doubtful: self.known_doubtful + other.known_doubtful,
            known_doubtful_stated: self.known_doubtful_stated + other.known_doubtful_stated,
            known_doubtful_held: self.known_doubtful_held + other.known_doubtful_held,
        }
    }
}

/// One check of a history.
fn push(columns: &mut Columns, year: f64, found: f64) {
    columns.push(Check {
        date: year * DAYS_PER_YEAR,
        as_found: found,
        u: U,
        ..Check::UNSTATED
    });
}
