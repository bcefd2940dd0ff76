/*! Files of checks in several forms: those of `[checks]`, and others with headers and formats of
their own under `[[checks.other]]`. */

use super::ChecksSettings;
use super::words::AsFoundIs;
use crate::records::reading::header::own::OwnHeader;

impl ChecksSettings {
    /// How the files of a form are written: 0 is this table, n the nth of its others.
    pub(crate) fn form(&self, number: usize) -> &ChecksSettings {
        let other = number.checked_sub(1).and_then(|n| self.other.get(n));
        other.unwrap_or(self)
    }

    /// The questions that nobody has answered, by name.
    pub(crate) fn open_doubts(&self) -> impl Iterator<Item = (&str, &str)> {
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
