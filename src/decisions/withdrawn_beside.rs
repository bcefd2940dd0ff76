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
    withdrawn_points(items, others, withdrawn).map(|words| {
        format!(
            "{words}; whether it may serve at {} alone a person decides",
            item.point_name()
        )
    })
}

/// "PG-3 is withdrawn at 5 bar": what is said of an instrument that is `withdrawn` at some of its points, which stand at
/// `places` among `items`; `None` where none is.
pub(crate) fn withdrawn_points(
    items: &[Item],
    places: impl Iterator<Item = usize>,
    withdrawn: impl Fn(usize) -> bool,
) -> Option<String> {
    let out: Vec<usize> = places.filter(|place| withdrawn(*place)).collect();
    let instrument = &items.get(*out.first()?)?.instrument;
    let points: Vec<&str> = out.iter().map(|place| items[*place].point_name()).collect();
    Some(format!(
        "{instrument} is withdrawn at {}",
        points.join(", ")
    ))
}
