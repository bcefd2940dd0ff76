/*! Parts of a thermometer's page: advice, sessions, last budget, range table, cautions. */

use super::year;
use crate::records::date;
use crate::report::charts::range_chart;
use crate::report::compose::results::ThermometryResults;
use crate::report::{FigureView, RangeView, SectionView};
use crate::thermometry::its90::{Platinum, ZERO_CELSIUS_K};
use crate::thermometry::range::RatioChange;
use crate::thermometry::session::SessionResult;
use crate::thermometry::session_findings::ThermometerReport;
use crate::thermometry::{ThermometerFacts, cautions};
use crate::words::{Short, capitalised};

/// Parts for the history of `instrument` at `point`; none where it has no sessions.
pub(crate) fn sections(
    thermometry: &ThermometryResults,
    instrument: &str,
    point: &str,
) -> Vec<SectionView> {
    let own: Vec<&SessionResult> = thermometry
        .findings
        .results
        .iter()
        .filter(|r| r.instrument == instrument && r.point.name() == point)
        .collect();
    let Some(last) = own.last() else {
        return Vec::new();
    };
    let mut parts = Vec::new();
    let report = thermometry.findings.thermometers.iter().find(|t| {
        t.instrument == instrument
            && t.sessions
                .iter()
                .any(|&i| thermometry.findings.results[i].point == last.point)
    });
    parts.extend(report.map(advice));
    parts.extend(report.map(|report| year::section(thermometry, report)));
    parts.push(sessions(&own));
    parts.extend(thermometry.values_section(instrument, point));
    parts.extend(thermometry.work_section(&own));
    parts.push(budget(last));
    parts.extend(report.map(|t| range(t, last)));
    parts.extend(report.and_then(|t| ratios(t, &thermometry.findings.results)));
    let facts = thermometry.facts.of(instrument);
    parts.extend(facts.and_then(|facts| coefficients(facts, last.carried_ohm())));
    parts.push(SectionView::of("Cautions", cautions::ALL));
    parts
}

fn advice(report: &ThermometerReport) -> SectionView {
    let mut paragraphs = match &report.advice {
        Some(advice) => vec![
            format!("{}: {} (source: {}).", capitalised(advice.kind.word()), advice.reason, advice.source),
        ],
        None => vec!["No advice: no value in use is stated for this thermometer; adopt one with driftbook adopt, or state it in the file of the thermometers.".into()],
    };
    if let Some(advice) = report.advice.as_ref().filter(|a| !a.impact.is_empty()) {
        paragraphs.push(format!("{}.", capitalised(&advice.impact)));
    }
    if let Some(total) = &report.total {
        paragraphs.push(format!(
            "In all {:+.3} mK {} (u = {:.3} mK).",
            Short(total.mk),
            total.since,
            Short(total.u_mk)
        ));
    }
    if let Some(most) = report.water_only_days {
        paragraphs.push(format!(
            "W was read at no other point since the certificate. The triple point of water alone shows no change that leaves R there \
             and moves it elsewhere, and cannot tell a scaled resistance, which a new value mends, from an added one, which it does not: \
             read W at a second point (gallium or tin, for instance); until then the interval is {most} d at most."
        ));
    }
    let use_words = if report.before_use.passed {
        "May serve as a reference now"
    } else {
        "May not serve as a reference now"
    };
    paragraphs.push(format!("{use_words}: {}.", report.before_use.reason));
    paragraphs.push("Advice for the person authorised to act on it.".into());
    SectionView::of("Advice", paragraphs)
}

fn sessions(own: &[&SessionResult]) -> SectionView {
    let rows = own.iter().map(|r| {
        vec![
            r.session.clone(),
            date::iso(r.date.floor()),
            format!("{:.7}", Short(r.reduced.resistance_ohm)),
            format!("{:.7}", Short(r.reduced.expanded_ohm())),
            format!("{:+.3}", Short(r.change_mk())),
            format!("{:.3}", Short(r.u_mk())),
            r.event.clone(),
            r.standing().word().to_string(),
            r.reasons(),
        ]
    });
    let words = "U at the coverage factor of the effective degrees of freedom; the change counts from the value in use; u is the part that is new with every check.";
    SectionView::of("Sessions reduced from raw readings", [words]).table(
        "session | date | R/Ω | U/Ω | change/mK | u/mK | event | standing | reasons",
        rows,
    )
}

