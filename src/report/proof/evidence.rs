/*! docs/evidence.md: the closed loop, the bands on simulated fleets, the real histories. */

use super::loops::{PUBLISHED, excess_rows, loop_markdown};
use super::replays::band_table;
use crate::report::text::percent;
use crate::simulate::closed_loop::product::ELDERS;
use crate::simulate::closed_loop::{Cell, LoopSettings, PERFECT};
use crate::simulate::replay::ReplayResult;
use std::fmt::Write as _;

/// One replay of the study.
#[derive(Debug, Clone)]
pub(crate) struct ReplayedRecords {
    /// Heading.
    pub title: String,
    /// What the records are and where they come from.
    pub about: String,
    /// What the replay found.
    pub result: ReplayResult,
}

#[derive(Debug, Clone)]
pub(crate) struct StudyResults {
    /// Settings of the closed loop.
    pub settings: LoopSettings,
    pub cells: Vec<Cell>,
    /// Simulated fleets replayed.
    pub bands: ReplayedRecords,
    /// Real histories replayed.
    pub real: Vec<ReplayedRecords>,
    /// Level of the bands.
    pub level: f64,
}

/// The whole page.
pub(crate) fn evidence_markdown(evidence: &StudyResults) -> String {
    let mut text = String::from(
        "# Evidence\n\n\
        Made by `driftbook simulate evidence --out docs --replace` from the settings and seeds in `data/evidence`; \
        run it again and the same bytes come out. Nothing here is a claim about your instruments: \
        `driftbook replay` makes the same tables from your own records.\n\n",
    );
    findings(&mut text, evidence);
    closed_loop(&mut text, evidence);
    bands(&mut text, evidence);
    text
}

/// The three numbers worth quoting.
fn findings(text: &mut String, evidence: &StudyResults) {
    text.push_str("## In short\n\n");
    for size in evidence.settings.sizes() {
        let rows = excess_rows(&evidence.cells, size);
        let policy = rows
            .iter()
            .filter(|row| row.own)
            .min_by(|a, b| a.mean.total_cmp(&b.mean));
        let others = rows.iter().filter(|row| row.published);
        let other = others.min_by(|a, b| a.mean.total_cmp(&b.mean));
        if let (Some(policy), Some(other)) = (policy, other) {
            let _ = writeln!(
                text,
                "- Intervals set by the {} come to {:.0} % more cost than perfect knowledge of every instrument would, on average over {} kinds of instrument in classes of {size}; the best of the published methods, {}, to {:.0} % more.",
                policy.name,
                policy.mean,
                policy.kinds.len(),
                other.name,
                other.mean
            );
        }
    }
    let replays = std::iter::once(&evidence.bands).chain(&evidence.real);
    for replayed in replays {
        if let Some(first) = replayed.result.forecasters.first() {
            let next = &first.next;
            let _ = writeln!(
                text,
                "- {}: {} of {} later readings fell inside the {} band made before ({} to {}).",
                replayed.title,
                percent(next.inside as f64 / next.count as f64),
                next.count,
                percent(evidence.level),
                percent(next.limits.0),
                percent(next.limits.1)
            );
        }
    }
    text.push('\n');
}

fn closed_loop(text: &mut String, evidence: &StudyResults) {
    let settings = &evidence.settings;
    let _ = writeln!(
        text,
        "## Closed loop\n\nInvented instruments live for {} years under each method: they drift, are checked when the method says so, and are adjusted when a reading passes the share of the tolerance that `data/evidence/closed-loop.toml` states. A calibration and a year out of tolerance cost what that file says. An instrument that the policy withdraws is out of use until it has been set right and calibrated, one look at the truth ({} to a year) later, and keeps the interval that was in force until that calibration decides the next; being without it costs nothing here. Every method meets the same instruments with the same luck. Intervals stay between {} and {} years; the reliability target is {}.\n",
        settings.years,
        settings.steps_per_year,
        settings.shortest_years,
        settings.longest_years,
        settings.reliability_target
    );
    let _ = writeln!(
        text,
        "Figures: cost above that of *{PERFECT}*, in %, with the Monte Carlo standard error; in brackets the share of checks, after an instrument's third decision, whose true error was in tolerance. {PERFECT} is told the drift, wander, jump rate, ageing and season of each instrument, and its error through readings, like everybody; nothing can be told the future. The rows *class known* are told from the first day what {ELDERS} elder instruments of the same kind showed under yearly checks: what then remains is the price of getting to know each single instrument, and of the rule itself.\n"
    );
    for size in settings.sizes() {
        let _ = writeln!(
            text,
            "![Cost by method, classes of {size}](evidence/closed-loop-{size}.svg)\n"
        );
    }
    text.push_str(&loop_markdown(&evidence.cells, &settings.sizes()));
    lost_cells(text, &evidence.cells);
    own_family(text, evidence);
    text.push_str(
        "### Read it with care\n\n\
        - The first five kinds are of the state model's own family (a line, a random walk, steps, normal noise); the others break it in one way each.\n\
        - *reliability* treats each check as the settings' renewal assumption says; *control chart*, *staircase* and the response methods run with this program's defaults, as one follows them from one calibration to the next.\n\
        - *own line* is the straight line through the readings of one item (all of them, or its last eight), taken for the forecast: by target the longest interval whose probability in tolerance stays at the target, by cost the cheapest; until it has enough readings the interval stays.\n\
        - Methods that need what these fleets do not have are left out: in-use time (no use is counted), in-service check (no checks between calibrations), uncertainty growth (no largest uncertainty is set).\n\
        - The costs decide how much a missed month matters. With other costs other intervals are cheapest; the least-cost method is told the costs, the target methods are not.\n\n",
    );
}

