/*! Who is in a class with whom.

A class is all histories with the same group, unit and point. Where a group has fewer
than three histories at a point, its rare points of one unit share a class (gauge blocks:
every block its own length).

Where no group is stated nobody has said that two instruments are alike. Those lend to each
other only whose unit, point and limits agree and whose u differ by less than a factor of
three; those that state no u lend to those that state none.
*/

use crate::records::{Histories, History};
use std::collections::BTreeMap;

/// Fewer histories than this at one point of a group: the point joins the group's others.
const FEW: usize = 3;

/// Instruments without a group whose u differ by this factor do not lend to each other. Our own
/// choice, no source.
const UNLIKE: f64 = 3.0;

/// Class of each history, and the members of each class, in order of first appearance
/// by (group, unit, point).
pub(crate) fn group(histories: &Histories) -> (Vec<u32>, Vec<Vec<u32>>) {
    type Key<'a> = (&'a str, &'a str, &'a str);
    let mut by_point: BTreeMap<Key<'_>, Vec<u32>> = BTreeMap::new();
    for (index, item) in histories.items.iter().enumerate() {
        let key = (&*item.group, &*item.unit, &*item.point);
        by_point.entry(key).or_default().push(index as u32);
    }
    let mut classes: Vec<Vec<u32>> = Vec::new();
    let mut rare: BTreeMap<(&str, &str), Vec<u32>> = BTreeMap::new();
    for ((group, unit, _), members) in by_point {
        if group.is_empty() {
            classes.extend(alike(histories, members));
        } else if members.len() >= FEW {
            classes.push(members);
        } else {
            rare.entry((group, unit)).or_default().extend(members);
        }
    }
    classes.extend(rare.into_values());
    let mut of = vec![0; histories.len()];
    for (class, members) in classes.iter().enumerate() {
        for &member in members {
            of[member as usize] = class as u32;
        }
    }
    (of, classes)
}

/// Members of no stated group that are alike in limits and u.
fn alike(histories: &Histories, members: Vec<u32>) -> Vec<Vec<u32>> {
    let mut by_limits: BTreeMap<Option<[u64; 2]>, Vec<(f64, u32)>> = BTreeMap::new();
    for member in members {
        let history = histories.get(member as usize);
        let limits = history
            .item
            .tolerance
            .map(|t| [t.lower().to_bits(), t.upper().to_bits()]);
        let own = by_limits.entry(limits).or_default();
        own.push((typical_u(&history), member));
    }
    by_limits.into_values().flat_map(by_u).collect()
}

/// Members in classes within which u differs by less than a factor of three.
fn by_u(mut members: Vec<(f64, u32)>) -> Vec<Vec<u32>> {
    members.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut classes: Vec<(f64, Vec<u32>)> = Vec::new();
    for (u, member) in members {
        match classes.last_mut() {
            Some((least, class)) if u < UNLIKE * *least || u.to_bits() == least.to_bits() => {
                class.push(member);
            }
            _ => classes.push((u, vec![member])),
        }
    }
    let in_order = |(_, mut class): (f64, Vec<u32>)| {
        class.sort_unstable();
        class
    };
    classes.into_iter().map(in_order).collect()
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
    use crate::intervals::testing::{Record, fleet};

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
