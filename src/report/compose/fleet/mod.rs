/*! What the fleet's page and summary show: rows, counts, out-of-tolerance by month. */

mod by_month;
pub(super) mod groups;
pub(crate) mod instruments;
mod kept_rows;
pub(crate) mod part;
mod rates;
mod rows;

use super::control;
use super::doubts::Doubts;
use super::given;
use super::levelled::{levelled_words, pending_words, waiting};
use super::report::Report;
use super::sections::coefficient_section;
use crate::decisions::cases::CaseStanding;
use crate::drift::ModelName;
use crate::impact::{Effect, JobDoubt};
use crate::records::{Loaded, Warning, date, once};
use crate::report::compose::results::Results;
use crate::report::compose::workload::workload;
use crate::report::text::{count, with_minus_signs};
use crate::report::{FleetView, RejectView, SectionView};
use crate::settings::demo::DEMO_NAME;
use crate::settings::output::Charts;
use crate::settings::plan::Plan;
use crate::thermometry::cautions;
use crate::words::{agreeing, capitalised};
use by_month::by_month;
use groups::group_views;
use rates::rate_section;
use rows::rows;
use std::collections::HashSet;

/// Rejected rows listed on the page; all are in `rejects.csv`.
const REJECTS_LISTED: usize = 200;

/// Builds the view of the whole fleet; `has_page` tells which histories have a page.
pub(crate) fn fleet_view(report: &Report<'_>, slugs: &[String], has_page: &[bool]) -> FleetView {
    let (plan, results, decisions) = (report.plan, report.results, report.decisions);
    // A fleet run without charts has no group pages to fill.
    let drawn = plan.settings.output.charts != Charts::None;
    let loaded = &results.loaded;
    let histories = &loaded.histories;
    let page = |index: usize| (slugs[index].as_str(), has_page[index]);
    let grouped = || match drawn {
        true => group_views(report),
        false => Vec::new(),
    };
    let ((rows, out_of_tolerance), (groups, sections)) = rayon::join(
        || {
            rayon::join(
                || rows(report, histories.len(), page),
                || by_month(histories.iter()),
            )
        },
        || rayon::join(grouped, || sections(report)),
    );
    FleetView {
        process: control::process(report.stage.controls, &histories.items),
        unclosed: sentence(report.unclosed),
        vanished: sentence(report.vanished),
        unstated: sentence(report.unstated),
        open_cases: report.all_open_cases(slugs, has_page),
        control: drawn && control::is_shown(report.stage.controls, &histories.items),
        rows,
        instruments: match drawn {
            true => instruments::rows(&histories.items, report.instruments, plan.as_of),
            false => Vec::new(),
        },
        groups,
        workload: workload(plan.as_of, histories, decisions),
        out_of_tolerance,
        cautions: bench_cautions(results),
        sections,
        ..of_run(plan, loaded)
    }
}

/// What the view says of the run, whatever is decided.
pub(super) fn of_run(plan: &Plan, loaded: &Loaded) -> FleetView {
    let counts = loaded.rows;
    FleetView {
        title: match &plan.demo {
            Some(_) => DEMO_NAME.to_string(),
            None => String::new(),
        },
        as_of: plan.as_of,
        version: env!("CARGO_PKG_VERSION").into(),
        inputs: loaded
            .inputs
            .iter()
            .map(|input| input.path.clone())
            .collect(),
        counts,
        rejects: loaded
            .rejects
            .iter()
            .take(REJECTS_LISTED)
            .map(reject_view)
            .collect(),
        warnings: once(&loaded.warnings),
        methods: plan
            .settings
            .intervals
            .methods
            .iter()
            .map(|method| (method.word().to_string(), method.about().to_string()))
            .collect(),
        settings_text: toml::to_string(&plan.settings).unwrap_or_default(),
        digest: plan.writes_digest(),
        ..FleetView::default()
    }
}

/// Cautions of the bench where thermometers were read in it: cells, coolants, alcohol, furnaces, mercury.
fn bench_cautions(results: &Results) -> Vec<String> {
    let read = results
        .thermometry
        .as_ref()
        .is_some_and(|s| s.has_readings());
    let all = cautions::ALL.iter().filter(|_| read);
    all.map(|caution| caution.to_string()).collect()
}

fn reject_view(reject: &crate::records::Reject) -> RejectView {
    RejectView {
        file: reject.file.to_string(),
        row: u64::from(reject.row),
        column: reject.column.to_string(),
        value: reject.value.clone(),
        reason: reject.reason.to_string(),
    }
}

/// Parts of the summary that only some runs have: coefficients of a few histories, past work in doubt.
fn sections(report: &Report<'_>) -> Vec<SectionView> {
    let mut sections = Vec::new();
    let histories = &report.results.loaded.histories;
    if histories.len() <= COEFFICIENTS_SHOWN {
        let fits = &report.results.fits.fits;
        // The state model's level and drift stand in the decision, to the digits they are known to.
        let with = (0..histories.len())
            .filter(|i| !fits[*i].coefficients.is_empty() && fits[*i].model != ModelName::State);
        let axis = report.plan.settings.drift.axis;
        sections.extend(with.map(|i| coefficient_section(&histories.get(i), &fits[i], axis)));
    }
    sections.extend(given::section(report.results.loaded.given.as_ref()));
    sections.extend(control::shared_section(report.stage.controls));
    sections.extend(control::fleet_section(
        report.stage.controls,
        &histories.items,
    ));
    sections.extend(report.instrument_section());
    sections.extend(doubt_section(report));
    let window = report.plan.settings.policy.smoothing_days;
    sections.extend(
        levelled_words(report.decisions, window)
            .map(|words| SectionView::of("Levelled workload", [words])),
    );
    sections.extend(approvals_section(
        waiting(report.decisions),
        report.plan.as_of,
    ));
    if report.plan.settings.output.charts != Charts::None {
        sections.extend(rate_section(histories, &report.plan.settings.reliability));
    }
    sections.extend(report.replay.clone());
    sections
}

