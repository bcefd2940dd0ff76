/*! Limits on both sides in one column, by the sign in its header or its cells. */

use crate::records::cells::limits::allowed::{centred, two_sided, two_values};
use crate::records::guess::headers::Headers;
use crate::records::guess::sample::Sample;
use crate::records::guess::values::unread::limits::{BOTH_SIDES, names_limit};
use crate::records::words::limit_words;

/// A limit whose header says that it holds on both sides, `Grenze ±`, or whose cells have two: `-0.1 … 0.2`.
pub(super) fn both_sides(
    samples: &[Sample],
    headers: &Headers,
    fits: impl Fn(&usize) -> bool,
) -> Option<(usize, &'static str)> {
    let says = |i: usize| {
        let sign = |sign: &&str| samples[i].header.contains(*sign);
        let sample = &samples[i];
        let two = || {
            sample.values().next().is_some()
                && sample.mostly(|v| two_sided(v).or_else(|| two_values(v)).is_some())
        };
        BOTH_SIDES.iter().any(sign) || two()
    };
    let name = |i: usize| {
        let mut names = limit_words("names").iter().map(String::as_str);
        let bare = headers.folded(i).is_empty().then_some("±");
        bare.or_else(|| names.find(|name| *name == headers.folded(i)))
    };
    // The names are looked at first: cells may be many.
    let by_name = (0..samples.len())
        .filter_map(|i| Some((i, name(i)?)))
        .find(|(i, _)| says(*i) && fits(i));
    // Cells with ± below any header of a limit say it too, where no other column does.
    let signed = |i: &usize| {
        let on_both = |text: &str| BOTH_SIDES.iter().any(|sign| text.starts_with(sign));
        let sample = &samples[*i];
        names_limit(&sample.header) && sample.values().next().is_some() && sample.mostly(on_both)
    };
    let mut by_cells = (0..samples.len()).filter(|i| signed(i) && fits(i));
    let lone = by_cells.next().filter(|_| by_cells.next().is_none());
    // A value with what is allowed about it below a header of limits: `Sollwert mit Grenzen`.
    let about = |i: &usize| {
        let sample = &samples[*i];
        let cells = || sample.values().next().is_some() && sample.mostly(|v| centred(v).is_some());
        names_limit(&sample.header) && cells()
    };
    let centre = || (0..samples.len()).find(|i| about(i) && fits(i));
    let found = by_name.or_else(|| lone.map(|i| (i, "±")));
    found.or_else(|| centre().map(|i| (i, "±")))
}
