/*! Control charts as the report shows them: the part of an instrument's page, the page of all
check standards, the sentence on the process, and the table. */

use super::case::Case;
use super::report::Report;
use super::write::write_text;
use crate::control::{Chart, ControlState, ItemChart, Point, Rule, SignalState};
use crate::decisions::controls::Controls;
use crate::files::run_error::RunError;
use crate::records::{About, Item};
use crate::report::charts::control_chart;
use crate::report::page::control_page;
use crate::report::text::{as_sentence, count, with_minus_signs};
use crate::report::{ControlMark, ControlPath, ControlPoint, ControlView, FigureView, SectionView};
use std::path::Path;

mod shared;
mod table;

use shared::shared_words;
pub(crate) use shared::write_shared;
pub(super) use shared::{shared_section, shared_table};
pub(super) use table::table;
pub(crate) use table::write;

/// Page of the check standards.
const CONTROL_PAGE: &str = "control.html";

/// The part of an instrument's page; `None` where it is not charted.
pub(super) fn section(case: &Case<'_>) -> Option<SectionView> {
    let (chart, settings) = case.control;
    let item = case.drawn.history.item;
    let chart = chart?;
    let sentences = chart.sentences(&item.unit, settings, case.run_lengths);
    let view = view(item, chart, settings.cusum_limit, Vec::new());
    let mut paragraphs = vec![as_sentence(&view.finding)];
    paragraphs.extend(sentences);
    let figure = || FigureView::of(view.finding.clone(), control_chart(&view));
    Some(
        SectionView::of(
            format!("Control chart: {}", chart.state.word().replace('_', " ")),
            paragraphs,
        )
        .figures(view.centre.is_some().then(figure)),
    )
}

/// The chart of `item` as it is drawn.
fn view(item: &Item, chart: &ItemChart, cusum_limit: f64, sentences: Vec<String>) -> ControlView {
    let result = chart.current().map(|stretch| &stretch.result);
    let points = result.map_or(&[][..], |result| &result.points);
    let drawn = |p: &Point| ControlPoint {
        day: p.date,
        value: p.value,
        deviation: p.deviation,
        ewma: (p.ewma.value, p.ewma.half_width),
        cusum: (p.cusum.upper, p.cusum.lower),
    };
    let minus = |words: &String| with_minus_signs(words);
    ControlView {
        name: item.name(),
        slug: String::new(),
        role: item.role.word(),
        finding: with_minus_signs(&chart.finding()),
        unit: match chart.about {
            About::Constant => item.unit.clone(),
            About::Drift => "standard deviations from the prediction".into(),
        },
        points: points.iter().map(drawn).collect(),
        base: result.map_or(0, |result| result.base),
        centre: result
            .and_then(|r| r.centre.as_ref())
            .map(|c| (c.value, c.deviation)),
        cusum_limit,
        marks: marks(&chart.signals),
        out_of_control: chart.state == ControlState::OutOfControl,
        sentences: sentences.iter().map(minus).collect(),
    }
}

/// The first signal of each rule, open ones first.
fn marks(signals: &[SignalState]) -> Vec<ControlMark> {
    let mut marks: Vec<ControlMark> = Vec::new();
    let (open, closed): (Vec<&SignalState>, Vec<&SignalState>) =
        signals.iter().partition(|signal| signal.open);
    for state in open.into_iter().chain(closed) {
        let rule = state.signal.rule;
        let words = short(rule);
        if marks.iter().all(|mark| mark.words != words) {
            marks.push(ControlMark {
                index: state.signal.index,
                words,
                on: match rule.chart() {
                    Some(Chart::Ewma) => ControlPath::Average,
                    Some(Chart::Cusum) => ControlPath::Sums,
                    _ => ControlPath::Values,
                },
                open: state.open,
            });
        }
    }
    marks
}

fn short(rule: Rule) -> &'static str {
    match rule {
        Rule::BeyondThree => "value beyond action",
        Rule::Ewma => "average",
        Rule::Cusum => "sum",
        Rule::MovingRange => "step",
        Rule::Precision => "scatter",
        Rule::RunOnOneSide | Rule::TwoOfThreeBeyondTwo | Rule::FourOfFiveBeyondOne => "pattern",
        Rule::BeyondTwo => "warning",
    }
}

