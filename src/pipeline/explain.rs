/*! The whole chain of one instrument's decisions, for `driftbook explain`. */

use super::named::all_of;
use super::on_bench::{AskError, on_bench};
use crate::decisions::bench::Bench;
use crate::drift::class::classes::Classes;
use crate::records::{Histories, Loaded, date};
use crate::report::SectionView;
use crate::report::compose::results::SeasonResults;
use crate::report::compose::sessions::sections as season_sections;
use crate::report::text::count;
use crate::settings::plan::Plan;

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
) -> Result<Vec<Explained>, AskError> {
    on_bench(plan, instrument, |bench, loaded, season| {
        let histories = &loaded.histories;
        let wanted = all_of(histories, instrument, point)
            .map_err(|why| AskError::Unknown(why.to_string()))?;
        let assigned = bench.assigned_dates();
        let one = |index| {
            let assigned = assigned.get(index).copied();
            explained(bench, (loaded, season), index, assigned)
        };
        Ok(wanted.into_iter().map(one).collect())
    })
}

fn explained(
    bench: &Bench<'_>,
    (loaded, season): (&Loaded, Option<&SeasonResults>),
    index: usize,
    assigned: Option<f64>,
) -> Explained {
    let (proposals, mut decision) = bench.decide(index);
    if let Some(day) = assigned {
        decision.assigned_date = day;
    }
    let item = &bench.histories.items[index];
    let chain = bench.explain(index, &proposals, &decision);
    let mut sections: Vec<SectionView> = chain.iter().map(SectionView::from).collect();
    sections.extend(class_members(bench.histories, &bench.fits.classes, index));
    sections.extend(season.map_or(Vec::new(), |season| {
        season_sections::sections(season, &item.instrument, &item.point)
    }));
    Explained {
        instrument: item.instrument.clone(),
        point: item.point.clone(),
        sections,
        reason: format!("As of {}: {}", date::iso(bench.as_of), decision.reason),
        rejected: loaded.rejects.len(),
    }
}
