/*! The parts of an instrument's page beside its chart: data, control, coefficients, forecast, doubts. */

use super::case::Case;
use super::control;
use crate::decisions::explain::Part;
use crate::decisions::policy::Action;
use crate::drift::series::readings::Axis;
use crate::drift::{Fit, ModelName};
use crate::records::{History, date};
use crate::report::text::size;
use crate::report::{SectionView, text};
use crate::words::count;

/// Parts of the explanation that the page has; proposals and decision it shows in its own way.
pub(crate) const EXPLAINED: [Part; 4] = [
    Part::DataUsed,
    Part::Segments,
    Part::Fit,
    Part::WhatWouldChange,
];

/// Conformity of the last check under the stated rule.
fn check_section(case: &Case<'_>) -> Option<SectionView> {
    conformity_words(case).map(|words| SectionView::of("Conformity", [words]))
}

fn conformity_words(case: &Case<'_>) -> Option<String> {
    let history = case.drawn.history;
    let last = case.last_check.as_ref()?;
    let left = match &last.left {
        Some(left) => format!("; as left {}", left.words),
        None => "; left so".into(),
    };
    Some(format!(
        "Last check, {}: as found {}{left}.",
        text::iso_date(history.date[last.row]),
        last.found.words
    ))
}

/// Tables of the instrument's page: coefficients, forecast, and the chain of the decision.
pub(crate) fn sections(case: &Case<'_>) -> Vec<SectionView> {
    let mut sections = case.explanation.to_vec();
    sections.extend(check_section(case));
    sections.extend(control::section(case));
    if !case.drawn.fit.coefficients.is_empty() && case.drawn.fit.model != ModelName::State {
        sections.push(coefficient_section(
            &case.drawn.history,
            case.drawn.fit,
            case.drawn.axis,
        ));
    }
    if !case.forecast.is_empty() {
        sections.push(forecast_section(case));
    }
    sections.extend(case.tests.clone());
    sections.extend(doubt_section(case));
    for section in &mut sections {
        let cells = section.rows.iter_mut().flatten();
        for words in section.paragraphs.iter_mut().chain(cells) {
            *words = text::with_minus_signs(words);
        }
    }
    sections
}

/// Coefficients with all their digits, for comparison with other software.
pub(crate) fn coefficient_section(history: &History<'_>, fit: &Fit, axis: Axis) -> SectionView {
    let item = history.item;
    let rows = fit.coefficients.iter().map(|c| {
        vec![
            c.segment.map_or("all".into(), |s| (s + 1).to_string()),
            c.term.to_string(),
            text::all_digits(c.estimate),
            text::all_digits(c.standard_error),
        ]
    });
    SectionView::of(
        format!("Coefficients of {}", item.name()),
        [coefficient_sentence(fit, axis, &item.unit)],
    )
    .table("segment | term | estimate | standard error", rows)
}

/// Jobs since the last good check before each failed one.
fn doubt_section(case: &Case<'_>) -> Option<SectionView> {
    let rows = case.doubts.iter().map(|d| {
        vec![
            d.job.job.clone(),
            text::iso_date(d.job.date),
            d.effect.word().into(),
            d.reason.clone(),
        ]
    });
    let words = "The item was found out of tolerance; each job from the last good check before that until it was good again was judged by where the error probably was on its day. A later good check takes none of them out of doubt.";
    (!case.doubts.is_empty()).then(|| {
        SectionView::of("Past work in doubt", [words]).table("job | date | effect | reason", rows)
    })
}

fn forecast_section(case: &Case<'_>) -> SectionView {
    let item = case.drawn.history.item;
    let unit = &item.unit;
    let tolerance = item
        .tolerance
        .filter(|_| !case.drawn.decision.level_in_doubt);
    let rows = case.forecast.iter().map(|(day, p)| {
        let (lower, upper) = p.reading(case.drawn.level);
        let half = upper - p.expected;
        let expanded = p.confidence(case.drawn.level).1 - p.expected;
        let inside = tolerance.map(|t| p.probability_in(t));
        vec![
            text::iso_date(*day),
            size(p.expected, half, unit),
            size(p.u_error, p.u_error, unit),
            size(expanded, expanded, unit),
            format!("{} to {}", size(lower, half, ""), size(upper, half, unit)),
            inside.map_or(String::new(), text::percent),
        ]
    });
    let steps = case.forecast.iter().any(|(_, p)| p.no_step < 1.0);
    let steps = match steps {
        true => {
            " The risk of a sudden step is no part of this u; it is part of the probability, and of the u of the value for uncertainty budgets."
        }
        false => "",
    };
    let words = format!(
        "{}, with the standard uncertainty u of the true error, its expanded uncertainty U at {level:.0} %, and the {level:.0} % band for a reading.{steps}",
        match case.drawn.decision.action {
            Action::Withdraw =>
                "The error expected on these dates if nothing is done; none is a value to carry",
            _ => "The value to carry on these dates",
        },
        level = 100.0 * case.drawn.level
    );
    SectionView::of("Predicted values", [words]).table(
        "date | expected error | u | U | band for a reading | in tolerance",
        rows,
    )
}

/// What the coefficients come from, without the figures that the readings could not give.
fn coefficient_sentence(fit: &Fit, axis: Axis, unit: &str) -> String {
    let readings = count(fit.readings as usize, "reading");
    let mut parts = vec![format!("Model {}, {readings}", fit.model.word())];
    if fit.residual_deviation.is_finite() {
        let deviation = text::all_digits(fit.residual_deviation);
        let words = format!("{} {deviation} {unit}", fit.scatter_name());
        parts.push(words.trim_end().to_string());
    }
    if fit.degrees_of_freedom.is_finite() {
        let rounded = (10.0 * fit.degrees_of_freedom).round() / 10.0;
        parts.push(format!("{rounded} degrees of freedom"));
    }
    if fit.origin.is_finite() {
        parts.push(match axis {
            Axis::Time => format!(
                "time counted in years from {}",
                date::iso_day_of_years(fit.origin)
            ),
            Axis::Usage => format!("use counted from {}", fit.origin),
        });
    }
    format!("{}.", parts.join("; "))
}
