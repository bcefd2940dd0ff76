/*! One spelling for points that state the same amount in two units: 10 mV and 10000 µV. */

use crate::records::cells::batch::Batch;
use crate::records::cells::number::Number;
use crate::records::cells::unit::Unit;
use crate::records::load::names::Names;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Item, words before the amount, the quantity of its unit, and the amount in that quantity's plain
/// unit.
type Key = (String, String, String, u64);

/// Gives the points of an item that were built from columns the shortest of their spellings. It
/// goes by the item's own rows alone, so that who reads those alone finds the same.
pub(crate) fn settle(batches: &mut [Batch]) {
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
        settle(&mut batches);
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
}
