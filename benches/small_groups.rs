/*! Coverage study of small groups with few checks: 95 % bands of the true error, and what is
stated of the tolerance.

`cargo bench --bench small_groups [-- ITEMS [SEED [SIZES [CHECKS]]]]`, sizes and checks as lists with
commas, prints the tables of docs/methods-state.md. Each item drifts by a normal law and wanders, is
checked once a year with u a tenth of its tolerance ±1, and is judged a year after its last
check. Groups are fitted one by one, as classes.
*/

use driftbook::drift::{DriftSettings, class_parameters, fit_state};
use driftbook::records::{
    CheckKind, Columns, DAYS_PER_YEAR, Event, Histories, Item, Outcome, Tolerance,
};
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
    stated: f64,
    held: f64,
    /// The same of items of which less than a half is stated.
    doubtful: f64,
    doubtful_stated: f64,
    doubtful_held: f64,
}

fn main() {
    let words: Vec<String> = std::env::args().filter(|word| digits(word)).collect();
    let word = |i: usize, default: &str| words.get(i).cloned().unwrap_or(default.into());
    let items = word(0, "").parse().unwrap_or(ITEMS);
    let seed: u64 = word(1, "").parse().unwrap_or(SEED);
    println!(
        "| drift, wander | group of | checks | inside 95 % band | half width | stated | true | below 0.5: share | stated | true |"
    );
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
    for (drift, wander) in TRUTHS {
        for size in list(&word(2, SIZES)) {
            for checks in list(&word(3, CHECKS)) {
                let of = cell(drift, wander, size, checks, items, seed);
                println!(
                    "| {drift}, {wander} | {size} | {checks} | {:.3} | {:.2} | {:.3} | {:.3} | {:.3} | {:.2} | {:.2} |",
                    of.inside / of.items,
                    of.width / of.items,
                    of.stated / of.items,
                    of.held / of.items,
                    of.doubtful / of.items,
                    of.doubtful_stated / of.doubtful,
                    of.doubtful_held / of.doubtful,
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
fn cell(drift: f64, wander: f64, size: usize, checks: usize, items: usize, seed: u64) -> Judged {
    let groups = items.div_ceil(size) as u64;
    let judged = (0..groups).into_par_iter().map(|group| {
        let random = Pcg64::seed_from_u64(seed.wrapping_mul(1_000_003) + group);
        judge(drift, wander, size, checks, random)
    });
    // Summed in order, so that the threads change no digit.
    judged
        .collect::<Vec<_>>()
        .into_iter()
        .fold(Judged::default(), Judged::with)
}

/// One group, a year after its last checks.
fn judge(drift: f64, wander: f64, size: usize, checks: usize, mut random: Pcg64) -> Judged {
    let mut normal = || -> f64 { random.sample(StandardNormal) };
    let mut all = Histories {
        offsets: vec![0],
        ..Histories::default()
    };
    let mut truths = Vec::new();
    for item in 0..size {
        let (slope, mut error) = (drift * normal(), 0.0);
        for year in 0..checks {
            push(&mut all.columns, year as f64, error + U * normal());
            error += slope + wander * normal();
        }
        truths.push(error);
        all.items.push(Item {
            instrument: format!("item {item:03}"),
            group: "g".into(),
            unit: "mK".into(),
            tolerance: Tolerance::new(-1.0, 1.0),
            ..Item::default()
        });
        all.offsets.push(all.columns.date.len());
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
        sum = sum.with(Judged {
            items: 1.0,
            inside: f64::from(below <= truth && truth <= above),
            width: 0.5 * (above - below),
            stated,
            held,
            doubtful,
            doubtful_stated: doubtful * stated,
            doubtful_held: doubtful * held,
        });
    }
    sum
}

impl Judged {
    fn with(self, other: Self) -> Self {
        Self {
            items: self.items + other.items,
            inside: self.inside + other.inside,
            width: self.width + other.width,
            stated: self.stated + other.stated,
            held: self.held + other.held,
            doubtful: self.doubtful + other.doubtful,
            doubtful_stated: self.doubtful_stated + other.doubtful_stated,
            doubtful_held: self.doubtful_held + other.doubtful_held,
        }
    }
}

/// One check of a history.
fn push(columns: &mut Columns, year: f64, found: f64) {
    columns.date.push(year * DAYS_PER_YEAR);
    columns.as_found.push(found);
    columns.as_left.push(f64::NAN);
    columns.nominal.push(0.0);
    columns.u.push(U);
    columns.u_common.push(0.0);
    columns.lower.push(f64::NAN);
    columns.upper.push(f64::NAN);
    columns.usage.push(f64::NAN);
    columns.outcome.push(Outcome::Unknown);
    columns.event.push(Event::None);
    columns.kind.push(CheckKind::Unstated);
    columns.source.push((0, 0));
}
