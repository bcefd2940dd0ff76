/*! What an explanation must hold. */

use super::*;
use crate::decisions::policy::decide;
use crate::drift::DriftSettings;
use crate::drift::class::classes::class_parameters;
use crate::drift::state::fit::fit_state;
use crate::intervals::testing::{Record, evidence};

fn sections(record: Record) -> (Decision, Vec<Section>) {
    let histories = record.histories();
    let drift = DriftSettings::default();
    let classes = class_parameters(&histories, &drift);
    let refit = |history: &History<'_>| fit_state(history, classes.of_history(0), &drift);
    let fit = refit(&histories.get(0));
    let evidence = evidence(&histories, &fit);
    let (tables, group) = (IntervalTables::default(), GroupEvidence::default());
    let methods = tables.methods();
    let proposals = crate::intervals::proposals(&methods, &evidence, &group);
    let decision = decide(&evidence, &proposals, &group, &tables.policy, &[]);
    let chain = Chain {
        evidence: &evidence,
        class: classes.of_history(0),
        group: &group,
        proposals: &proposals,
        decision: &decision,
        past: &[],
        methods: &methods,
        tables: &tables,
        refit: &refit,
    };
    let sections = explain(&chain);
    (decision, sections)
}

fn steady() -> Record {
    let mut record = Record::new();
    for i in 0..8 {
        record = record.check(365.25 * f64::from(i), 0.02 * f64::from(i % 3));
    }
    record
}

#[test]
fn the_chain_is_whole_and_asks_what_one_more_check_would_do() {
    let (decision, sections) = sections(steady());
    let titles: Vec<_> = sections.iter().map(|s| s.title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "Data used",
            "Segments",
            "Fit",
            "Proposals",
            "Decision",
            "What would change it"
        ]
    );
    assert_eq!(sections[3].rows.len(), 3);
    assert!(sections[4].paragraphs[0] == decision.reason);
    let last = sections[5].paragraphs.join(" ");
    assert!(last.contains("One more check in tolerance on "), "{last}");
    assert!(last.contains("99 % for "), "{last}");
}

#[test]
fn prices_stand_where_costs_are_given() {
    let mut record = steady();
    (record.item.cost, record.item.cost_out_of_tolerance) = (Some(100.0), Some(1200.0));
    let (decision, sections) = sections(record);
    assert_eq!(
        decision.method,
        Some(crate::intervals::MethodName::LeastCost)
    );
    let last = sections[5].paragraphs.join(" ");
    assert!(last.contains("An interval of 365 d costs "), "{last}");
}

#[test]
fn one_check_is_explained_without_a_forecast() {
    let (_, sections) = sections(Record::new().check(0.0, 0.1));
    assert_eq!(sections.len(), 6);
}
