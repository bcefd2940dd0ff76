/*! `conformity`: the last check of each shown history by the decision rule, and the risks. */

use crate::decisions::conformity_record::{ClassRisks, Record};
use crate::decisions::policy::{Action, Decision};
use crate::files::run_error::RunError;
use crate::records::Histories;
use crate::report::SectionView;
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use crate::report::text::with_minus_signs;
use crate::words::{count, figure, percent};
use std::collections::BTreeMap;

/// Why the risk on the due date is empty although the rest is known.
const LEVEL_IN_DOUBT: &str = "no risk on the due date: the readings moved together with those of other items, see shared_shifts";

/// The risks of the decision rule over the items of a group, point by point: the largest of its
/// members' last checks. `None` where no class of it is known.
pub(super) fn risk_section(
    histories: &Histories,
    decisions: &[Decision],
    records: &[&Record],
) -> Option<SectionView> {
    let mut points: BTreeMap<&str, Vec<&Record>> = BTreeMap::new();
    for record in records.iter().filter(|record| record.risks.is_some()) {
        let point = histories.items[record.index].point.as_str();
        points.entry(point).or_default().push(record);
    }
    let row = |(point, records): (&&str, &Vec<&Record>)| {
        let mut row = vec![point.to_string()];
        row.extend(risks_at_point(histories, records));
        row.push(most_at_risk(histories, decisions, records));
        row
    };
    let rows: Vec<Vec<String>> = points.iter().map(row).collect();
    let words = "Before a reading an item of the group is taken to be as its readings show the group to be: true errors of this mean and standard deviation, which so many items tell within limits. By the decision rule, at most: a reading is accepted although the item is outside (the consumer's risk), or not accepted although it is inside (the producer's); in brackets, what each may be over the 95 % limits of mean and deviation. The last column names the one item in service that is most likely out of tolerance at the end of its interval; the others are less so. conformity.csv has them for each.";
    (!rows.is_empty()).then(|| {
        SectionView::of("Risks of the decision rule", [words]).table(
"point | mean | standard deviation | readings | consumer's risk | producer's risk | most at risk when due",
            rows,
        )
    })
}

/// "PG-011: 8.3 %", of the items that stay in use the one that is most likely out of tolerance when it is due.
fn most_at_risk(histories: &Histories, decisions: &[Decision], records: &[&Record]) -> String {
    let serving = records.iter().map(|record| record.index).filter(|index| {
        let decision = &decisions[*index];
        decision.action != Action::Withdraw && decision.probability_in_tolerance.is_finite()
    });
    let risk = |index: usize| 1.0 - decisions[index].probability_in_tolerance;
    let worst = serving.max_by(|a, b| risk(*a).total_cmp(&risk(*b)).then(b.cmp(a)));
    worst.map_or("unknown".into(), |index| {
        format!(
            "{}: {}",
            histories.items[index].instrument,
            percent(risk(index))
        )
    })
}

/// Writes `conformity.csv` and `conformity.parquet`: one row a history with a value and a
/// tolerance.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(
    histories: &Histories,
    decisions: &[Decision],
    rule: &'static str,
    records: &[&Record],
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    to.write_rows("conformity", records, |rows| {
        table(histories, decisions, rule, rows)
    })
}

/// What is known of the items at one point before a reading, and the largest risks among them.
fn risks_at_point(histories: &Histories, records: &[&Record]) -> [String; 5] {
    let (mean, deviation, readings) = records[0].class.unwrap_or((f64::NAN, f64::NAN, 0));
    let unit = &histories.items[records[0].index].unit;
    let largest = |get: &dyn Fn(&ClassRisks) -> f64| {
        let of = |record: &&Record| record.risks.as_ref().map_or(f64::NAN, get);
        percent(records.iter().map(of).fold(f64::NAN, f64::max))
    };
    let span = |which: usize| {
        let (low, high) = (
            largest(&|risks| risks.limits[which].0),
            largest(&|risks| risks.limits[which].1),
        );
        format!("{low} to {high}")
    };
    let consumer = largest(&|risks| risks.normal.consumer);
    let producer = largest(&|risks| risks.normal.producer);
    [
        with_minus_signs(&figure(mean, unit)),
        figure(deviation, unit),
        format!("{readings} of {}", count(records[0].class_items, "item")),
        format!("{consumer} ({})", span(0)),
        format!("{producer} ({})", span(1)),
    ]
}

