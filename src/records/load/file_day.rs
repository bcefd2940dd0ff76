/*! The day of the rows of a file that states none, where its name does: `2026-03_checks.csv`. */

use crate::records::LoadError;
use crate::records::cells::row::rules::Rules;
use crate::records::date::DateFormat;
use crate::records::reading::wide::dated_parts;
use std::path::Path;

/// The rules for the file at `path` where a setting says that its name states the day; `None` where none does.
///
/// # Errors
/// A name that does not.
pub(crate) fn dated_by_name<'r>(
    path: &Path,
    shown: &str,
    rules: &'r Rules<'_>,
) -> Result<Option<Rules<'r>>, LoadError> {
    let format = rules.settings.date_in_file_name.trim();
    if format.is_empty() {
        return Ok(None);
    }
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    match day_in(&stem, format) {
        Some(day) => Ok(Some(rules.of_date(Some(day)))),
        None => Err(LoadError::new(
            shown,
            format!(
                "its name states no day as date_in_file_name = \"{format}\" has it, by which the rows of each file are dated"
            ),
            "Name the file so, or read it in a [[checks.other]] of its own.",
        )),
    }
}

/// The day that a run of words of a name states, parted by blanks and underscores.
fn day_in(stem: &str, format: &str) -> Option<f64> {
    let format = DateFormat::from_setting(format);
    let (day, _) = dated_parts(stem, |text| format.parse(text))?;
    Some(day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::date::iso;

    #[test]
    fn a_name_states_the_day_among_other_words() {
        for (stem, format, expected) in [
            ("2026-03_checks", "first day of %Y-%m", Some("2026-03-01")),
            ("checks 2026-03-17", "%Y-%m-%d", Some("2026-03-17")),
            ("lab_20260317_a", "%Y%m%d", Some("2026-03-17")),
            ("Messung 17.03.2026", "%d.%m.%Y", Some("2026-03-17")),
            ("checks", "%Y-%m-%d", None),
            ("2026-03_checks", "%Y-%m-%d", None),
        ] {
            let day = day_in(stem, format).map(iso);
            assert_eq!(day.as_deref(), expected, "{stem}");
        }
    }
}
