/*! Files of checks in several forms: those of `[checks]`, and others with headers and formats of
their own under `[[checks.other]]`. */

use super::reading::own_header::OwnHeader;
use super::settings::{AsFoundIs, ChecksSettings};
use crate::settings::{SettingError, SettingsTable};

impl ChecksSettings {
    /// How the files of a form are written: 0 is this table, n the nth of its others.
    pub fn form(&self, number: usize) -> &ChecksSettings {
        let other = number.checked_sub(1).and_then(|n| self.other.get(n));
        other.unwrap_or(self)
    }

    /// The questions that nobody has answered, by name.
    pub fn open_doubts(&self) -> impl Iterator<Item = (&str, &str)> {
        let doubts = self.doubts.iter().filter(|(name, _)| !self.states(name));
        doubts.filter_map(|(name, text)| Some((name.as_str(), text.strip_prefix('?')?.trim())))
    }

    /// True where the setting that a doubt is about stood open, and is stated by now.
    fn states(&self, doubt: &str) -> bool {
        let of_other = doubt.rsplit_once('_').and_then(|(name, number)| {
            let number: usize = number.parse().ok()?;
            Some((name, self.form(number.checked_sub(1)?)))
        });
        let (name, form) = of_other.unwrap_or((doubt, self));
        match name {
            "as_found_is" => {
                form.as_found_is != AsFoundIs::Auto || form.columns.nominal == OwnHeader::Off
            }
            "decimal_comma" => form.decimal_comma.is_some(),
            _ => false,
        }
    }
}

/// What is wrong with the other forms: their own values, and what holds for all files.
pub(super) fn problems_of_others(checks: &ChecksSettings) -> Vec<SettingError> {
    let mut errors = Vec::new();
    for own in &checks.other {
        let nothing = own
            .files
            .is_empty()
            .then(|| "it names no files".to_string());
        let for_all = stated_for_all(own)
            .map(|key| format!("{key} holds for all files: state it under [checks]"));
        let wrong = own
            .check()
            .into_iter()
            .map(|e| format!("{}: {}", e.key, e.message));
        let words = nothing.into_iter().chain(for_all).chain(wrong);
        errors.extend(words.map(|words| SettingError::new("checks", "other", words)));
    }
    errors
}

/// A key that a form states though it holds for all files.
fn stated_for_all(own: &ChecksSettings) -> Option<&'static str> {
    let none = ChecksSettings::default();
    let stated = [
        (
            "largest_file_mb",
            own.largest_file_mb != none.largest_file_mb,
        ),
        (
            "largest_unpacked_mb",
            own.largest_unpacked_mb != none.largest_unpacked_mb,
        ),
        ("resolution", own.resolution != none.resolution),
        ("repeats", own.repeats != none.repeats),
        ("trim_names", own.trim_names),
        ("allow_rejected_failures", own.allow_rejected_failures),
        ("doubts", !own.doubts.is_empty()),
        ("other", !own.other.is_empty()),
    ];
    stated
        .into_iter()
        .find_map(|(key, stated)| stated.then_some(key))
}
