/*! `digest.json`: the digest for other programs. Dates are ISO 8601; what is missing is null. */

use crate::report::text::iso_date;
use crate::report::view::{Action, ChangeView, DigestView, FleetRow, MonthCount};
use serde_json::{Map, Value, json};

/// The digest as one JSON object; every change is in it.
pub(crate) fn digest_json(view: &DigestView) -> Value {
    let counts = Action::ALL.iter().zip(view.action_counts);
    let actions: Map<String, Value> = counts
        .map(|(action, n)| (action.to_string(), n.into()))
        .collect();
    json!({
        "as_of": iso_date(view.as_of),
        "compared_with": view.previous.map(iso_date),
        "histories": view.histories,
        "actions": actions,
        "open_cases": view.open_cases,
        "open_signals": view.open_signals,
        "changes": view.changes.iter().map(change).collect::<Vec<_>>(),
        "due": {
            "overdue": view.due.overdue,
            "within_30_days": view.due.within_30,
            "within_60_days": view.due.within_60,
            "within_90_days": view.due.within_90,
        },
        "workload": view.workload.months.iter().map(month).collect::<Vec<_>>(),
        "workload_overdue": {
            "by_decided_intervals": view.workload.overdue.decided,
            "by_intervals_in_use": view.workload.overdue.now,
        },
        "urgent": view.urgent.iter().map(urgent).collect::<Vec<_>>(),
        "notes": view.notes,
    })
}

fn change(change: &ChangeView) -> Value {
    json!({
        "kind": change.kind,
        "history": change.name,
        "page": (!change.slug.is_empty()).then(|| format!("instruments/{}.html", change.slug)),
        "sentence": change.sentence,
        "red_flag": change.red_flag,
    })
}

fn month(month: &MonthCount) -> Value {
    json!({
        "month": iso_date(month.month),
        "due_by_decided_intervals": month.due.decided,
        "due_by_intervals_in_use": month.due.now,
    })
}

fn urgent(row: &FleetRow) -> Value {
    json!({
        "instrument": row.instrument,
        "point": row.point,
        "action": row.action.word(),
        "due_date": row.due_day.map(iso_date),
        "proposed_due_date": row.proposed_due.map(iso_date),
        "reason": row.reason,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn programs_read_every_change() {
        let view = samples::digest();
        let value = digest_json(&view);
        assert_eq!(
            value["changes"].as_array().unwrap().len(),
            view.changes.len()
        );
        assert_eq!(value["changes"][2]["red_flag"], true);
        assert_eq!(value["compared_with"], iso_date(view.previous.unwrap()));
        assert_eq!(value["urgent"][0]["action"], "withdraw");
    }
}
