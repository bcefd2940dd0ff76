/*! Who is in a class with whom.

A class is all histories with the same group, unit and point. Where a group has fewer
than three histories at a point, its rare points of one unit share a class (gauge blocks:
every block its own length).

Where no group is stated nobody has said that two instruments are alike. Those lend to each
other only whose unit, point and limits agree and whose u differ by less than a factor of
three; those that state no u lend to those that state none.
*/

use crate::records::{Histories, History, Item};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Fewer histories than this at one point of a group: the point joins the group's others.
const FEW: usize = 3;

/// Instruments without a group whose u differ by this factor do not lend to each other. Our own
/// choice, no source.
const UNLIKE: f64 = 3.0;

/// Limits of an item, to the last bit.
type Limits = Option<[u64; 2]>;

/// By what a history is told to belong to a class, beside its u.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub(crate) struct ClassKey {
    group: String,
    unit: String,
    /// `None`: the points that are rare in the group.
    point: Option<String>,
    /// Where no group is stated.
    limits: Limits,
}

/// A class among others of its key.
pub(crate) struct Members {
    pub key: ClassKey,
    /// The smallest u of its members, where no group is stated; NaN where none is.
    pub least_u: f64,
    pub members: Vec<u32>,
}

impl ClassKey {
    /// In words, for messages.
    pub(crate) fn words(&self) -> String {
        let point = match self.point.as_deref() {
            None => "its rare points".into(),
            Some("") => "no point".into(),
            Some(point) => format!("point {point}"),
        };
        match self.group.as_str() {
            "" => {
                let limits = self.limits.map(|bits| bits.map(f64::from_bits));
                let limits = limits.map_or("no limits".into(), |[lower, upper]| {
                    format!("limits {lower} … {upper}")
                });
                format!("no group, {point}, unit \"{}\", {limits}", self.unit)
            }
            group => format!("group \"{group}\", {point}, unit \"{}\"", self.unit),
        }
    }

    /// The keys of the classes to which `item` may belong, the nearest first.
    pub(crate) fn of(item: &Item) -> Vec<Self> {
        let (group, unit) = (item.group.clone(), item.unit.clone());
        let own = Self {
            limits: limits(item).filter(|_| group.is_empty()),
            point: Some(item.point.clone()),
            group,
            unit,
        };
        let rare = (!own.group.is_empty()).then(|| Self {
            point: None,
            ..own.clone()
        });
        std::iter::once(own).chain(rare).collect()
    }
}

/// What tells the class of `history`, in words.
pub(crate) fn class_words(history: &History<'_>) -> String {
    let own = ClassKey::of(history.item);
    let words = own.first().map_or(String::new(), ClassKey::words);
    match (history.item.group.is_empty(), typical_u(history)) {
        (false, _) => words,
        (true, u) if u.is_nan() => format!("{words}, no u"),
        (true, u) => format!("{words}, u about {u}"),
    }
}

/// The place of the class of `history` among those of one key, by the least u of each, ascending;
/// `None` where its u is like that of none.
pub(crate) fn place_by_u(history: &History<'_>, least: &[f64]) -> Option<usize> {
    if !history.item.group.is_empty() {
        return (!least.is_empty()).then_some(0);
    }
    let u = typical_u(history);
    let place = least.partition_point(|least| least.total_cmp(&u).is_le());
    let place = place.checked_sub(1)?;
    joins(least[place], u).then_some(place)
}

/// True where a history of this u is like one of the `least`.
fn joins(least: f64, u: f64) -> bool {
    u < UNLIKE * least || u.to_bits() == least.to_bits()
}

/// Class of each history, and the members of each class, in order of first appearance
/// by (group, unit, point).
pub(crate) fn group(histories: &Histories) -> (Vec<u32>, Vec<Vec<u32>>) {
    let classes = classes(histories);
    let mut of = vec![0; histories.len()];
    for (class, found) in classes.iter().enumerate() {
        for &member in &found.members {
            of[member as usize] = class as u32;
        }
    }
    let members = classes.into_iter().map(|found| found.members);
    (of, members.collect())
}

