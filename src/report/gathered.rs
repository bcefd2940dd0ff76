/*! Lists of what presses: items of which the same is said stand in one line. */

use crate::words::and_others;

/// Names in one line; that there are more is said without a number, since lists look at the most
/// urgent alone.
const MOST_NAMES: usize = 6;

/// `entries` in their order, those with the same key together at the place of the first; at most
/// `most` lines.
pub(crate) fn gathered<T, K: PartialEq>(
    entries: impl IntoIterator<Item = T>,
    key: impl Fn(&T) -> K,
    most: usize,
) -> Vec<Vec<T>> {
    let mut lines: Vec<(K, Vec<T>)> = Vec::new();
    for entry in entries {
        let own = key(&entry);
        match lines.iter().position(|(key, _)| *key == own) {
            Some(line) => lines[line].1.push(entry),
            None if lines.len() < most => lines.push((own, vec![entry])),
            None => {}
        }
    }
    lines.into_iter().map(|(_, members)| members).collect()
}

/// "LC-001, 20 kN; LC-002, 20 kN; and others".
pub(crate) fn names(names: &[String]) -> String {
    match names.len().saturating_sub(MOST_NAMES) {
        // One more name takes no more room than the words for it.
        0 | 1 => names.join("; "),
        _ => format!("{}; and others", names[..MOST_NAMES].join("; ")),
    }
}

/// "A; B and 3 more": the first of `of` names.
pub(crate) fn and_more(names: &[String], of: usize) -> String {
    names.join("; ") + &and_others(of.saturating_sub(names.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_is_said_once_at_its_first_place() {
        let said = [("A", 1), ("B", 2), ("C", 1), ("D", 3), ("E", 2)];
        let lines = gathered(said, |entry| entry.1, 2);
        assert_eq!(lines, [vec![("A", 1), ("C", 1)], vec![("B", 2), ("E", 2)]]);
    }

    #[test]
    fn of_many_names_the_first_stand() {
        let named = |n: usize| (1..=n).map(|i| format!("A-{i}")).collect::<Vec<_>>();
        assert_eq!(names(&named(2)), "A-1; A-2");
        assert!(names(&named(7)).ends_with("A-7"));
        assert!(names(&named(9)).ends_with("A-6; and others"));
    }
}