pub(super) fn table<'a>(
    histories: &'a Histories,
    decisions: &[Decision],
    rule: &'static str,
    rows: &[&'a Record],
) -> Table<'a> {
    let history = |r: &Record| histories.get(r.index);
    let last_check = RowTable::of(rows)
        .text("instrument", |r| &history(r).item.instrument)
        .text("point", |r| &history(r).item.point)
        .date("date", |r| history(r).date[r.last.row])
        .about("of the last check with a value")
        .word("rule", |_| rule)
        .number("as_found", |r| history(r).as_found[r.last.row])
        .number("u", |r| r.u)
        .about("shared part included");
    let by_rule = by_rule(last_check, histories);
    over_the_group(by_rule)
        .number("risk_at_due", |r| {
            1.0 - decisions[r.index].probability_in_tolerance
        })
        .about("out of tolerance on the due date")
        .text("missing", |r| {
            match (r.missing.as_str(), decisions[r.index].level_in_doubt) {
                ("", true) => LEVEL_IN_DOUBT,
                (own, _) => own,
            }
        })
        .about("why a figure is empty")
        .done()
}

type Records<'a, 'r> = RowTable<'a, 'r, &'a Record>;

/// What the decision rule states of the last check, as found and as left.
fn by_rule<'a, 'r>(table: Records<'a, 'r>, histories: &Histories) -> Records<'a, 'r> {
    let left = |r: &'a Record| r.last.left.as_ref();
    table
        .word("conformity_as_found", |r| r.last.found.state.word())
        .number("probability_as_found", |r| r.last.found.probability)
        .about("of the true error in tolerance, by the reading alone")
        .number("risk_as_found", |r| r.last.found.risk)
        .about("that the statement is wrong: accepted though outside, or rejected though inside")
        .number("as_left", |r| histories.get(r.index).left(r.last.row))
        .word("conformity_as_left", |r| {
            left(r).map_or("", |c| c.state.word())
        })
        .known("probability_as_left", |r| left(r).map(|c| c.probability))
        .about("empty where left as found")
        .known("risk_as_left", |r| left(r).map(|c| c.risk))
        .about("empty where left as found")
        .number("acceptance_lower", |r| r.last.found.acceptance.0)
        .number("acceptance_upper", |r| r.last.found.acceptance.1)
        .number("measurement_capability", |r| r.capability)
        .about("(upper − lower)/4u")
        .number("test_uncertainty_ratio", |r| r.ratio)
        .about("(upper − lower)/2U")
}

/// What the group's readings show of an item before its own reading, and the risks of the rule by it.
fn over_the_group<'a, 'r>(table: Records<'a, 'r>) -> Records<'a, 'r> {
    let risks = |r: &'a Record| r.risks.as_ref();
    table
        .known("prior_mean", |r| r.class.as_ref().map(|c| c.0))
        .about("of the true errors over the group")
        .known("prior_deviation", |r| r.class.as_ref().map(|c| c.1))
        .about("of the true errors over the group")
        .known("prior_readings", |r| r.class.as_ref().map(|c| c.2 as f64))
        .whole("prior_items", |r| {
            (r.class_items > 0).then_some(r.class_items as i64)
        })
        .about("items that those readings are of")
        .known("consumer_risk", |r| Some(risks(r)?.normal.consumer))
        .about("over the group: accepted and outside")
        .known("producer_risk", |r| Some(risks(r)?.normal.producer))
        .about("over the group: not accepted and inside")
        .known("consumer_risk_empirical", |r| {
            Some(risks(r)?.empirical.consumer)
        })
        .about("with the group's own errors instead of a normal distribution")
        .known("producer_risk_empirical", |r| {
            Some(risks(r)?.empirical.producer)
        })
        .about("with the group's own errors instead of a normal distribution")
        .known("consumer_risk_lower", |r| Some(risks(r)?.limits[0].0))
        .about("over the 95 % limits of mean and spread of so few items")
        .known("consumer_risk_upper", |r| Some(risks(r)?.limits[0].1))
        .known("producer_risk_lower", |r| Some(risks(r)?.limits[1].0))
        .about("over the 95 % limits of mean and spread of so few items")
        .known("producer_risk_upper", |r| Some(risks(r)?.limits[1].1))
        .known("guard_factor_for_risk", |r| risks(r)?.guard_factor)
        .about("guard band in U that meets `largest_consumer_risk`")
}
