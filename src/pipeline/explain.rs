/*! The whole chain of one instrument's decisions, for `driftbook explain`. */

use super::between::{Memory, earlier_decisions};
use super::decisions::Bench;
use super::fits::fit_all;
use super::groups::lent;
use super::plan::Plan;
use super::season;
use crate::intervals::Section;
use crate::records::{LoadError, date};

/// The explanation of one history.
#[derive(Debug, Clone)]
pub struct Explained {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point; may be empty.
    pub point: String,
    /// The decision's sentence.
    pub reason: String,
    /// The chain in order.
    pub sections: Vec<Section>,
    /// Rows of this instrument that could not be used, in words.
    pub rejected: Vec<String>,
}

/// Explains every history of `instrument` (only `point`, where given), as of the plan's date.
/// Empty where the records hold no such history.
///
/// # Errors
/// Unreadable records.
pub fn explain(
    plan: &Plan,
    instrument: &str,
    point: Option<&str>,
) -> Result<Vec<Explained>, LoadError> {
    let season = season::read(plan)?;
    let loaded = season::load(plan, season.as_ref())?;
    let histories = &loaded.histories;
    let memory = Memory::none();
    let fits = fit_all(histories, &plan.settings.drift, &memory);
    let groups = lent(plan, histories);
    let tables = plan.interval_tables();
    let methods = tables.methods();
    let past = earlier_decisions(plan, histories);
    let bench = Bench {
        histories,
        fits: &fits,
        groups: &groups,
        methods: &methods,
        tables: &tables,
        drift: &plan.settings.drift,
        past: &past,
        season: season.as_ref(),
        memory: &memory,
        forecast: false,
        as_of: plan.as_of,
    };
    let wanted = (0..histories.len()).filter(|index| {
        let item = &histories.items[*index];
        item.instrument == instrument && point.is_none_or(|p| p == item.point)
    });
    let rejected: Vec<String> = loaded
        .rejects
        .iter()
        .map(|r| {
            format!(
                "{}, row {}, column {}: {:?}: {}",
                r.file, r.row, r.column, r.value, r.reason
            )
        })
        .collect();
    let assigned = bench.assigned_dates();
    let explained = wanted.map(|index| {
        let (proposals, mut decision) = bench.decide(index);
        if let Some(day) = assigned.get(index) {
            decision.assigned_date = *day;
        }
        Explained {
            instrument: histories.items[index].instrument.clone(),
            point: histories.items[index].point.clone(),
            sections: bench.explain(index, &proposals, &decision),
            reason: format!("As of {}: {}", date::iso(plan.as_of), decision.reason),
            rejected: rejected.clone(),
        }
    });
    Ok(explained.collect())
}
