/*! Where the digits of a text stand. */

/// True for a text with a digit in it.
pub(crate) fn has_digit(text: &str) -> bool {
    text.bytes().any(|byte| byte.is_ascii_digit())
}

/// True for a text that a digit begins.
pub(crate) fn begins_with_digit(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

/// True for a text that a digit begins, or a sign before one.
pub(crate) fn begins_with_number(text: &str) -> bool {
    begins_with_digit(text.trim_start_matches(['+', '-', '\u{2212}']))
}
