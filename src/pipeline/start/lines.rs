/*! Texts as lines of a pipeline file state them. */

use crate::records::{Delimiter, Encoding};
use crate::report::text::harmless;
use crate::settings::toml_text::listed;
use crate::words::and_others;
use std::fmt::Write;

/// A setting that is a list of texts.
pub(super) fn list_line(text: &mut String, key: &str, values: &[String]) {
    let _ = writeln!(text, "{key} = {}", listed(values));
}

/// What parts the cells of a text, and how its letters are written.
pub(super) fn letters_lines(text: &mut String, delimiter: Delimiter, encoding: Encoding) {
    if delimiter != Delimiter::Auto {
        let _ = writeln!(text, "delimiter = \"{}\"", delimiter.word());
    }
    match encoding {
        Encoding::Utf8 => {}
        Encoding::Latin1 | Encoding::Named(_) => {
            let _ = writeln!(text, "encoding = \"{}\"", encoding.word());
        }
        Encoding::Auto => text.push_str("encoding = \"auto\"             # the files differ\n"),
    }
}

/// Headers that are not read, as a comment may name them: a line break would end it, and other
/// characters that show nothing are no TOML.
pub(super) fn not_read_line(text: &mut String, headers: &[String]) {
    if !headers.is_empty() {
        let listed = harmless(&some_of(headers)).replace(['\n', '\r'], " ");
        let _ = writeln!(text, "# not read: {listed}");
    }
}

/// Headers that are not read, the first of many.
pub(super) fn some_of(headers: &[String]) -> String {
    const MOST: usize = 30;
    let shown = headers.iter().take(MOST).map(String::as_str);
    let shown = shown.collect::<Vec<_>>().join(", ");
    shown + &and_others(headers.len().saturating_sub(MOST))
}