/// The classes in that order, each with what tells it from the others.
pub(crate) fn classes(histories: &Histories) -> Vec<Members> {
    type Key<'a> = (&'a str, &'a str, &'a str);
    let mut by_point: BTreeMap<Key<'_>, Vec<u32>> = BTreeMap::new();
    for (index, item) in histories.items.iter().enumerate() {
        let key = (&*item.group, &*item.unit, &*item.point);
        by_point.entry(key).or_default().push(index as u32);
    }
    let mut classes: Vec<Members> = Vec::new();
    let mut rare: BTreeMap<(&str, &str), Vec<u32>> = BTreeMap::new();
    let class = |(group, unit): (&str, &str), point: Option<&str>, members| Members {
        key: ClassKey {
            group: group.to_string(),
            unit: unit.to_string(),
            point: point.map(str::to_string),
            limits: None,
        },
        least_u: f64::NAN,
        members,
    };
    for ((group, unit, point), members) in by_point {
        if group.is_empty() {
            let of_point = class((group, unit), Some(point), Vec::new());
            classes.extend(alike(histories, members, &of_point.key));
        } else if members.len() >= FEW {
            classes.push(class((group, unit), Some(point), members));
        } else {
            rare.entry((group, unit)).or_default().extend(members);
        }
    }
    classes.extend(
        rare.into_iter()
            .map(|(of, members)| class(of, None, members)),
    );
    classes
}

fn limits(item: &Item) -> Limits {
    let tolerance = item.tolerance?;
    Some([tolerance.lower().to_bits(), tolerance.upper().to_bits()])
}

/// Members of no stated group that are alike in limits and u.
fn alike(histories: &Histories, members: Vec<u32>, of_point: &ClassKey) -> Vec<Members> {
    let mut by_limits: BTreeMap<Limits, Vec<(f64, u32)>> = BTreeMap::new();
    for member in members {
        let history = histories.get(member as usize);
        let own = by_limits.entry(limits(history.item)).or_default();
        own.push((typical_u(&history), member));
    }
    let classes = by_limits.into_iter().flat_map(|(limits, members)| {
        let class = move |(least_u, members)| Members {
            key: ClassKey {
                limits,
                ..of_point.clone()
            },
            least_u,
            members,
        };
        by_u(members).into_iter().map(class)
    });
    classes.collect()
}

/// Members in classes within which u differs by less than a factor of three, with the least u of each.
fn by_u(mut members: Vec<(f64, u32)>) -> Vec<(f64, Vec<u32>)> {
    members.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut classes: Vec<(f64, Vec<u32>)> = Vec::new();
    for (u, member) in members {
        match classes.last_mut() {
            Some((least, class)) if joins(*least, u) => class.push(member),
            _ => classes.push((u, vec![member])),
        }
    }
    for (_, class) in &mut classes {
        class.sort_unstable();
    }
    classes
}

/// Median of the u that a history states; NaN where it states none.
fn typical_u(history: &History<'_>) -> f64 {
    let mut stated: Vec<f64> = history
        .u
        .iter()
        .copied()
        .filter(|u| u.is_finite())
        .collect();
    let middle = stated.len().saturating_sub(1) / 2;
    match stated.is_empty() {
        true => f64::NAN,
        false => *stated.select_nth_unstable_by(middle, f64::total_cmp).1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::{Record, fleet};

    /// Records of ±1 with these u, in no group.
    fn ungrouped(us: &[f64]) -> Histories {
        let record = |_: &f64| Record::new().check(0.0, 0.0).check(365.0, 0.1);
        let mut all = fleet(us.iter().map(record));
        let stated = us.iter().flat_map(|u| [*u, *u]);
        all.columns.u = stated.collect();
        for item in &mut all.items {
            item.group = "".into();
        }
        all
    }

    #[test]
    fn without_a_group_only_like_u_lend_to_each_other() {
        let all = ungrouped(&[0.1, 20.0, 0.29, 0.31, f64::NAN, f64::NAN, 0.0, 0.0]);
        let (of, classes) = group(&all);
        assert_eq!(
            classes,
            [vec![6, 7], vec![0, 2], vec![3], vec![1], vec![4, 5]]
        );
        assert_eq!(of, [1, 3, 1, 2, 4, 4, 0, 0]);
    }

    #[test]
    fn without_a_group_only_like_limits_lend_to_each_other() {
        let mut all = ungrouped(&[0.1; 4]);
        all.items[1].tolerance = crate::records::Tolerance::new(-2.0, 2.0);
        all.items[3].tolerance = None;
        let (_, classes) = group(&all);
        assert_eq!(classes, [vec![3], vec![0, 2], vec![1]]);
        // In a group that is stated they do, whatever their limits and u.
        for item in &mut all.items {
            item.group = "gauges".into();
        }
        assert_eq!(group(&all).1, [vec![0, 1, 2, 3]]);
    }
}