fn budget(last: &SessionResult) -> SectionView {
    let reduced = &last.reduced;
    let rows = reduced.budget.rows.iter().map(|row| {
        vec![
            row.component.clone(),
            format!("{:.3e} {}", row.spread, row.unit),
            row.distribution.word().to_string(),
            format!("{:.4}", row.divisor),
            format!("{:.4e}", row.sensitivity),
            format!("{:.4}", reduced.in_mk(row.contribution_ohm)),
            if row.degrees_of_freedom.is_finite() {
                format!("{:.1}", row.degrees_of_freedom)
            } else {
                "∞".into()
            },
            if row.is_shared() { "yes" } else { "no" }.into(),
        ]
    });
    let words = format!(
        "R = {:.7} Ω, u = {:.3e} Ω = {:.4} mK, U = {:.3e} Ω (k = {:.2}, effective degrees of freedom {:.0}).",
        reduced.resistance_ohm,
        reduced.budget.u_ohm(),
        reduced.in_mk(reduced.budget.u_ohm()),
        reduced.expanded_ohm(),
        reduced.coverage_factor(),
        reduced.budget.effective_degrees_of_freedom()
    );
    SectionView::of(
        format!("Uncertainty budget of session {}", last.session),
        [words],
    )
    .table(
"component | spread | distribution | divisor | Ω per unit | u/mK | degrees of freedom | shared",
        rows,
    )
}

fn range(report: &ThermometerReport, last: &SessionResult) -> SectionView {
    let rows = report.range.iter().map(|row| {
        vec![
            format!("{}", row.celsius),
            format!("{:+.3}", row.scaled_kept_mk),
            format!("{:+.3}", row.added_kept_mk),
            format!("{:+.3}", row.scaled_updated_mk),
            format!("{:+.3}", row.added_updated_mk),
            format!("{:.3}", row.u_mk),
        ]
    });
    let words = format!(
        "Error of the indicated temperature, mK, for the change of {:+.3} mK at the triple point: the whole resistance \
                 scaled, or a constant resistance added. The second is not mended by updating the value; a second fixed point tells the two apart.",
        last.change_from_mk(last.carried_ohm())
    );
    SectionView::of("What the change means over the range", [words])
        .table(
"t/°C | scaled, old value | added, old value | scaled, updated | added, updated | u of the triple point",
            rows,
        )
        .figures([FigureView::of(
            format!(
                "{}: what the change means over the range",
                report.instrument
            ),
            range_chart(&range_view(report, last)),
        )])
}

fn range_view(report: &ThermometerReport, last: &SessionResult) -> RangeView {
    RangeView {
        name: report.instrument.clone(),
        change: last.change_from_mk(last.carried_ohm()),
        u: last.u_mk().hypot(last.u_common_mk()),
        points: report.curve.clone(),
    }
}

/// W at other fixed points: what updating R at the triple point cannot mend.
fn ratios(report: &ThermometerReport, results: &[SessionResult]) -> Option<SectionView> {
    let change = |change: &Option<RatioChange>| match change {
        Some(c) => format!("{:+.2} ± {:.2}", c.change_mk, 2.0 * c.u_mk),
        None => "first".into(),
    };
    let rows = report.ratios.iter().map(|ratio| {
        let expected = ratio.since_first.as_ref();
        vec![
            ratio.point.name().to_string(),
            results[ratio.place].session.clone(),
            date::iso(results[ratio.place].date.floor()),
            format!("{:.8}", ratio.value),
            format!("{:.8}", ratio.u),
            change(&ratio.since_last),
            change(&ratio.since_first),
            expected.map_or(String::new(), |c| format!("{:+.2}", c.if_added_mk)),
        ]
    });
    let platinum = match &report.platinum.what {
        Platinum::Accepted(words) => {
            format!("The platinum meets the limits of the scale: {words}.")
        }
        Platinum::Refused(words) => format!("The platinum fails the limits of the scale: {words}."),
        Platinum::Unknown(words) => {
            format!("Whether the platinum meets the limits of the scale is not known: {words}.")
        }
    };
    let moved = report.moved().map(|c| format!("{}.", c.what.words));
    (!report.ratios.is_empty()).then(|| {
        SectionView::of(
            "W at other fixed points",
            moved.into_iter().chain([platinum]),
        )
        .table(
"point | session | date | W | u(W) | since the last, mK (k = 2) | since the first, mK (k = 2) | an added resistance would give, mK",
            rows,
        )
    })
}

/// The deviation functions in use.
fn coefficients(facts: &ThermometerFacts, carried_ohm: f64) -> Option<SectionView> {
    let thermometer = facts.thermometer().ok()?;
    let rows = thermometer.deviations().iter().map(|deviation| {
        let subrange = deviation.subrange();
        let celsius = |kelvin: f64| ((kelvin - ZERO_CELSIUS_K) * 1e4).round() / 1e4;
        let (low, high) = subrange.limits_k();
        let values: Vec<String> = subrange
            .coefficient_names()
            .iter()
            .zip(deviation.coefficients())
            .map(|(name, value)| format!("{name} = {value:e}"))
            .collect();
        vec![
            subrange.number().to_string(),
            format!("{} to {}", celsius(low), celsius(high)),
            values.join(", "),
        ]
    });
    let words = format!(
        "Value in use at the triple point of water: {carried_ohm} Ω. W − W_r is the deviation function of the subrange."
    );
    (!thermometer.deviations().is_empty()).then(|| {
        SectionView::of("Coefficients on the ITS-90", [words])
            .table("subrange | range, °C | coefficients", rows)
    })
}
