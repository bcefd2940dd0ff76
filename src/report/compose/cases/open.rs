/*! Cases that a person may close on a page: findings and signals that nobody closed. */

use super::record::file_name;
use crate::decisions::cases::{Kind, open_findings};
use crate::report::OpenCase;
use crate::report::compose::report::Report;
use rayon::prelude::*;

impl Report<'_> {
    /// The open cases of history `index`, oldest first, with the page `slug`; none where no book is
    /// kept. A chart out of control is one case: its first open signal closes them all.
    pub(crate) fn open_cases(&self, index: usize, slug: &str) -> Vec<OpenCase> {
        let stage = self.stage;
        if stage.closings.is_none() {
            return Vec::new();
        }
        let history = stage.histories.get(index);
        let rule = stage.tables.conformity.decision_rule();
        let found = open_findings(&history, &rule, stage.closings, stage.as_of);
        let mut cases: Vec<(f64, String, bool)> = found
            .iter()
            .map(|finding| {
                let what = match finding.kind {
                    Kind::OutOfTolerance => "out of tolerance",
                    Kind::Indeterminate => "too near a limit to tell",
                };
                (finding.day.floor(), what.to_string(), false)
            })
            .collect();
        let chart = stage.controls.charts.get(&index);
        if let Some(signal) = chart.and_then(|chart| chart.first_open()) {
            let day = signal.date.floor();
            if cases.iter().all(|(other, ..)| *other != day) {
                let what = format!("control chart: {}", signal.rule.words());
                cases.push((day, what, true));
            }
        }
        cases.sort_by(|a, b| a.0.total_cmp(&b.0));
        let item = history.item;
        let view = |(day, found, signal)| OpenCase {
            instrument: item.instrument.clone(),
            point: item.point.clone(),
            slug: slug.to_string(),
            day,
            found,
            signal,
            record: match signal || slug.is_empty() {
                true => String::new(),
                false => file_name(slug, day),
            },
        };
        cases.into_iter().map(view).collect()
    }

    /// Those of every history, in their order.
    pub(crate) fn all_open_cases(&self, slugs: &[String], has_page: &[bool]) -> Vec<OpenCase> {
        let each: Vec<Vec<OpenCase>> = (0..slugs.len())
            .into_par_iter()
            .map(|index| {
                let slug = if has_page[index] {
                    slugs[index].as_str()
                } else {
                    ""
                };
                self.open_cases(index, slug)
            })
            .collect();
        each.concat()
    }
}
