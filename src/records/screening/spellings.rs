/*! One spelling for points that state the same amount: 10 mV and 10000 µV, 100 and 100.00.

Points that the program builds are written as it writes them. Those of a column of points are a
laboratory's own names, and 2.1 may stand beside 2.10: they are joined only where no day has both. */

use crate::records::Warning;
use crate::records::cells::batch::Batch;
use crate::records::cells::number::Number;
use crate::records::cells::unit::Unit;
use crate::records::load::names::Names;
use crate::words::and_more;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// Item, words before the amount, the quantity of its unit, and the amount in that quantity's plain
/// unit.
type Key = (String, String, String, u64);

/// Gives the points of an item that were built from columns the shortest of their spellings. It
/// goes by the item's own rows alone, so that who reads those alone finds the same. Points of a column of
/// theirs get the first spelling, by which the books know them, and that is told.
pub(crate) fn settle(batches: &mut [Batch]) -> Option<Warning> {
    settle_built(batches);
    settle_stated(batches)
}

fn settle_built(batches: &mut [Batch]) {
    let mut spellings: BTreeMap<Key, BTreeSet<(usize, String)>> = BTreeMap::new();
    for batch in batches.iter().filter(|batch| batch.builds_points) {
        for (item, point) in batch.names.iter() {
            if let Some(key) = key(item, point) {
                let own = spellings.entry(key).or_default();
                own.insert((point.len(), point.to_string()));
            }
        }
    }
    let mut present: HashMap<(String, String), String> = HashMap::new();
    for ((item, ..), own) in spellings {
        let mut own = own.into_iter().map(|(_, text)| text);
        let shortest = own.next().unwrap_or_default();
        present.extend(own.map(|text| ((item.clone(), text), shortest.clone())));
    }
    if !present.is_empty() {
        let built = batches.iter_mut().filter(|batch| batch.builds_points);
        built.for_each(|batch| rename(batch, &present));
    }
}

fn settle_stated(batches: &mut [Batch]) -> Option<Warning> {
    let spellings = stated_spellings(batches);
    let mut present: HashMap<(String, String), String> = HashMap::new();
    let mut told: Vec<String> = Vec::new();
    for ((item, ..), own) in &spellings {
        let days = own.values().map(BTreeSet::len).sum();
        let all: BTreeSet<i64> = own.values().flatten().copied().collect();
        if all.len() < days {
            continue;
        }
        // What the books know the point by.
        let Some((first, _)) = own.iter().min_by_key(|(_, days)| days.first()) else {
            continue;
        };
        for other in own.keys().filter(|other| *other != first) {
            told.push(format!("{item}: \"{other}\" as \"{first}\""));
            present.insert((item.clone(), other.clone()), first.clone());
        }
    }
    let first = told.first()?;
    let words = format!(
        "points that state one number in two ways, never on one day, are read as one: {first}{}",
        and_more(told.len() - 1)
    );
    batches.iter_mut().for_each(|batch| rename(batch, &present));
    Some(Warning::new("", words))
}

/// The days of each spelling of an amount that points of an item spell in several ways.
fn stated_spellings(batches: &[Batch]) -> BTreeMap<Key, BTreeMap<String, BTreeSet<i64>>> {
    let names = || batches.iter().flat_map(|batch| batch.names.iter());
    let several = spelt_in_several_ways(names().map(|(_, point)| point));
    let amount = |item: &str, point: &str| {
        let spelt = several.contains(point).then_some(point)?;
        amount_of(item, spelt)
    };
    let mut spellings: BTreeMap<Key, BTreeMap<String, BTreeSet<i64>>> = BTreeMap::new();
    for (item, point) in names() {
        if let Some(key) = amount(item, point) {
            let own = spellings.entry(key).or_default();
            own.entry(point.to_string()).or_default();
        }
    }
    spellings.retain(|_, own| own.len() > 1);
    if spellings.is_empty() {
        return spellings;
    }
    for batch in batches {
        let stated = |(item, point): (&str, &str)| {
            let key = amount(item, point).filter(|key| spellings.contains_key(key))?;
            Some((key, point.to_string()))
        };
        let keys: Vec<Option<(Key, String)>> = batch.names.iter().map(stated).collect();
        for (code, date) in batch.code.iter().zip(&batch.columns.date) {
            let stated = keys.get(*code as usize).and_then(Option::as_ref);
            let days = stated.and_then(|(key, point)| spellings.get_mut(key)?.get_mut(point));
            if let Some(days) = days {
                days.insert(date.floor() as i64);
            }
        }
    }
    spellings
}

