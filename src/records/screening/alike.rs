/*! Names that a person would read as the same: told, and kept apart. */

use crate::records::cells::number::Number;
use crate::records::cells::unit::Unit;
use crate::records::several_names::{may_be_several, several_names};
use crate::records::{Item, Warning};
use crate::words::{and_more, quoted_list};
use rayon::prelude::*;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::hash::{DefaultHasher, Hasher};

/// One warning for each set of instruments, or points of one instrument, that a
/// person would read as the same. `items` are sorted by instrument and point.
pub(crate) fn alike(items: &[Item]) -> Vec<Warning> {
    let mut warnings = Vec::new();
    let mut instruments: Vec<&str> = items.iter().map(|i| i.instrument.as_str()).collect();
    instruments.dedup();
    warn(&instruments, "instruments", &OF_INSTRUMENTS, &mut warnings);
    warnings.extend(several_in_one(&instruments));
    warnings.extend(groups_alike(items));
    for own in items.chunk_by(|a, b| a.instrument == b.instrument) {
        if own.len() > 1 {
            let points: Vec<&str> = own.iter().map(|i| i.point.as_str()).collect();
            // Of points, a dash may be a sign.
            let what = format!("points of {}", own[0].instrument);
            warn(&points, &what, &[CASE_AND_BLANKS], &mut warnings);
            warnings.extend(with_and_without_unit(&points, &what));
        }
    }
    warnings
}

/// Names that are several of the others at once.
fn several_in_one(instruments: &[&str]) -> Vec<Warning> {
    let mut several = instruments.iter().filter(|name| may_be_several(name));
    // Most records have none, and a set of a million names costs.
    let Some(first) = several.next() else {
        return Vec::new();
    };
    let known: HashSet<&str> = instruments.iter().copied().collect();
    let warning = |name: &&str| {
        let parts = several_names(name, |part| known.contains(part))?;
        let words = format!(
            "\"{name}\" seems to name several instruments ({}) and is read as one of its own, so that its checks are missing among theirs: write a row for each of them",
            quoted_list(&parts)
        );
        Some(Warning::new("", words))
    };
    std::iter::once(first)
        .chain(several)
        .filter_map(warning)
        .collect()
}

/// Points that are one number, with a unit and without.
fn with_and_without_unit(points: &[&str], what: &str) -> Option<Warning> {
    let number = |text: &str| Number::parse(text, false).ok().map(|n| n.value.to_bits());
    let bare: HashMap<u64, &str> = points
        .iter()
        .filter_map(|p| Some((number(p)?, *p)))
        .collect();
    let amount = |point: &str| {
        let (text, unit) = point.rsplit_once(' ')?;
        Unit::parse(unit)?;
        bare.get(&number(text)?).copied()
    };
    let pairs = points
        .iter()
        .filter_map(|point| Some((amount(point)?, *point)));
    let alike: Vec<(&str, &str)> = pairs.collect();
    let (one, other) = alike.first()?;
    let words = format!(
        "the {what} \"{one}\" and \"{other}\"{} state one number, with a unit and without; they are kept apart: write them alike where they are one",
        and_more(alike.len() - 1)
    );
    Some(Warning::new("", words))
}

/// Groups up to which each is compared with all others.
const MOST_GROUPS: usize = 200;

/// Groups whose names a person would read as one: they lend each other nothing.
fn groups_alike(items: &[Item]) -> Vec<Warning> {
    let named = items.iter().map(|item| item.group.as_str());
    let groups: BTreeSet<&str> = named.filter(|group| !group.is_empty()).collect();
    let groups: Vec<&str> = groups.into_iter().take(MOST_GROUPS).collect();
    let pairs = groups.iter().enumerate();
    let pairs = pairs.flat_map(|(i, one)| groups[i + 1..].iter().map(move |other| (one, other)));
    let words = |(one, other): (&&str, &&str)| {
        spelt_alike(one, other).then(|| {
            let words = format!(
                "the groups \"{one}\" and \"{other}\" are spelt almost alike; they are kept apart and lend each other nothing"
            );
            Warning::new("", words)
        })
    };
    pairs.filter_map(words).collect()
}

/// True for names that differ by case, by what stands between their words, or by one letter of a longer word.
fn spelt_alike(one: &str, other: &str) -> bool {
    const LONG: usize = 5;
    let parts = |name: &str| -> Vec<String> {
        let lower = name.to_lowercase();
        let parts = lower.split(|c: char| !c.is_alphanumeric());
        parts
            .filter(|part| !part.is_empty())
            .map(String::from)
            .collect()
    };
    let (one, other) = (parts(one), parts(other));
    let word = |part: &str| part.chars().count() >= LONG && part.chars().all(char::is_alphabetic);
    let alike = |(a, b): (&String, &String)| {
        a == b || word(a) && word(b) && strsim::damerau_levenshtein(a, b) == 1
    };
    one.len() == other.len() && one.iter().zip(&other).all(alike)
}

/// How names may differ and be read as one.
struct Likeness {
    /// The same text for names that do.
    folded: fn(&str) -> String,
    words: &'static str,
}

