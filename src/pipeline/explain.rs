/*! The whole chain of one instrument's decisions, for `driftbook explain`. */

use super::fits::fit_all;
use super::groups::lent;
use super::named::all_of;
use super::season;
use crate::decisions::bench::Bench;
use crate::decisions::controls::{ChartedBy, Controls};
use crate::drift::class::classes::Classes;
use crate::ledger::earlier::{earlier_decisions, earlier_results};
use crate::records::{Histories, RecordsError, date};
use crate::report::SectionView;
use crate::report::compose::sessions::sections as season_sections;
use crate::report::text::count;
use crate::settings::plan::Plan;
use std::borrow::Cow;

/// The explanation of one history.
#[derive(Debug, Clone)]
pub struct Explained {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point; may be empty.
    pub point: String,
    /// The decision's sentence.
    pub reason: String,
    /// The chain in order; for a thermometer read in sessions, what they say as well.
    pub sections: Vec<SectionView>,
    /// Number of rows of the records that could not be used.
    pub rejected: usize,
}

/// Why nothing is explained.
#[derive(Debug, thiserror::Error)]
pub enum ExplainError {
    /// Records that no decision can rest on.
    #[error(transparent)]
    Records(#[from] RecordsError),
    /// No such instrument or point, with a hint.
    #[error("{0}")]
    Unknown(String),
}

/// The histories whose records the drift of history `index` is informed by; `None` where it stands
/// alone.
fn lenders(histories: &Histories, classes: &Classes, index: usize) -> Option<SectionView> {
    const NAMED: usize = 20;
    let class = *classes.of.get(index)?;
    let others = (0..histories.len()).filter(|i| *i != index && classes.of[*i] == class);
    let number = others.clone().count();
    let mut names: Vec<String> = others
        .take(NAMED)
        .map(|i| histories.items[i].name())
        .collect();
    if number > NAMED {
        names.push(format!("and {} more", number - NAMED));
    }
    (number > 0).then(|| SectionView {
        title: "Who lends to its drift".into(),
        paragraphs: vec![format!(
            "{} of its class: {}.",
            count(number, "history"),
            names.join("; ")
        )],
        ..SectionView::default()
    })
}

/// Explains every history of `instrument` (only `point`, where given), as of the plan's date.
///
/// # Errors
/// Unreadable records, failures among the rejected rows as in a run, or no history of that name.
pub fn explain(
    plan: &Plan,
    instrument: &str,
    point: Option<&str>,
) -> Result<Vec<Explained>, ExplainError> {
    let mut season = season::read(plan).map_err(RecordsError::from)?;
    let loaded = season::load(plan, season.as_ref()).map_err(RecordsError::from)?;
    let settings = &plan.settings.checks;
    loaded
        .refuse_lost_failures(settings)
        .map_err(RecordsError::from)?;
    let histories = &loaded.histories;
    let wanted = all_of(histories, instrument, point).map_err(ExplainError::Unknown)?;
    let memory = earlier_results(plan);
    let fits = fit_all(histories, &plan.settings.drift, &memory);
    let groups = lent(plan, histories);
    let tables = plan.interval_tables();
    let methods = tables.methods();
    let past = earlier_decisions(plan, histories);
    let closings = plan.closings().map_err(RecordsError::from)?;
    let class = |index| Cow::Borrowed(fits.classes.of_history(index));
    let by = ChartedBy {
        control: &plan.settings.control,
        drift: &plan.settings.drift,
        closings: closings.as_ref(),
        class: &class,
    };
    let controls = Controls::of(histories, &by, false);
    if let Some(season) = &mut season {
        let rule = plan.settings.conformity.decision_rule();
        season.heed_cases(histories, &rule, closings.as_ref(), plan.as_of);
    }
    let bench = Bench {
        histories,
        fits: &fits,
        groups: &groups,
        methods: &methods,
        tables: &tables,
        drift: &plan.settings.drift,
        past: &past,
        season: season.as_ref(),
        closings: closings.as_ref(),
        controls: &controls,
        memory: &memory,
        forecast: false,
        as_of: plan.as_of,
    };
    let assigned = bench.assigned_dates();
    let explained = wanted.into_iter().map(|index| {
        let (proposals, mut decision) = bench.decide(index);
        if let Some(day) = assigned.get(index) {
            decision.assigned_date = *day;
        }
        let item = &histories.items[index];
        let chain = bench.explain(index, &proposals, &decision);
        let mut sections: Vec<SectionView> = chain.iter().map(SectionView::from).collect();
        sections.extend(lenders(histories, &fits.classes, index));
        let sessions = season.as_ref();
        sections.extend(sessions.map_or(Vec::new(), |season| {
            season_sections::sections(season, &item.instrument, &item.point)
        }));
        Explained {
            instrument: item.instrument.clone(),
            point: item.point.clone(),
            sections,
            reason: format!("As of {}: {}", date::iso(plan.as_of), decision.reason),
            rejected: loaded.rejects.len(),
        }
    });
    Ok(explained.collect())
}