/// The points whose amount another point, of whatever item, spells otherwise. Of many items the points
/// are few.
fn spelt_in_several_ways<'a>(points: impl Iterator<Item = &'a str>) -> HashSet<&'a str> {
    let points: HashSet<&str> = points.collect();
    let mut by_amount: HashMap<Key, Vec<&str>> = HashMap::new();
    for point in points {
        if let Some(key) = amount_of("", point) {
            by_amount.entry(key).or_default().push(point);
        }
    }
    let several = by_amount.into_values().filter(|own| own.len() > 1);
    several.flatten().collect()
}

/// What a point of an item states, with a unit or without.
fn amount_of(item: &str, point: &str) -> Option<Key> {
    key(item, point).or_else(|| bare(item, point))
}

/// The number that a point is.
fn bare(item: &str, point: &str) -> Option<Key> {
    let number = Number::parse(point, false).ok()?;
    let bits = number.value.to_bits();
    Some((item.to_string(), String::new(), String::new(), bits))
}

fn rename(batch: &mut Batch, present: &HashMap<(String, String), String>) {
    let mut names = Names::default();
    let own = batch.names.iter().map(|(item, point)| {
        let known = present.get(&(item.to_string(), point.to_string()));
        names.code(item, known.map_or(point, String::as_str))
    });
    let codes: Vec<u32> = own.collect();
    for code in &mut batch.code {
        *code = codes[*code as usize];
    }
    batch.names = names;
}

/// What the last two words of a point state, as the program writes them.
fn key(item: &str, point: &str) -> Option<Key> {
    let (rest, unit) = point.rsplit_once(' ')?;
    let (before, number) = rest.rsplit_once(' ').unwrap_or(("", rest));
    let unit = Unit::parse(unit)?;
    let plain = Number::parse(number, false).ok()?.scaled(unit.power);
    let quantity = format!("{:?}", unit.quantity);
    Some((
        item.to_string(),
        before.to_string(),
        quantity,
        plain.value.to_bits(),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_amount_has_one_spelling_and_others_keep_theirs() {
        let mut names = Names::default();
        let points = ["10 mV", "10000 µV", "DCV 10 mV", "20 °C", "293.15 K", "A"];
        let code = points.map(|point| names.code("G-1", point));
        let mut batches = [Batch {
            code: [code.as_slice(), &code[..1]].concat(),
            names,
            builds_points: true,
            ..Batch::default()
        }];
        assert_eq!(settle(&mut batches), None);
        let [batch] = &batches;
        let found: Vec<&str> = batch
            .code
            .iter()
            .map(|code| batch.names.get(*code).1)
            .collect();
        let expected = [
            "10 mV",
            "10 mV",
            "DCV 10 mV",
            "20 °C",
            "293.15 K",
            "A",
            "10 mV",
        ];
        assert_eq!(found, expected);
    }

    /// Points of G-1 as they come out, the rows dated day by day as given.
    fn points(rows: &[(&str, f64)]) -> (Vec<String>, Option<Warning>) {
        let mut names = Names::default();
        let code = rows.iter().map(|(point, _)| names.code("G-1", point));
        let code = code.collect();
        let mut batch = Batch {
            code,
            names,
            ..Batch::default()
        };
        batch.columns.date = rows.iter().map(|(_, day)| *day).collect();
        let mut batches = [batch];
        let told = settle(&mut batches);
        let [batch] = &batches;
        let point = |code: &u32| batch.names.get(*code).1.to_string();
        (batch.code.iter().map(point).collect(), told)
    }

    /// A monthly export that began to write decimals made a second history of each point.
    #[test]
    fn a_number_written_otherwise_from_a_day_on_is_the_same_point() {
        let (found, told) = points(&[("100", 1.0), ("100", 2.0), ("100.00", 3.25)]);
        assert_eq!(found, ["100"; 3]);
        says!(told.unwrap().words, "G-1: \"100.00\" as \"100\"");
        let (found, _) = points(&[
            ("0.1 V", 1.0),
            ("100 mV", 2.0),
            ("0.10 V", 3.0),
            ("0.1 V", 4.0),
        ]);
        assert_eq!(found, ["0.1 V"; 4]);
    }

    /// Clauses of a procedure: 2.1 and 2.10 are two of them.
    #[test]
    fn numbers_that_stand_beside_each_other_on_a_day_stay_two_points() {
        let (found, told) = points(&[("2.1", 1.0), ("2.10", 1.5), ("2.1", 2.0)]);
        assert_eq!(
            (found, told),
            (vec!["2.1".into(), "2.10".into(), "2.1".into()], None)
        );
    }
}
