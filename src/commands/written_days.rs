/*! Days as a person writes them into a filled copy or behind an option: YYYY-MM-DD, or in the order that the pipeline states
of its checks, where both read one day. */

use super::refused::{Refused, refused};
use crate::records::date::{self, DateFormat};
use crate::settings::plan::Plan;
use std::collections::BTreeSet;

/// The ways in which days are read.
#[derive(Debug, Default)]
pub(super) struct WrittenDays {
    /// Formats of the checks, each once.
    formats: BTreeSet<String>,
    /// The decimal sign of the checks, where all of them state one.
    pub decimal_comma: Option<bool>,
}

impl WrittenDays {
    pub(crate) fn of(plan: &Plan) -> Self {
        let checks = &plan.settings.checks;
        let forms = || std::iter::once(checks).chain(&checks.other);
        let comma = checks.decimal_comma;
        let formats = forms().map(|form| form.date_format.clone());
        let in_order = |format: &String| {
            let read = DateFormat::from_setting(format);
            matches!(read, DateFormat::Other(_))
        };
        Self {
            formats: formats.filter(in_order).collect(),
            decimal_comma: comma.filter(|_| forms().all(|form| form.decimal_comma == comma)),
        }
    }

    /// The day that `text` states for `name`; `None` where it is blank.
    ///
    /// # Errors
    /// A text that is no date, or that reads as several.
    pub(crate) fn day(&self, name: &str, text: &str) -> Result<Option<f64>, Refused> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(None);
        }
        let own = self.formats.iter();
        let own = own.filter_map(|format| DateFormat::from_setting(format).parse_own(text));
        let iso = date::parse_iso(text.as_bytes());
        let mut days: Vec<f64> = iso.into_iter().chain(own).map(f64::floor).collect();
        days.dedup();
        match days.as_slice() {
            [day] => Ok(Some(*day)),
            [] => Err(refused!(
                "{name} \"{text}\" is not a date: expected YYYY-MM-DD{}",
                self.or_own()
            )),
            [first, second, ..] => Err(refused!(
                "{name} \"{text}\" may be {} or {}: write YYYY-MM-DD",
                date::iso(*first),
                date::iso(*second)
            )),
        }
    }

    /// The formats of the checks, as they end a sentence.
    fn or_own(&self) -> String {
        let own: Vec<&str> = self.formats.iter().map(String::as_str).collect();
        match own.as_slice() {
            [] => String::new(),
            own => format!(", or as the checks are dated ({})", own.join(", ")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn days(formats: &[&str]) -> WrittenDays {
        WrittenDays {
            formats: formats.iter().map(ToString::to_string).collect(),
            decimal_comma: None,
        }
    }

    #[test]
    fn a_day_is_read_in_the_order_of_the_checks_or_refused() {
        let of_new_year = Some(20_818.0);
        let german = days(&["%d.%m.%Y"]);
        assert_eq!(german.day("on", "31.12.2026").unwrap(), of_new_year);
        assert_eq!(german.day("on", " 2026-12-31 ").unwrap(), of_new_year);
        assert_eq!(german.day("on", "").unwrap(), None);
        let why = german.day("on", "12/31/2026").unwrap_err().to_string();
        assert!(
            why.contains("YYYY-MM-DD, or as the checks are dated (%d.%m.%Y)"),
            "{why}"
        );
        let none = days(&[]);
        assert!(none.day("on", "31.12.2026").is_err());
        // Two forms that order their dates differently.
        let both = days(&["%d/%m/%Y", "%m/%d/%Y"]);
        assert_eq!(both.day("on", "31/12/2026").unwrap(), of_new_year);
        let why = both.day("on", "05/04/2026").unwrap_err().to_string();
        assert!(why.contains("may be 2026-04-05 or 2026-05-04"), "{why}");
    }
}
