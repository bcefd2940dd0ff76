/*! Signs that stand for what the cell above says. */

/// Signs and words by which people repeat the cell above (common practice, no source).
const DITTO: [&str; 17] = [
    "\"", "\"\"", "''", "″", "〃", "„", "“", "”", "-\"-", "- \" -", "dto", "dto.", "dito", "ditto",
    "idem", "do.", "同上",
];

/// Bytes of the longest of them.
const LONGEST: usize = 6;

/// True for a cell that says no more than that it is as the one above.
pub(crate) fn is_ditto(text: &str) -> bool {
    let text = text.trim();
    text.len() <= LONGEST
        && DITTO
            .iter()
            .any(|sign| sign.len() == text.len() && sign.eq_ignore_ascii_case(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_of_repetition_are_told_from_names() {
        for sign in ["\"", " dto. ", "Ditto", "〃", "同上", "- \" -"] {
            assert!(is_ditto(sign), "{sign}");
        }
        for name in ["", "D-1", "5\"", "-", "do"] {
            assert!(!is_ditto(name), "{name}");
        }
    }
}
