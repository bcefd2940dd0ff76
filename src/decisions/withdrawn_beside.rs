/*! An instrument of which another point must not be used: a value, a reading or a longer interval at this one does
not tell that it may be. */

use crate::records::Item;

/// What is said of history `index` where other points of its instrument are withdrawn, as `withdrawn` tells of each
/// history; `None` where none is. The points of an instrument stand beside each other among `items`.
pub(crate) fn withdrawn_beside(
    items: &[Item],
    index: usize,
    withdrawn: impl Fn(usize) -> bool,
) -> Option<String> {
    let item = items.get(index)?;
    let own = |other: &usize| items[*other].instrument == item.instrument;
    let before = (0..index).rev().take_while(own).collect::<Vec<_>>();
    let others = before.into_iter().rev();
    let others = others.chain((index + 1..items.len()).take_while(own));
    let out: Vec<&str> = others
        .filter(|other| withdrawn(*other))
        .map(|other| items[other].point_name())
        .collect();
    (!out.is_empty()).then(|| {
        format!(
            "{} is withdrawn at {}; whether it may serve at {} alone a person decides",
            item.instrument,
            out.join(", "),
            item.point_name()
        )
    })
}
