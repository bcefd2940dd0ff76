/*! Names of histories as safe, unique file names. */

use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::HashMap;

/// Safe, unique file names without extension, one a history, in the given order.
///
/// Letters, digits, `-`, `_` and `.` stay, anything else becomes `-`. Names that are
/// equal on a file system that ignores case, long names, names without any safe
/// character and names that Windows reserves get eight hexadecimal digits of their hash.
pub fn slugs<'a>(names: impl IntoIterator<Item = (&'a str, &'a str)>) -> Vec<String> {
    let names: Vec<_> = names.into_iter().collect();
    let plain: Vec<(String, String)> = names
        .par_iter()
        .map(|(instrument, point)| {
            let slug = plain_slug(instrument, point);
            let folded = slug.to_lowercase();
            (slug, folded)
        })
        .collect();
    let mut seen: HashMap<&str, usize> = HashMap::with_capacity(plain.len());
    for (_, folded) in &plain {
        *seen.entry(folded).or_default() += 1;
    }
    plain
        .par_iter()
        .zip(&names)
        .map(|((slug, folded), (instrument, point))| {
            let unsafe_name = slug.is_empty() || reserved(slug) || slug.len() > LONGEST_SLUG;
            if !unsafe_name && seen.get(folded.as_str()) == Some(&1) {
                return slug.clone();
            }
            let hash = Sha256::digest(format!("{instrument}\0{point}"));
            let tail: String = hash[..6].iter().map(|b| format!("{b:02x}")).collect();
            let head: String = slug.chars().take(LONGEST_SLUG).collect();
            if head.is_empty() {
                tail
            } else {
                format!("{head}-{tail}")
            }
        })
        .collect()
}

/// Longest file name kept whole, in characters (all ASCII).
const LONGEST_SLUG: usize = 80;

fn plain_slug(instrument: &str, point: &str) -> String {
    let mut slug = String::new();
    let mut add = |text: &str| {
        for character in text.chars() {
            match character {
                c if c.is_ascii_alphanumeric() || matches!(c, '-' | '_') => slug.push(c),
                '.' if !slug.is_empty() => slug.push('.'),
                _ if slug.ends_with('-') => {}
                _ => slug.push('-'),
            }
        }
    };
    add(instrument);
    if !point.is_empty() {
        add("_");
        add(point);
    }
    slug.trim_matches(['-', '.', '_']).to_string()
}

/// Names that Windows keeps for devices.
fn reserved(slug: &str) -> bool {
    let stem = slug.split('.').next().unwrap_or("").to_ascii_uppercase();
    let port = stem.strip_prefix("COM").or(stem.strip_prefix("LPT"));
    matches!(stem.as_str(), "CON" | "PRN" | "AUX" | "NUL")
        || port.is_some_and(|n| n.len() == 1 && n.bytes().all(|b| b.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_names_are_safe_and_unique() {
        let names = [
            ("TH-014", "100 °C"),
            ("th-014", "100 °C"),
            ("../etc", ""),
            ("CON", ""),
            ("é", ""),
            ("A/B", ""),
            ("A B", ""),
        ];
        let slugs = slugs(names);
        let mut folded: Vec<_> = slugs.iter().map(|s| s.to_lowercase()).collect();
        folded.sort();
        folded.dedup();
        assert_eq!(folded.len(), names.len());
        assert!(slugs.iter().all(|s| {
            !s.is_empty()
                && !s.starts_with('.')
                && s.bytes()
                    .all(|b| b.is_ascii_alphanumeric() || b"-_.".contains(&b))
        }));
    }

    #[test]
    fn a_collision_with_a_hashed_name_cannot_be_forged_by_chance() {
        assert_eq!(slugs([("TH-014", "")]), ["TH-014"]);
        assert_ne!(slugs([("A", ""), ("a", "")])[0], "A");
    }
}
