/*! A thermometer's sessions as the picture of its year. */

use crate::report::charts::year_chart;
use crate::report::compose::results::ThermometryResults;
use crate::report::text::with_minus_signs;
use crate::report::{FigureView, SectionView, YearMark, YearView};
use crate::thermometry::closure::DatedChange;
use crate::thermometry::expectation::expected;
use crate::thermometry::session::SessionResult;
use crate::thermometry::session_findings::ThermometerReport;
use std::collections::BTreeMap;

/// Places on the line through the sessions at which its band is drawn.
const BAND_POINTS: usize = 25;

/// The part of the page with the picture.
pub(super) fn section(thermometry: &ThermometryResults, report: &ThermometerReport) -> SectionView {
    SectionView::of("All sessions", Vec::<String>::new()).figures([FigureView::of(
        format!("{}: all sessions on one axis of time", report.instrument),
        year_chart(&view(thermometry, report)),
    )])
}

/// What the picture shows of the thermometer.
pub(super) fn view(thermometry: &ThermometryResults, report: &ThermometerReport) -> YearView {
    let results = &thermometry.findings.results;
    let own: Vec<&SessionResult> = report.sessions.iter().map(|&i| &results[i]).collect();
    let first = own.iter().find(|r| r.is_accepted()).or(own.first());
    let origin = first.map_or(f64::NAN, |r| r.reduced.resistance_ohm);
    let advice = report.advice.as_ref();
    YearView {
        name: report.instrument.clone(),
        advice: advice.map_or(String::new(), |advice| advice.kind.word().into()),
        finding: advice.map_or(String::new(), |advice| with_minus_signs(advice.finding())),
        limits: report.limits_mk,
        sessions: own.iter().map(|r| mark(r, origin)).collect(),
        band: band(&own, origin),
        values: values(thermometry, &own, origin),
        events: own
            .iter()
            .filter(|r| !r.event.is_empty())
            .map(|r| (r.date, r.event.clone()))
            .collect(),
        standard: standards(results, &own),
        ratios: ratios(results, report),
        self_heating: own.iter().filter_map(|r| self_heating(r)).collect(),
        cells: cells(&own),
    }
}

fn mark(result: &SessionResult, origin_ohm: f64) -> YearMark {
    YearMark {
        day: result.date,
        value: result.change_from_mk(origin_ohm),
        u: result.u_mk(),
        counts: result.is_accepted(),
    }
}

fn band(own: &[&SessionResult], origin_ohm: f64) -> Vec<(f64, f64, f64)> {
    let used = own.iter().filter(|r| r.is_accepted());
    let changes: Vec<DatedChange> = used
        .map(|r| DatedChange::new(r.date, r.change_from_mk(origin_ohm), r.u_mk()))
        .collect();
    let (Some(from), Some(to)) = (changes.first(), changes.last()) else {
        return Vec::new();
    };
    let day = |i: usize| from.date + (to.date - from.date) * i as f64 / (BAND_POINTS - 1) as f64;
    (0..BAND_POINTS)
        .map(day)
        .filter_map(|day| {
            let line = expected(&changes, day)?;
            let half = 2.0 * line.u_mk;
            Some((day, line.change_mk - half, line.change_mk + half))
        })
        .collect()
}

fn values(
    thermometry: &ThermometryResults,
    own: &[&SessionResult],
    origin_ohm: f64,
) -> Vec<(f64, f64)> {
    let stated = own.first().filter(|r| r.reference_in_use);
    let Some((facts, first)) = stated.and_then(|r| Some((thermometry.facts.of(&r.instrument)?, r)))
    else {
        return Vec::new();
    };
    let in_mk = |ohm: f64| first.reduced.in_mk(ohm - origin_ohm);
    facts.values().map(|v| (v.from, in_mk(v.ohm))).collect()
}

/// Check standards read at the triple point of water in the same sessions.
fn standards(results: &[SessionResult], own: &[&SessionResult]) -> Vec<(String, Vec<YearMark>)> {
    let beside = |r: &&SessionResult| {
        r.check_standard
            && own.iter().any(|o| {
                o.session == r.session && o.point == r.point && o.instrument != r.instrument
            })
    };
    let mut found: BTreeMap<&str, (f64, Vec<YearMark>)> = BTreeMap::new();
    for result in results.iter().filter(beside) {
        let entry = found
            .entry(&result.instrument)
            .or_insert_with(|| (result.reduced.resistance_ohm, Vec::new()));
        entry.1.push(mark(result, entry.0));
    }
    let named = found
        .into_iter()
        .map(|(name, (_, marks))| (name.to_string(), marks));
    named.collect()
}

