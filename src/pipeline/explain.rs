/*! The whole chain of one instrument's decisions, for `driftbook explain`. */

use super::ask_stage::{AskError, ask_stage};
use super::named::all_of;
use crate::decisions::explain::Part;
use crate::decisions::stage::DecisionStage;
use crate::drift::class::classes::Classes;
use crate::records::{Histories, Loaded, date};
use crate::report::SectionView;
use crate::report::compose::results::ThermometryResults;
use crate::report::compose::sessions::sections as session_sections;
use crate::report::text::count;
use crate::settings::plan::Plan;

/// The explanation of one history.
#[derive(Debug, Clone)]
pub(crate) struct Explained {
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

/// The histories whose records the drift of history `index` is informed by; `None` where it stands
/// alone.
fn class_members(histories: &Histories, classes: &Classes, index: usize) -> Option<SectionView> {
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
    (number > 0).then(|| {
        SectionView::of(
            "Who lends to its drift",
            [format!(
                "{} of its class: {}.",
                count(number, "history"),
                names.join("; ")
            )],
        )
    })
}

/// Explains every history of `instrument` (only `point`, where given), as of the plan's date.
///
/// # Errors
/// Unreadable records, failures among the rejected rows as in a run, or no history of that name.
pub(crate) fn explain(
    plan: &Plan,
    instrument: &str,
    point: Option<&str>,
) -> Result<Vec<Explained>, AskError> {
    ask_stage(plan, instrument, |stage, loaded, thermometry| {
        let histories = &loaded.histories;
        let wanted = all_of(histories, instrument, point)
            .map_err(|why| AskError::Unknown(why.to_string()))?;
        let assigned = stage.assigned_dates();
        let one = |index| {
            let assigned = assigned.get(index).copied();
            explained(stage, (loaded, thermometry), index, assigned)
        };
        Ok(wanted.into_iter().map(one).collect())
    })
}

fn explained(
    stage: &DecisionStage<'_>,
    (loaded, thermometry): (&Loaded, Option<&ThermometryResults>),
    index: usize,
    assigned: Option<f64>,
) -> Explained {
    let (proposals, mut decision) = stage.decide(index);
    if let Some(day) = assigned {
        decision.assigned_date = day;
    }
    let item = &stage.histories.items[index];
    let mut sections = stage.explain(index, &proposals, &decision, &Part::ALL);
    sections.extend(class_members(stage.histories, &stage.fits.classes, index));
    sections.extend(thermometry.map_or(Vec::new(), |thermometry| {
        session_sections::sections(thermometry, &item.instrument, &item.point)
    }));
    Explained {
        instrument: item.instrument.clone(),
        point: item.point.clone(),
        sections,
        reason: format!("As of {}: {}", date::iso(stage.as_of), decision.reason),
        rejected: loaded.rejects.len(),
    }
}