/// What waits for a person's approval; `None` where nothing does.
pub(super) fn approvals_section(waiting: (usize, f64), as_of: f64) -> Option<SectionView> {
    let waits = pending_words(waiting, as_of)?;
    let words = format!(
        "{waits}. Until then the interval in force stays; the columns approval and pending_since of the table decisions tell them."
    );
    Some(SectionView::of("Approvals", [words]))
}

/// Fleets up to this size show their coefficients in the summary.
const COEFFICIENTS_SHOWN: usize = 3;
/// Jobs in doubt listed in the summary; all are in `doubts.csv`.
const DOUBTS_LISTED: usize = 50;

/// Which past work is in doubt; `None` where no job is known.
pub(crate) fn doubt_section(report: &Report<'_>) -> Option<SectionView> {
    let doubts: &Doubts = report.doubts;
    let settled = |finding: Option<(usize, f64)>| {
        let became = finding.and_then(|finding| doubts.became(report.cases, finding));
        matches!(
            became,
            Some(CaseStanding::Closed(_) | CaseStanding::BeforeBook)
        )
    };
    let in_doubt = |(doubt, _): &(&JobDoubt, Option<(usize, f64)>)| {
        doubt.effect != Effect::CannotBeAssessed && doubt.is_in_doubt()
    };
    let (closed, listed): (Vec<_>, Vec<_>) = doubts
        .with_findings()
        .filter(in_doubt)
        .partition(|(_, finding)| settled(*finding));
    let open: HashSet<usize> = listed.iter().map(|(doubt, _)| doubt.job.row).collect();
    let closed: HashSet<usize> = closed.iter().map(|(doubt, _)| doubt.job.row).collect();
    let closed = closed.difference(&open).count();
    if doubts.jobs == 0 {
        return None;
    }
    let unknown = doubts.unassessed.len();
    let mut paragraphs = vec![jobs_words(doubts)];
    if closed > 0 {
        paragraphs.push(format!(
            "{} of them {} to cases that a person closed, or that are older than the book of cases; they are in the table doubts, by its column case.",
            closed,
            agreeing(closed, "belongs", "belong")
        ));
    }
    if unknown > 0 {
        paragraphs.push(format!(
            "{} of {} cannot be assessed: no history is known for the instrument named, the date is to come or the row cannot be read. Mend the name or the row; each is in the table doubts as cannot_be_assessed.",
            count(unknown, "row"),
            crate::words::count(doubts.jobs, "job")
        ));
    }
    paragraphs.extend(doubts.warnings.iter().cloned());
    Some(
        SectionView::of("Past work in doubt", paragraphs).table(
            "job | instrument | date | effect | reason",
            (doubts.unassessed.iter().take(DOUBTS_LISTED))
                .chain(
                    listed
                        .into_iter()
                        .map(|(doubt, _)| doubt)
                        .take(DOUBTS_LISTED),
                )
                .map(doubt_row),
        ),
    )
}

/// How many jobs are in doubt.
fn jobs_words(doubts: &Doubts) -> String {
    let unknown = doubts.unassessed.len();
    match doubts.jobs_in_doubt() {
        0 if unknown == doubts.jobs => format!(
            "Whether a job is in doubt cannot be said of any of {} (table doubts).",
            crate::words::count(doubts.jobs, "job")
        ),
        0 if unknown > 0 => format!(
            "Whether a job is in doubt cannot be said of {unknown} of {} jobs (table doubts): none of the other {} was done between a good check and a failed one, or after that before the item was good again.",
            doubts.jobs,
            doubts.jobs - unknown
        ),
        0 => format!(
            "None of {} jobs is in doubt: none was done between a good check and a failed one, or after that before the item was good again.",
            doubts.jobs
        ),
        n => format!(
            "{n} of {} {} done with an item that failed its check afterwards or was not yet good again, or that was calibrated with such an item, and cannot be taken to stand; a later good check takes no job out of doubt. The table doubts has every job that was judged.",
            crate::words::count(doubts.jobs, "job"),
            agreeing(n, "was", "were")
        ),
    }
}

fn doubt_row(doubt: &JobDoubt) -> Vec<String> {
    vec![
        doubt.job.job.clone(),
        doubt.job.instrument.clone(),
        match doubt.job.date.is_nan() {
            true => String::new(),
            false => date::iso(doubt.job.date),
        },
        doubt.effect.word().replace('_', " "),
        with_minus_signs(&doubt.reason),
    ]
}

/// A warning as a sentence of the first screen; empty where there is none.
fn sentence(warning: Option<&Warning>) -> String {
    warning.map_or_else(String::new, |warning| {
        format!("{}.", capitalised(&warning.words))
    })
}