/// Where a published method is significantly cheaper than the least-cost policy, in words.
fn lost_cells(text: &mut String, cells: &[Cell]) {
    let mut lost = Vec::new();
    for policy in cells
        .iter()
        .filter(|cell| cell.planner == "policy, least cost")
    {
        let rivals = cells.iter().filter(|cell| {
            let same = cell.kind == policy.kind && cell.class_size == policy.class_size;
            let error = cell.excess_error.hypot(policy.excess_error);
            let published = PUBLISHED.contains(&cell.planner.as_str());
            same && published && policy.excess - cell.excess > 2.0 * error
        });
        if let Some(best) = rivals.min_by(|a, b| a.excess.total_cmp(&b.excess)) {
            lost.push(format!(
                "{} in classes of {} ({}: {:.0} against {:.0} %)",
                policy.kind, policy.class_size, best.planner, best.excess, policy.excess
            ));
        }
    }
    text.push_str("*Drift crossing* and *least cost* follow the state forecast as it stands; the policy binds them by its rules (a failed check never leads to an extension, growth at once is limited, small changes are not made). What the rules cost here is the difference of the rows; what they guard against is what a simulation does not hold.\n\n");
    let sentence = match lost.is_empty() {
        true => "No published method is cheaper than the least-cost policy in any cell by more than twice the error of the difference.".to_string(),
        false => format!("Where a published method is cheaper than the least-cost policy by more than twice the error of the difference: {}. In every other cell the policy costs less or the difference is within its error.", lost.join("; ")),
    };
    let _ = writeln!(text, "{sentence}\n");
}

/// Kinds of the settings that are of the state model's own family: the first of them.
const OWN_FAMILY: usize = 5;

/// The means over the model's own family, from the rule that is told its class to the policy
/// that learns it: what learning costs, and what the policy's rules cost.
fn own_family(text: &mut String, evidence: &StudyResults) {
    let _ = writeln!(
        text,
        "Over the {OWN_FAMILY} kinds of the state model's own family, in %:\n\n| class size | rule | class known | class learned | with the policy's rules |\n| ---: | --- | ---: | ---: | ---: |"
    );
    for size in evidence.settings.sizes() {
        let rows = excess_rows(&evidence.cells, size);
        let mean = |name: &str| {
            let row = rows.iter().find(|row| row.name == name);
            let kinds = row.map_or(&[][..], |row| &row.kinds);
            let own = &kinds[..OWN_FAMILY.min(kinds.len())];
            format!("{:.1}", own.iter().sum::<f64>() / own.len() as f64)
        };
        for (rule, policy) in [
            ("drift crossing", "policy, target"),
            ("least cost", "policy, least cost"),
        ] {
            let (known, learned) = (mean(&format!("{rule}, class known")), mean(rule));
            let bound = mean(policy);
            let _ = writeln!(text, "| {size} | {rule} | {known} | {learned} | {bound} |");
        }
    }
    text.push('\n');
}

fn bands(text: &mut String, evidence: &StudyResults) {
    text.push_str("## Bands\n\nEvery forecast is made as a run on that past day would have made it, from the checks dated up to then, and scored on what came next. Limits are those of as many independent trials as scatter like the histories do (stretches of them, where there are fewer than ten), after Korn and Graubard: the readings of one item are no trials of their own. Width, CRPS and interval score are in half widths of the tolerance, or in standard deviations of the readings where there is none; smaller is better. Forecasts of one horizon do not overlap.\n\n");
    for (number, replayed) in std::iter::once(&evidence.bands)
        .chain(&evidence.real)
        .enumerate()
    {
        let _ = writeln!(text, "### {}\n\n{}\n", replayed.title, replayed.about);
        let _ = writeln!(
            text,
            "![Share inside the band](evidence/coverage-{number}.svg)\n"
        );
        for sentence in &replayed.result.words {
            let _ = writeln!(text, "- {sentence}");
        }
        text.push('\n');
        for forecaster in &replayed.result.forecasters {
            band_table(text, forecaster);
        }
    }
}