/// Whether the process is in control, and what many items showed together; empty where nothing is
/// charted and nothing was shared.
pub(crate) fn process(controls: &Controls, items: &[Item]) -> String {
    let parts = [standards_words(controls, items), shared_words(controls)];
    let parts: Vec<&str> = parts
        .iter()
        .map(String::as_str)
        .filter(|words| !words.is_empty())
        .collect();
    parts.join(" ")
}

/// Whether the process is in control by the check standards.
fn standards_words(controls: &Controls, items: &[Item]) -> String {
    let standards: Vec<(usize, &ItemChart)> = controls.check_standards(items).collect();
    let in_state = |state| {
        let of = standards
            .iter()
            .filter(move |(_, chart)| chart.state == state);
        of.map(|(index, _)| items[*index].name())
            .collect::<Vec<_>>()
    };
    let out = in_state(ControlState::OutOfControl);
    let unknown = in_state(ControlState::Unknown);
    match (standards.len(), out.as_slice()) {
        (0, _) if controls.charts.is_empty() => String::new(),
        (0, _) => "Whether the process is in control is not known: no item is called a check standard (role in the register).".into(),
        (all, []) if unknown.len() == all => format!(
            "Whether the process is in control is not known: {} of {} can tell yet.",
            "none",
            count(all, "check standard")
        ),
        (all, []) => format!(
            "The process is in control: {}, none with an open signal.",
            count(all - unknown.len(), "check standard")
        ),
        (all, out) => format!(
            "The process is NOT in control: {} of {}: {}. Decisions that rest on those sessions wait.",
            out.len(),
            count(all, "check standard"),
            out.join("; ")
        ),
    }
}

/// The check standards, and every other item out of control, on the index and in the summary.
pub(super) fn fleet_section(controls: &Controls, items: &[Item]) -> Option<SectionView> {
    let standards = controls.check_standards(items).map(|(index, _)| index);
    let mut listed: Vec<usize> = standards.collect();
    let out = |chart: &ItemChart| chart.state == ControlState::OutOfControl;
    let others = controls
        .charts
        .iter()
        .filter(|(index, chart)| out(chart) && !listed.contains(*index));
    let others: Vec<usize> = others.map(|(index, _)| *index).collect();
    listed.extend(others);
    let row = |index: &usize| {
        let (item, chart) = (&items[*index], &controls.charts[index]);
        let role = item.role.word().replace('_', " ");
        vec![item.name(), role, with_minus_signs(&chart.finding())]
    };
    let (charted, out) = (
        controls.charts.len(),
        controls.charts.values().filter(|c| out(c)).count(),
    );
    let first = process(controls, items);
    let second = format!(
        "{} charted, {out} out of control. A signal is open until the item is adjusted or repaired, its chart is started anew in the register, or its case is closed.",
        count(charted, "history")
    );
    (charted > 0).then(|| {
        SectionView::of("Control charts", [first, second])
            .table("item | role | finding", listed.iter().map(row))
    })
}

/// True where `control.html` has something to show.
pub(super) fn is_shown(controls: &Controls, items: &[Item]) -> bool {
    controls.check_standards(items).next().is_some() || !controls.shared.shifts.is_empty()
}

impl Report<'_> {
    /// Writes the page of the check standards; nothing where there is none.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(super) fn write_control_page(
        &self,
        names: &[String],
        has_page: &[bool],
        folder: &Path,
    ) -> Result<(), RunError> {
        let items = &self.results.loaded.histories.items;
        let (controls, settings) = (self.stage.controls, &self.plan.settings.control);
        let one = |(index, chart): (usize, &ItemChart)| {
            let item = &items[index];
            let sentences = chart.sentences(&item.unit, settings, controls.lengths.as_ref());
            ControlView {
                slug: if has_page[index] {
                    names[index].clone()
                } else {
                    String::new()
                },
                ..view(item, chart, settings.cusum_limit, sentences)
            }
        };
        let views: Vec<ControlView> = controls.check_standards(items).map(one).collect();
        match is_shown(controls, items) {
            false => Ok(()),
            true => write_text(
                folder,
                CONTROL_PAGE,
                &control_page(&process(controls, items), self.stage.as_of, &views),
            ),
        }
    }
}
