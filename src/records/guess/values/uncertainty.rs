/*! Whether the uncertainty that is read is expanded, and which is not read. */

use crate::records::cells::column::Column;
use crate::records::cells::number::coverage::{stated_factor, with_factor};
use crate::records::cells::number::last_digits::last_digits;
use crate::records::cells::number::written::{pair, with_uncertainty};
use crate::records::cells::shape::pairs_of;
use crate::records::guess::doubt::{Answer, Doubt, Typed};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::headed;
use crate::records::guess::sample::Sample;
use crate::records::settings::words::Pairs;
use crate::records::words::speaks_of;

/// Expanded or standard: the trade writes U for expanded and u for standard uncertainty (GUM 6.2.1, 2.3.1).
pub(crate) fn about_uncertainty(samples: &[Sample], guess: &mut Guess) {
    let own = header_of(guess, Column::U);
    let beside = own.is_some();
    let Some(header) = own.or_else(|| behind_the_reading(samples, guess)) else {
        return;
    };
    if !beside && pairs_of(&header) == Pairs::Auto {
        guess.to_state.set("pairs", "\"found_u\"");
    }
    let in_digits = guess.sample(samples, Column::AsFound);
    let in_digits = in_digits.and_then(|found| found.values().find(|v| last_digits(v).is_some()));
    let shown = match (beside, in_digits) {
        (true, _) => format!("\"{header}\""),
        (false, None) => format!("What stands behind each value of \"{header}\""),
        (false, Some(text)) => format!(
            "What stands in brackets behind each value of \"{header}\" (\"{text}\", digits alone counted from its last one on)"
        ),
    };
    let lower = header.to_lowercase().replace(' ', "");
    let expanded = speaks_of(&lower, "expanded");
    let capital = names_capital(&header, beside) || !beside && cells_say_capital(samples, guess);
    if let Some(factor) = header_of(guess, Column::CoverageFactor) {
        return about_factors(guess, &header, &factor, expanded || capital);
    }
    let by_header = stated_factor(&header).map(|factor| (factor, "its header says"));
    let by_cells = || factor_of_cells(samples, guess).map(|factor| (factor, "its cells say"));
    if let Some((factor, as_stated)) = by_header.or_else(by_cells) {
        guess.coverage_factor = factor;
        guess.to_check.push(match factor {
            1.0 => format!("{shown} is a standard uncertainty, as {as_stated} (k = 1)."),
            _ => format!(
                "{shown} is an expanded uncertainty, as {as_stated}: divided by k = {factor}."
            ),
        });
    } else if expanded || capital {
        guess.coverage_factor = 2.0;
        guess.doubts.push(
            about_factor(
                &header,
                format!("{shown} reads as an expanded uncertainty; k = 2 is assumed."),
            )
            .or("expanded, k = 2", Answer::Factor(2.0))
            .or("a standard uncertainty, k = 1", Answer::Factor(1.0)),
        );
    } else if lower != "u" && !lower.contains("standard") && !lower.contains("std") {
        let words = format!(
            "{shown} is taken as a standard uncertainty (k = 1); it may be an expanded one (k = 2)."
        );
        guess.doubts.push(
            about_factor(&header, words)
                .or("a standard uncertainty, k = 1", Answer::Factor(1.0))
                .or("expanded, k = 2", Answer::Factor(2.0)),
        );
    }
}

/// True where a header names an expanded uncertainty by its letter: "U", "U [mK]", "U(k=2)", "U (µm)", "U95"; that of a
/// column `beside` the readings by its first word.
fn names_capital(header: &str, beside: bool) -> bool {
    let is_capital = |part: &&str| matches!(*part, "U" | "U95");
    let mut parts = header.split(|c: char| !c.is_alphanumeric());
    match beside {
        true => parts.find(|part| !part.is_empty()).filter(is_capital),
        false => parts.find(is_capital),
    }
    .is_some()
}

/// True where the cells of the readings name it so behind their numbers.
fn cells_say_capital(samples: &[Sample], guess: &Guess) -> bool {
    let in_cell = |v: &str| !v.contains('±') && v.contains('U') && with_uncertainty(v).is_some();
    let readings = guess.sample(samples, Column::AsFound);
    readings.is_some_and(|sample| sample.values().any(in_cell))
}

/// Says that each number is divided by the factor of its row, or asks where the header does not say that they
/// are expanded.
fn about_factors(guess: &mut Guess, header: &str, factor: &str, expanded: bool) {
    let words =
        format!("Each number of \"{header}\" is divided by that of \"{factor}\" in its row");
    if expanded {
        return guess.to_check.push(words + ".");
    }
    let words = words + ": are they expanded uncertainties?";
    let doubt = Doubt::new("coverage_factor", words)
        .or("expanded ones", Answer::AsTaken)
        .or("standard ones already", Answer::Off(Column::CoverageFactor));
    guess.doubts.push(doubt);
}

/// The factor that every cell of the uncertainties states.
fn factor_of_cells(samples: &[Sample], guess: &Guess) -> Option<f64> {
    let sample = guess.sample(samples, Column::U)?;
    let mut factors = sample.values().map(with_factor);
    let (_, first) = factors.next()??;
    factors
        .all(|own| own.is_some_and(|(_, factor)| factor == first))
        .then_some(first)
}

/// The header of the readings, where an uncertainty stands behind each in its cell.
fn behind_the_reading(samples: &[Sample], guess: &Guess) -> Option<String> {
    let sample = guess.sample(samples, Column::AsFound)?;
    let by_header = pairs_of(&sample.header) == Pairs::FoundU;
    let both = |v: &str| {
        let signed = with_uncertainty(v).is_some() || last_digits(v).is_some();
        signed || by_header && pair(v).is_some()
    };
    sample.values().any(both).then(|| sample.header.clone())
}

fn about_factor(header: &str, words: String) -> Doubt {
    let doubt = Doubt::new("coverage_factor", words)
        .of_form()
        .about(header)
        .settled_by("coverage_factor");
    Doubt {
        typed: Some(Typed::Factor),
        ..doubt
    }
}

/// Names the columns that speak of an uncertainty and are not read.
pub(crate) fn about_unread_uncertainty(guess: &mut Guess) {
    let speaks = |header: &&String| headed(header, Column::U) || speaks_of(header, "expanded");
    let why = match header_of(guess, Column::U) {
        Some(header) => format!("\"{header}\" is taken as u"),
        None => "its header is none that is known for one, or its content does not read as numbers"
            .to_string(),
    };
    let unread: Vec<String> = guess.ignored.iter().filter(speaks).cloned().collect();
    for header in unread {
        guess.to_check.push(format!(
            "\"{header}\" speaks of an uncertainty and is not read: {why}. Map the one that belongs to the readings by u, with coverage_factor where it is expanded."
        ));
    }
}