fn ratios(results: &[SessionResult], report: &ThermometerReport) -> Vec<(String, Vec<YearMark>)> {
    let mut found: BTreeMap<String, Vec<YearMark>> = BTreeMap::new();
    for ratio in &report.ratios {
        let since = ratio.since_first.as_ref();
        let marks = found
            .entry(format!("W, {}", ratio.point.name()))
            .or_default();
        marks.push(YearMark {
            day: results[ratio.place].date,
            value: since.map_or(0.0, |c| c.change_mk),
            u: since.map_or(f64::NAN, |c| c.u_mk),
            counts: true,
        });
    }
    found.into_iter().collect()
}

fn self_heating(result: &SessionResult) -> Option<YearMark> {
    result.reduced.self_heating_mk.map(|value| YearMark {
        day: result.date,
        value,
        u: f64::NAN,
        counts: result.is_accepted(),
    })
}

/// Stretches of sessions in one cell; a cell without a name is named as such.
fn cells(own: &[&SessionResult]) -> Vec<(f64, f64, String)> {
    let name = |r: &SessionResult| match r.cell.is_empty() {
        true => "not named".to_string(),
        false => r.cell.clone(),
    };
    let stretches = own.chunk_by(|a, b| a.cell == b.cell);
    stretches
        .map(|of| (of[0].date, of[of.len() - 1].date, name(of[0])))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::Thermometers;
    use crate::thermometry::testing::Bench;

    /// A thermometer with its check standard over so many sessions, the sixth of them knocked, two cells,
    /// gallium in every third session, one value adopted.
    fn drawn(sessions: u32) -> (YearView, String) {
        let own = "measured_in = \"C-1\"\n";
        let adopted = "adopted = [{ on = 2026-02-15, triple_point_ohm = 25.50002 }]\n";
        let mut bench = Bench::large()
            .thermometer("TH-1", 25.5, &format!("{own}{adopted}"))
            .thermometer("TH-3", 25.52, &format!("{own}check_standard = true"));
        for number in 1..=sessions {
            let day = format!(
                "202{}-{:02}-05",
                6 + (number - 1) / 12,
                (number - 1) % 12 + 1
            );
            let read = [
                ("TH-1", 25.5, 0.05 * f64::from(number)),
                ("TH-3", 25.52, 0.0),
            ];
            bench = bench.session_with(&format!("S-{number}"), &day, &read, |row| {
                if number > 18 {
                    row.insert("cell", "C-7".into());
                }
                if number == 6 {
                    row.insert("event", "shocked".into());
                }
            });
            if number % 3 == 0 {
                let gallium = [("TH-1", 25.5 * 1.11812, 0.05 * f64::from(number))];
                bench = bench.session_with(&format!("S-{number}"), &day, &gallium, |row| {
                    row.insert("point", "gallium".into());
                });
            }
        }
        let thermometry = ThermometryResults {
            findings: bench.findings("2029-12-31"),
            facts: Thermometers::from_text(&bench.facts).unwrap(),
            ..ThermometryResults::default()
        };
        let view = view(&thermometry, thermometry.findings.of("TH-1").unwrap());
        let svg = year_chart(&view);
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/report-gallery");
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join(format!("year-{sessions}.svg")), &svg).unwrap();
        (view, svg)
    }

    #[test]
    fn one_session_and_thirty_have_their_picture() {
        let (one, svg) = drawn(1);
        assert!(
            one.band.is_empty() && svg.contains("too few sessions for a line"),
            "{svg}"
        );
        let (two, svg) = drawn(2);
        assert!(two.band.is_empty() && svg.contains("too few sessions for a line"));
        drawn(3);
        let (many, svg) = drawn(30);
        assert_eq!((many.sessions.len(), many.standard[0].1.len()), (30, 30));
        assert_eq!((many.values.len(), many.cells.len()), (2, 2));
        assert_eq!(many.ratios[0].1.len(), 10);
        assert_eq!(many.self_heating.len(), 30);
        assert_eq!(many.events[0].1, "shocked");
        says!(
            svg,
            "value in use",
            "TH-3",
            "gallium",
            "self-heating",
            "C-7",
            "shocked"
        );
        says_not!(svg, "NaN");
        says!(year_chart(&YearView::default()), "</svg>");
    }
}
