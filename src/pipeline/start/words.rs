/*! What `start` says of a form: what it took for what, and what its numbers leave open. */

use super::lines::some_of;
use super::look::Form;
use crate::intervals::IntervalSettings;
use crate::intervals::in_use::common_distance;
use crate::records::Loaded;
use crate::records::cells::column::Column;
use crate::records::guess::draft::{Guess, Guessed};
use crate::records::reading::header::near_misses::means_tolerance;
use crate::words::days;
use std::fmt::Write;
use std::path::Path;

/// What the first look took for what.
pub(super) fn looked(form: &Form) -> String {
    let guess = &form.guess;
    let mut text = format!("{}:\n", form.named());
    if !form.differs.is_empty() {
        let _ = writeln!(text, "A form of its own: {}.", form.differs.join("; "));
    }
    let letters = Some(&guess.letters).filter(|letters| !letters.is_empty());
    for note in letters.into_iter().chain(&guess.notes) {
        let _ = writeln!(text, "{note}");
    }
    let _ = writeln!(text, "\nColumns:");
    for Guessed {
        column,
        header,
        why,
    } in &guess.columns
    {
        let _ = writeln!(text, "  {:<13} \"{header}\": {why}", column.name());
    }
    if !guess.ignored.is_empty() {
        let _ = writeln!(text, "Not read: {}", some_of(&guess.ignored));
    }
    text + &under("Please check", &guess.to_check)
}

/// Lines under a heading; nothing where there are none.
pub(super) fn under(heading: &str, lines: &[String]) -> String {
    match lines {
        [] => String::new(),
        lines => format!("\n{heading}:\n  {}\n", lines.join("\n  ")),
    }
}

/// The folder of the report, named after the pipeline file.
pub(super) fn report_folder(file: &Path) -> String {
    let name = file
        .file_stem()
        .map_or("records".into(), |name| name.to_string_lossy());
    // Braces would be filled in as dates.
    format!("reports/{}", name.replace(['{', '}'], "_"))
}

/// What is missing for any run, and what may be stated for it.
pub(super) fn missing(guess: &Guess) -> String {
    const YEARS: [&str; 9] = [
        "year", "jahr", "année", "año", "anno", "ano", "rok", "år", "jaar",
    ];
    // A header that is our own name is read without being stated.
    let own = |column: &Column| {
        let mut headers = guess.ignored.iter();
        headers.any(|header| header.trim().eq_ignore_ascii_case(column.name()))
    };
    let mut missing = guess.missing();
    missing.retain(|column| !own(column));
    if missing.is_empty() {
        return String::new();
    }
    let names: Vec<&str> = missing.iter().map(|column| column.name()).collect();
    let unread = match guess.ignored.is_empty() {
        true => String::new(),
        false => format!("; not read are {}", some_of(&guess.ignored)),
    };
    let mut text = format!(
        "\nMissing: no column was found for {}, and no run can begin without. State it under columns by its header{unread}.",
        names.join(" and ")
    );
    let is_year = |header: &&String| YEARS.contains(&header.trim().to_lowercase().as_str());
    let year = guess.ignored.iter().find(is_year);
    if let Some(year) = year.filter(|_| missing.contains(&Column::Date)) {
        let _ = write!(
            text,
            " A date whose parts stand in several columns (\"{year}\" and others) is read once they are joined in one, such as 2024-03-05, 2024-03, 2024-W10 or Q1 2024."
        );
    }
    text
}

/// What is missing for a decision where no column says what is in tolerance.
pub(super) fn no_limits(guess: &Guess) -> Option<String> {
    let limits = [
        Column::Lower,
        Column::Upper,
        Column::Tolerance,
        Column::InTolerance,
    ];
    if guess.columns.iter().any(|g| limits.contains(&g.column)) {
        return None;
    }
    let header = guess.ignored.iter().find(|header| means_tolerance(header));
    let from = header.map_or(String::new(), |header| {
        format!(" (\"{header}\" may be it: ±5 is lower -5 and upper 5)")
    });
    Some(format!(
        "No tolerance: no interval can be decided without. Add the columns lower and upper{from}, or a register with them; one that holds for all is tolerance = \"±…\" under [register]."
    ))
}

/// What is asked where u is stated whole: the reference's part is the same at every check.
pub(super) fn shared_part(guess: &Guess) -> Option<String> {
    (guess.reads(Column::U) && !guess.reads(Column::UCommon)).then(|| {
        "Is a part of u the reference's own, the same at every check? Averaging does not remove it: state it apart in a column u_common, and in u the rest. Where readings scatter far less than u says, it is taken for shared."
            .into()
    })
}

/// The distance that nearly all checks have in common where it is not the default interval, days.
pub(super) fn usual_distance(loaded: &Loaded) -> Option<f64> {
    let taken = IntervalSettings::default().current_interval_days;
    /// Times the usual distance beyond which two checks lie far apart, and one of so many that may.
    const FAR: f64 = 3.0;
    const FEW: usize = 4;
    let usual = common_distance(&loaded.histories, taken)?;
    // Checks in twos and threes, far from the next ones, have no distance in common.
    let gap = |pair: &[f64]| pair[1].floor() - pair[0].floor();
    let all = || {
        let histories = loaded.histories.iter();
        histories.flat_map(move |history| history.date.windows(2).map(gap))
    };
    let far = all().filter(|days| *days > FAR * usual).count();
    (FEW * far <= all().count()).then_some(usual)
}

/// What is put in for the interval in use where the checks tell another than the default.
pub(super) fn interval_in_use(usual: Option<f64>) -> String {
    let Some(usual) = usual.map(days) else {
        return String::new();
    };
    let words = format!(
        "No interval in use is stated: {usual} are put in (current_interval_days under [intervals]), since checks usually lie that far apart. What is due, overdue, kept or extended counts from it."
    );
    under("Please check", &[words])
}
