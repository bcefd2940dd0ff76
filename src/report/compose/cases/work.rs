/*! The work in doubt of a record: the jobs that the finding puts in question, or that hang on it. */

use crate::impact::{JobDoubt, Window};
use crate::report::SectionView;
use crate::report::compose::doubts::Doubts;
use crate::report::text::{count, iso_date, percent, with_minus_signs};

/// The jobs that the failure puts in question, and those that follow from them.
pub(super) fn work(
    doubts: &Doubts,
    index: usize,
    window: Option<&Window>,
    day: f64,
) -> SectionView {
    let title = "Work in doubt".to_string();
    let said = |words: &str| SectionView::of(title.clone(), [words.to_string()]);
    let Some(window) = window else {
        let unclear = "A reading this near a limit shows neither that the item was good nor that it was not: no job is judged by it, and a person decides on the work since the last good check.";
        return at_risk(doubts, index, day, said(unclear));
    };
    if doubts.jobs == 0 {
        return said(
            "No table of jobs was given ([jobs] file): which work is in doubt must be found by hand, from the last good check on.",
        );
    }
    let own =
        |(_, finding): &(&JobDoubt, Option<(usize, f64)>)| *finding == Some((index, window.found));
    let listed: Vec<&JobDoubt> = doubts
        .with_findings()
        .filter(own)
        .map(|(doubt, _)| doubt)
        .collect();
    let in_doubt = listed.iter().filter(|doubt| doubt.is_in_doubt()).count();
    let since = window.good_since.map_or("ever".to_string(), iso_date);
    let unread = match doubts.unassessed.len() {
        0 => String::new(),
        rows => format!(
            " {} of the table cannot be assessed and may concern this item: see the table doubts.",
            count(rows, "row")
        ),
    };
    SectionView::of(
        title,
        [format!(
            "{} in question since {since}: {in_doubt} cannot be taken to stand.{unread}",
            count(listed.len(), "job")
        )],
    )
    .table(
        "job | date | effect | out of tolerance that day | reason",
        listed.into_iter().map(cells),
    )
}

fn cells(doubt: &JobDoubt) -> Vec<String> {
    let out = match doubt.probability_out.is_finite() {
        true => percent(doubt.probability_out),
        false => "not known".into(),
    };
    vec![
        doubt.job.job.clone(),
        iso_date(doubt.job.date),
        doubt.effect.word().replace('_', " "),
        out,
        with_minus_signs(&doubt.reason),
    ]
}

/// Names the jobs that hang on a reading which cannot tell.
fn at_risk(doubts: &Doubts, index: usize, day: f64, mut part: SectionView) -> SectionView {
    let own = doubts.at_risk.get(index).into_iter().flatten();
    let rows = own.filter(|(of, ..)| *of == day);
    part.rows = rows
        .map(|(_, job, date)| vec![job.clone(), iso_date(*date)])
        .collect();
    if part.rows.is_empty() {
        let none = match doubts.jobs {
            0 => "No table of jobs was given ([jobs] file).",
            _ => "No job of the table falls into that time.",
        };
        part.paragraphs.push(none.into());
    } else {
        part.headers = vec!["job".into(), "date".into()];
    }
    part
}
