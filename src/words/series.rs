/*! Names that count on, such as `2025-11.csv` and `2025-12.csv`, or `5 bar` and `10 bar`. */

/// What all names of a series have in common: the name with its numbers left open; `None` of one without a number.
pub(crate) fn series(name: &str) -> Option<String> {
    let is_number = |c: char| c.is_ascii_digit();
    if !name.contains(is_number) {
        return None;
    }
    let words = name.split(is_number).filter(|part| !part.is_empty());
    let words: Vec<&str> = words.collect();
    Some(words.join("#"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_a_series_differ_by_their_numbers_alone() {
        assert_eq!(series("2025-11.csv"), series("2026-1.csv"));
        assert_eq!(series("checks 9"), series("checks 10"));
        assert_ne!(series("checks 9"), series("register 9"));
        assert_ne!(series("2025"), series("2025 (old)"));
        assert_eq!(series("Cover"), None);
    }
}
