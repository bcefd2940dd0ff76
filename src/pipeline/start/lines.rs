/*! Texts as lines of a pipeline file state them. */

use crate::words::and_others;

/// Text as a TOML string.
pub(super) fn quoted(text: &str) -> String {
    toml::Value::String(text.to_string()).to_string()
}

/// Headers that are not read, the first of many.
pub(super) fn some_of(headers: &[String]) -> String {
    const MOST: usize = 30;
    let shown = headers.iter().take(MOST).map(String::as_str);
    let shown = shown.collect::<Vec<_>>().join(", ");
    shown + &and_others(headers.len().saturating_sub(MOST))
}
