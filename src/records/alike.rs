/*! Names that differ only by case or blanks: told, and kept apart. */

use super::{Item, Warning};
use std::collections::HashMap;

/// One warning for each set of instruments, or points of one instrument, that a
/// person would read as the same. `items` are sorted by instrument and point.
pub(crate) fn alike(items: &[Item]) -> Vec<Warning> {
    let mut warnings = Vec::new();
    let mut instruments: Vec<&str> = items.iter().map(|i| i.instrument.as_str()).collect();
    instruments.dedup();
    warn(&instruments, "instruments", &mut warnings);
    for own in items.chunk_by(|a, b| a.instrument == b.instrument) {
        if own.len() > 1 {
            let points: Vec<&str> = own.iter().map(|i| i.point.as_str()).collect();
            warn(
                &points,
                &format!("points of {}", own[0].instrument),
                &mut warnings,
            );
        }
    }
    warnings
}

fn warn(names: &[&str], what: &str, warnings: &mut Vec<Warning>) {
    let mut first: HashMap<String, usize> = HashMap::with_capacity(names.len());
    for (index, name) in names.iter().enumerate() {
        let known = *first.entry(fold(name)).or_insert(index);
        if known != index {
            let words = format!(
                "the {what} \"{}\" and \"{name}\" differ only by case or blanks; they are kept apart (trim_names = true joins those that differ by blanks at the ends)",
                names[known]
            );
            warnings.push(Warning::new("", words));
        }
    }
}

fn fold(name: &str) -> String {
    let mut folded = String::with_capacity(name.len());
    for word in name.split_whitespace() {
        if !folded.is_empty() {
            folded.push(' ');
        }
        folded.extend(word.chars().flat_map(char::to_lowercase));
    }
    folded
}
