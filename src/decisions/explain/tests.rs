/*! What an explanation must hold. */

use super::*;
use crate::decisions::controls::Controls;
use crate::decisions::small_class::NoneKnown;
use crate::decisions::stage::DecisionStage;
use crate::decisions::testing::*;
use crate::drift::DriftSettings;
use crate::drift::class::classes::class_parameters;
use crate::drift::class::fits::Fits;
use crate::drift::state::fit::fit_state;

fn sections(record: Record) -> (Decision, Vec<SectionView>) {
    let histories = record.histories();
    let drift = DriftSettings::default();
    let classes = class_parameters(&histories, &drift);
    let fit = fit_state(&histories.get(0), classes.of_history(0), &drift);
    let fits = Fits {
        classes,
        fits: vec![fit],
    };
    let tables = DecisionTables::default();
    let stage = DecisionStage {
        histories: &histories,
        beside: None,
        fits: &fits,
        groups: &EvidenceByGroup::default(),
        methods: &tables.methods(),
        tables: &tables,
        drift: &drift,
        past: &[],
        thermometry: None,
        closings: None,
        controls: &Controls::default(),
        known: &NoneKnown,
        forecast: false,
        as_of: histories.get(0).last_calibration(),
    };
    let (proposals, decision) = stage.decide(0);
    let sections = stage.explain(0, &proposals, &decision, &Part::ALL);
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
    says!(last, "One more check in tolerance on ", "99 % for ");
}

/// One item watched for seven years without a step: by the rule of three (ln 20 = 2.996 events
/// at 95 %; F. Garwood 1936) up to 0.43 steps a year agree with that.
#[test]
fn the_steps_that_the_record_would_bear_are_told() {
    let (decision, sections) = sections(steady());
    let words = sections[5].paragraphs.join(" ");
    let expected = "its record shows none in 7 item-years, and 0.027 a year are taken, one in 30 years included that is believed in before any record. Up to 0.43 a year would agree with that record (95 %)";
    says!(words, expected);
    let years = decision.interval_days / 365.25;
    let no_step = (1.0 + years / 37.0).powi(-1);
    let at_most = decision.probability_in_tolerance / no_step * 20f64.powf(-years / 7.0);
    let expected = format!("would be {:.1} %, not 95 %.", 100.0 * at_most);
    assert!(words.contains(&expected), "{expected} {words}");
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
    says!(last, "An interval of 365 d costs ");
}

#[test]
fn one_check_is_explained_without_a_forecast() {
    let (_, sections) = sections(Record::new().check(0.0, 0.1));
    assert_eq!(sections.len(), 6);
}