const CASE_AND_BLANKS: Likeness = Likeness {
    folded: fold,
    words: "differ only by case or blanks; they are kept apart (trim_names = true joins those that differ by blanks at the ends)",
};

/// What differs by less is told as such.
const DASHES_AND_ZEROS: Likeness = Likeness {
    folded: unpadded,
    words: "differ only by dashes, blanks or zeros before a number; they are kept apart (formerly in the register joins names of one)",
};

/// What a typist or a scan takes for each other.
const LETTERS_AND_DIGITS: Likeness = Likeness {
    folded: as_digits,
    words: "differ only by letters that look like digits (O and 0, I, l and 1); they are kept apart (formerly in the register joins names of one)",
};

const OF_INSTRUMENTS: [Likeness; 3] = [CASE_AND_BLANKS, DASHES_AND_ZEROS, LETTERS_AND_DIGITS];

fn warn(names: &[&str], what: &str, likenesses: &[Likeness], warnings: &mut Vec<Warning>) {
    for (place, likeness) in likenesses.iter().enumerate() {
        let mut first: HashMap<String, usize> = HashMap::new();
        for index in sharing(names, likeness) {
            let name = names[index];
            let known = *first.entry((likeness.folded)(name)).or_insert(index);
            let other = names[known];
            let mut before = likenesses[..place].iter();
            if known != index && before.all(|less| (less.folded)(other) != (less.folded)(name)) {
                let words = format!("the {what} \"{other}\" and \"{name}\" {}", likeness.words);
                warnings.push(Warning::new("", words));
            }
        }
    }
}

/// The places of the names that are alike to others, and of a few more: of millions of names hardly any are, and their
/// hashes tell.
fn sharing(names: &[&str], likeness: &Likeness) -> Vec<usize> {
    const NAMES_A_TASK: usize = 4096;
    let hash = |(place, name): (usize, &&str)| {
        let mut hasher = DefaultHasher::new();
        hasher.write((likeness.folded)(name).as_bytes());
        (hasher.finish(), place)
    };
    let all = names.par_iter().enumerate().with_min_len(NAMES_A_TASK);
    let mut hashes: Vec<(u64, usize)> = all.map(hash).collect();
    hashes.par_sort_unstable();
    let alike = hashes.chunk_by(|one, other| one.0 == other.0);
    let alike = alike.filter(|names| names.len() > 1).flatten();
    let mut places: Vec<usize> = alike.map(|(_, place)| *place).collect();
    places.sort_unstable();
    places
}

/// A name without the zeros that pad its numbers, and without the signs between its parts; decimals
/// keep theirs.
fn unpadded(name: &str) -> String {
    let mut folded = String::with_capacity(name.len());
    let mut before = ' ';
    let mut letters = name.trim().chars().flat_map(char::to_lowercase).peekable();
    while let Some(c) = letters.next() {
        let begins = !before.is_ascii_digit() && !matches!(before, '.' | ',' | '0');
        let pads = c == '0' && begins && letters.peek().is_some_and(char::is_ascii_digit);
        if pads || c.is_whitespace() || matches!(c, '-' | '_' | '/') {
            // Digits on both sides of a sign stay two numbers.
            if !pads && before.is_ascii_digit() {
                folded.push(' ');
            }
            before = if pads { before } else { ' ' };
            continue;
        }
        if before == ' ' && folded.ends_with(' ') && !c.is_ascii_digit() {
            folded.pop();
        }
        folded.push(c);
        before = c;
    }
    folded
}

/// A name with the letters that look like digits taken for them.
fn as_digits(name: &str) -> String {
    let digit = |c| match c {
        'o' => '0',
        'i' | 'l' => '1',
        other => other,
    };
    fold(name).chars().map(digit).collect()
}

/// Known names, for the one that an unknown name is likely to mean.
pub(crate) struct NearNames<'a> {
    folded: HashMap<String, &'a str>,
    names: Vec<&'a str>,
}

/// Known names up to which letters are compared: beyond, each look would cost too much.
const MOST_COMPARED: usize = 5_000;
/// Letters that may differ.
const NEAR_MISS: usize = 2;

