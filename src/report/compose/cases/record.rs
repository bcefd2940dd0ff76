/*! The record of a nonconformity: what was found, by which check, how far out, since when, which
work is in doubt, and who did what about it. Where the case is open, lines are left to fill in.

Contents after ISO/IEC 17025:2017, 7.10.1 (actions, significance with an impact analysis on previous
results, acceptability, customers and recall, resumption of work), 7.10.2 and 7.10.3.
*/

use super::Row;
use super::work::work;
use crate::decisions::cases::{CaseStanding, Kind};
use crate::decisions::conformity_now::statement_on;
use crate::files::run_error::RunError;
use crate::impact::Window;
use crate::records::{CheckKind, History};
use crate::report::compose::pages::subfolder;
use crate::report::compose::report::Report;
use crate::report::nonconformity::record_markdown;
use crate::report::page::record_page;
use crate::report::text::{iso_date, size, with_minus_signs, with_unit};
use crate::report::{RecordView, SectionView};
use crate::words::{days, figure, plus_minus};
use rayon::prelude::*;
use std::path::Path;

/// Folder of the records in a report.
const FOLDER: &str = "cases";

/// What a person decides about nonconforming work.
const TO_DECIDE: [&str; 6] = [
    "work halted or done again, reports withheld",
    "how much it matters, with its effect on earlier results",
    "the work is accepted as it is, or not",
    "customers told, work recalled",
    "work may go on: authorised by, on",
    "corrective action, where it can happen again",
];

/// File name of the record of a finding of `day`, without extension, of the history with `slug`.
pub(super) fn file_name(slug: &str, day: f64) -> String {
    format!("{slug}-{}", iso_date(day.floor()))
}

impl Report<'_> {
    /// Writes the record of every finding that a book of cases keeps, of the histories in `shown`.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn write_records(
        &self,
        slugs: &[String],
        shown: &[bool],
        folder: &Path,
    ) -> Result<(), RunError> {
        let with = (0..slugs.len()).filter(|i| shown[*i] && self.records(*i).next().is_some());
        let with: Vec<usize> = with.collect();
        if with.is_empty() {
            return Ok(());
        }
        let place = subfolder(folder, FOLDER)?;
        let charts = folder.join("charts");
        with.par_iter().try_for_each(|&index| {
            let chart = charts.join(format!("{}.svg", slugs[index]));
            let chart = std::fs::read_to_string(&chart)
                .map_err(|why| RunError::write(chart.display().to_string(), why))?;
            let mut written = String::new();
            for row in self.records(index) {
                let view = self.record(index, &slugs[index], row);
                // Two failures of one day are one finding to the book.
                if view.file == written {
                    continue;
                }
                write(&place, &view.file, "md", &record_markdown(&view))?;
                write(&place, &view.file, "html", &record_page(&view, &chart))?;
                written = view.file;
            }
            Ok(())
        })
    }

    /// The findings of history `index` that have a record: those that the book keeps.
    fn records(&self, index: usize) -> impl Iterator<Item = &Row<'_>> {
        let kept = |row: &&Row<'_>| matches!(row.2, CaseStanding::Open | CaseStanding::Closed(_));
        self.cases.of_history(index).iter().filter(kept)
    }

    /// The records of history `index` with the page `slug`: what each says, and its file name.
    pub(crate) fn record_links(&self, index: usize, slug: &str) -> Vec<(String, String)> {
        let link = |row: &Row<'_>| {
            let day = row.1.day;
            let words = format!(
                "{}: {}, {}",
                iso_date(day),
                found(row.1.kind),
                state(row, self.stage.as_of)
            );
            (words, file_name(slug, day))
        };
        let mut links: Vec<(String, String)> = self.records(index).map(link).collect();
        links.dedup_by(|a, b| a.1 == b.1);
        links
    }

    fn record(&self, index: usize, slug: &str, row: &Row<'_>) -> RecordView {
        let history = self.stage.histories.get(index);
        let finding = row.1;
        let windows = self.doubts.windows(index).iter();
        let holds = |window: &&Window| window.found <= finding.day && finding.day <= window.until;
        let window = windows.rev().find(holds);
        RecordView {
            title: format!(
                "{}: {} on {}",
                history.item.name(),
                found(finding.kind),
                iso_date(finding.day)
            ),
            file: file_name(slug, finding.day),
            slug: slug.to_string(),
            state: state(row, self.stage.as_of),
            sections: vec![
                facts("What was found", self.facts(&history, row, window)),
                work(self.doubts, index, window, finding.day),
                facts("What was done", done(row.2)),
            ],
            as_of: self.stage.as_of,
        }
    }

    fn facts(
        &self,
        history: &History<'_>,
        (item, finding, _): &Row<'_>,
        window: Option<&Window>,
    ) -> Vec<[String; 2]> {
        let (at, unit) = (finding.row, item.unit.as_str());
        let u = history.u[at].hypot(history.u_common[at]);
        let stated = |value: f64| match (value.is_finite(), u.is_finite()) {
            (true, true) => plus_minus(value, 2.0 * u, unit) + " (k = 2)",
            (true, false) => format!("{}, its uncertainty not stated", figure(value, unit)),
            _ => "no value kept, only the outcome".into(),
        };
        let mut facts = Facts(vec![["item".into(), item.name()]]);
        facts.add("description", item.description.clone());
        let day = iso_date(finding.day);
        facts.add("found", format!("{} on {day}", found(finding.kind)));
        facts.add("by", self.by(history, at));
        facts.add("as found", stated(history.as_found[at]));
        let left = history.as_left[at];
        if left.is_finite() {
            facts.add("as left", stated(left));
        }
        let happened = history.event[at].word();
        if happened != "none" {
            facts.add("event then", happened.into());
        }
        self.add_limits(&mut facts, history, at, unit);
        let good = match finding.good_since.is_finite() {
            true => format!(
                "{}, {} before",
                iso_date(finding.good_since),
                days(finding.day - finding.good_since)
            ),
            false => "none in the record".into(),
        };
        facts.add("last good check", good);
        facts.add_window(window);
        facts.0
    }

    /// The limits of the check, and how it stands to them.
    fn add_limits(&self, facts: &mut Facts, history: &History<'_>, at: usize, unit: &str) {
        let Some(limits) = history.tolerance_at(at) else {
            let unknown = "not known: the outcome was recorded without them";
            return facts.add("limits", unknown.into());
        };
        facts.add("limits", limits.words([unit, unit]));
        let bounds = (limits.lower(), limits.upper());
        facts.add("how far out", how_far(bounds, history.as_found[at], unit));
        let rule = self.plan.settings.conformity.decision_rule();
        if let Some(statement) = statement_on(history, at, &rule) {
            facts.add("decision rule", statement.words);
        }
    }

    /// "a calibration, row 12 of history/gauges.csv".
    fn by(&self, history: &History<'_>, at: usize) -> String {
        let kind = match history.kind[at] {
            CheckKind::Unstated | CheckKind::Check => "a check",
            CheckKind::Calibration => "a calibration",
            CheckKind::Comparison => "a comparison",
        };
        let (file, row) = history.source[at];
        match self.results.loaded.inputs.get(file as usize) {
            Some(input) => format!("{kind}, {}, row {row}", input.path),
            None => kind.into(),
        }
    }
}

