/*! Names of histories as safe, unique file names. */

use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::HashMap;

/// Safe, unique file names without extension, one a history, in the given order.
///
/// Letters, digits, `-`, `_` and `.` stay, anything else becomes `-`. Names that are
/// equal on a file system that ignores case, long names, names without any safe
/// character and names that Windows reserves get twelve hexadecimal digits of their hash;
/// those that are equal even then get all of them.
pub(crate) fn slugs<'a>(names: impl IntoIterator<Item = (&'a str, &'a str)>) -> Vec<String> {
    let names: Vec<_> = names.into_iter().collect();
    let plain: Vec<String> = names
        .par_iter()
        .map(|(instrument, point)| plain_slug(instrument, point))
        .collect();
    let unsafe_name =
        |slug: &String| slug.is_empty() || reserved(slug) || slug.len() > LONGEST_SLUG;
    let mut digits: Vec<usize> = plain
        .par_iter()
        .map(|slug| {
            if unsafe_name(slug) {
                DIGITS[1]
            } else {
                DIGITS[0]
            }
        })
        .collect();
    // A name may be what another one becomes with its digits: those that meet get more of
    // them, until none meets another.
    loop {
        let slugs: Vec<String> = (plain.par_iter().zip(&names).zip(&digits))
            .map(|((slug, name), digits)| with_digits(slug, *name, *digits))
            .collect();
        let meeting = meeting(&slugs);
        let grown = (digits.iter_mut().zip(meeting)).filter_map(|(digits, meets)| {
            let more = DIGITS.into_iter().find(|more| more > digits);
            *digits = more.filter(|_| meets)?;
            Some(())
        });
        if grown.count() == 0 {
            return slugs;
        }
    }
}

/// Digits of the hash behind a name: none, those that tell any two by chance, all.
const DIGITS: [usize; 3] = [0, 12, 64];

/// True for every name that equals another where case is ignored.
fn meeting(slugs: &[String]) -> Vec<bool> {
    let folded: Vec<String> = slugs.par_iter().map(|slug| slug.to_lowercase()).collect();
    let mut seen: HashMap<&str, usize> = HashMap::with_capacity(folded.len());
    for slug in &folded {
        *seen.entry(slug).or_default() += 1;
    }
    folded
        .iter()
        .map(|slug| seen.get(slug.as_str()).is_some_and(|count| *count > 1))
        .collect()
}

/// The name with so many digits of its hash.
fn with_digits(slug: &str, (instrument, point): (&str, &str), digits: usize) -> String {
    if digits == 0 {
        return slug.to_string();
    }
    let hash = Sha256::digest(format!("{instrument}\0{point}"));
    let mut tail: String = hash.iter().map(|b| format!("{b:02x}")).collect();
    tail.truncate(digits);
    let head: String = slug.chars().take(LONGEST_SLUG).collect();
    match head.is_empty() {
        true => tail,
        false => format!("{head}-{tail}"),
    }
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
    fn a_name_that_another_becomes_has_a_page_of_its_own() {
        let forged = &slugs([("A", ""), ("a", "")])[0];
        let names = [("A", ""), ("a", ""), (forged.as_str(), "")];
        let slugs = slugs(names);
        let distinct: std::collections::HashSet<_> =
            slugs.iter().map(|slug| slug.to_lowercase()).collect();
        assert_eq!(distinct.len(), 3, "{slugs:?}");
    }

    #[test]
    fn a_collision_with_a_hashed_name_cannot_be_forged_by_chance() {
        assert_eq!(slugs([("TH-014", "")]), ["TH-014"]);
        assert_ne!(slugs([("A", ""), ("a", "")])[0], "A");
    }
}