/// A known name that is near another, and what tells the two apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Near<'a> {
    CaseOrBlanks(&'a str),
    Number(&'a str),
    Letters(&'a str),
}

impl Near<'_> {
    pub(crate) fn words(self) -> String {
        match self {
            Self::CaseOrBlanks(known) => format!("; \"{known}\" differs only by case or blanks"),
            Self::Number(known) => format!("; \"{known}\" is the same number written otherwise"),
            Self::Letters(known) => format!("; the nearest name is \"{known}\""),
        }
    }
}

impl<'a> NearNames<'a> {
    /// Takes the known names, sorted.
    pub(crate) fn of(names: impl Iterator<Item = &'a str>) -> Self {
        let mut names: Vec<&str> = names.collect();
        names.dedup();
        let folded = names.iter().map(|name| (looked_up(name), *name)).collect();
        Self { folded, names }
    }

    /// What is to be said of the known name nearest to `name`; empty where none is near.
    pub(crate) fn words(&self, name: &str) -> String {
        self.find(name).map_or(String::new(), Near::words)
    }

    /// The known name nearest to `name`, where one is near.
    pub(crate) fn find(&self, name: &str) -> Option<Near<'a>> {
        if let Some(near) = self.folded.get(&looked_up(name)) {
            let number = fold(near) != fold(name);
            return Some(match number {
                true => Near::Number(near),
                false => Near::CaseOrBlanks(near),
            });
        }
        let near = |limit: usize| {
            let distance = |known: &&str| strsim::damerau_levenshtein(name, known);
            let known = self.names.iter().map(|known| (distance(known), *known));
            known.filter(|(d, _)| *d <= limit).min()
        };
        let limit = NEAR_MISS.min(name.chars().count() / 3);
        let found = (self.names.len() <= MOST_COMPARED).then(|| near(limit));
        found.flatten().map(|(_, known)| Near::Letters(known))
    }
}

/// A name as it is looked up where it is not found as written: case, runs of blanks, the
/// mark of decimals and zeros behind them make no difference.
pub(crate) fn looked_up(name: &str) -> String {
    let folded = fold(name);
    let digit = |at: Option<char>| at.is_some_and(|c| c.is_ascii_digit());
    let marks: Vec<char> = folded.chars().collect();
    let each = marks.iter().enumerate().map(|(i, &c)| {
        let inside = i > 0 && digit(marks.get(i - 1).copied()) && digit(marks.get(i + 1).copied());
        if c == ',' && inside { '.' } else { c }
    });
    let marked: String = each.collect();
    let words: Vec<&str> = marked.split(' ').map(without_last_zeros).collect();
    words.join(" ")
}

/// A decimal number without the zeros at its end; any other word as it is.
fn without_last_zeros(word: &str) -> &str {
    let number = word.strip_prefix(['-', '+']).unwrap_or(word);
    let decimal = number.split_once('.').is_some_and(|(whole, part)| {
        let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
        digits(whole) && digits(part)
    });
    match decimal {
        true => word.trim_end_matches('0').trim_end_matches('.'),
        false => word,
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn padded_numbers_and_dashes_are_told_and_other_names_are_not() {
        for (a, b, same) in [
            ("TH-01", "TH-1", true),
            ("TH 01", "th-001", true),
            ("TH-10", "TH-1", false),
            ("R-1.05", "R-1.5", false),
            ("G-100", "G-1", false),
            ("G-0", "G-00", true),
            ("A-1-2", "A-12", false),
            ("A-1-2", "A-1/02", true),
            ("R-01", "R - 01 ", true),
        ] {
            assert_eq!(unpadded(a) == unpadded(b), same, "{a} {b}");
            let mut warnings = Vec::new();
            warn(&[a, b], "instruments", &OF_INSTRUMENTS, &mut warnings);
            assert_eq!(warnings.len(), usize::from(same), "{a} {b}");
        }
    }

    #[test]
    fn points_with_and_without_their_unit_are_told() {
        let told = with_and_without_unit(&["100", "100 kPa", "600", "600.0 kPa"], "points of P-1");
        says!(told.unwrap().words, "\"100\" and \"100 kPa\" (and 1 more)");
        for apart in [["100", "600 kPa"], ["100 kPa", "100 V"], ["100", "100 up"]] {
            assert_eq!(with_and_without_unit(&apart, "points"), None);
        }
    }

    #[test]
    fn groups_that_are_spelt_almost_alike_are_told() {
        for (one, other, told) in [
            ("probes", "Probes", true),
            ("dial gauges", "dial-gauge", true),
            ("probes", "prbes", true),
            ("class A", "class B", false),
            ("gauges 10 mm", "gauges 16 mm", false),
            ("probes", "prisms", false),
        ] {
            assert_eq!(spelt_alike(one, other), told, "{one} {other}");
        }
    }

    #[test]
    fn a_number_written_otherwise_is_looked_up_and_named() {
        for (one, other, same) in [
            ("100.00", "100", true),
            ("0,50 V", "0.5 v", true),
            ("-40.0 °C", "-40 °C", true),
            ("1.2.10", "1.2.1", false),
            ("100", "10", false),
        ] {
            assert_eq!(looked_up(one) == looked_up(other), same, "{one} {other}");
        }
        let known = NearNames::of(["100", "600"].into_iter());
        says!(
            known.words("600.0"),
            "\"600\" is the same number written otherwise"
        );
    }

    #[test]
    fn letters_that_look_like_digits_are_told_once() {
        for (a, b, told) in [
            ("R-01", "R-O1", 1),
            ("TH-1l", "TH-11", 1),
            ("R-01", "r-01", 1),
            ("PL-1", "P-11", 0),
            ("R-01", "R-Q1", 0),
        ] {
            let mut warnings = Vec::new();
            warn(&[a, b], "instruments", &OF_INSTRUMENTS, &mut warnings);
            assert_eq!(warnings.len(), told, "{a} {b}");
        }
    }
}