fn found(kind: Kind) -> &'static str {
    match kind {
        Kind::OutOfTolerance => "out of tolerance",
        Kind::Indeterminate => "too near a limit to tell",
    }
}

fn state(row: &Row<'_>, as_of: f64) -> String {
    match row.2 {
        CaseStanding::Closed(closing) => format!(
            "closed on {} by {}",
            iso_date(closing.on as f64),
            closing.by
        ),
        _ => format!("open for {}", days((as_of - row.1.day).max(0.0))),
    }
}

/// "58 nm beyond the upper limit, 73 % of the half-width".
fn how_far((lower, upper): (f64, f64), value: f64, unit: &str) -> String {
    let (beyond, which) = match value {
        value if value > upper => (value - upper, "upper"),
        value if value < lower => (lower - value, "lower"),
        value if value.is_nan() => return "not known: no value was kept".into(),
        value => {
            let nearest = (upper - value).min(value - lower);
            return format!("inside by {}", size(nearest, nearest, unit));
        }
    };
    let half = 0.5 * (upper - lower);
    let share = match half.is_finite() {
        true => format!(
            ", {} of half the width between the limits",
            share_words(beyond / half)
        ),
        false => String::new(),
    };
    format!(
        "{} beyond the {which} limit{share}",
        size(beyond, beyond, unit)
    )
}

fn share_words(share: f64) -> String {
    with_unit(&crate::words::significant(100.0 * share, 2), "%")
}

fn done(became: CaseStanding<'_>) -> Vec<[String; 2]> {
    let closing = match became {
        CaseStanding::Closed(closing) => Some(closing),
        _ => None,
    };
    let blank = TO_DECIDE.map(|what| [what.to_string(), String::new()]);
    let to_fill = blank.into_iter().filter(|_| closing.is_none());
    let row = |what: &str, words: Option<String>| [what.to_string(), words.unwrap_or_default()];
    to_fill
        .chain([
            row("what was done", closing.map(|c| c.action.clone())),
            row("closed by", closing.map(|c| c.by.clone())),
            row("closed on", closing.map(|c| iso_date(c.on as f64))),
            row("reference", closing.map(|c| c.reference.clone())),
        ])
        .collect()
}

/// A part of two columns.
fn facts(title: &str, rows: Vec<[String; 2]>) -> SectionView {
    SectionView {
        title: title.into(),
        headers: vec!["what".into(), "record".into()],
        rows: rows.into_iter().map(Vec::from).collect(),
        ..SectionView::default()
    }
}

fn write(place: &Path, file: &str, extension: &str, text: &str) -> Result<(), RunError> {
    let name = format!("{file}.{extension}");
    std::fs::write(place.join(&name), text).map_err(|why| RunError::write(name, why))
}

/// What is known of a finding, each fact with its name.
struct Facts(Vec<[String; 2]>);

impl Facts {
    fn add(&mut self, what: &str, words: String) {
        if !words.is_empty() {
            self.0.push([what.to_string(), with_minus_signs(&words)]);
        }
    }

    /// When the item left its tolerance, and since when it is good again.
    fn add_window(&mut self, window: Option<&Window>) {
        if let Some(left) = window.and_then(Window::left) {
            let [at, from, to] = [left.at, left.from, left.to].map(iso_date);
            let words = match left.at.is_finite() {
                true => format!(
                    "about {at}, with 95 % between {from} and {to}, by {}",
                    left.mechanism.words()
                ),
                false => format!("between {from} and {to}, which day is not known"),
            };
            self.add("left its tolerance", words);
        }
        if let Some(window) = window {
            let words = match window.until.is_finite() {
                true => format!("since {}", iso_date(window.until)),
                false => "nothing shows it".into(),
            };
            self.add("good again", words);
        }
    }
}
