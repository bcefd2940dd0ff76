/*! Cells of the column of instruments that name several of them: `PRT-1 / PRT-2`. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;
use crate::records::several_names::{may_be_several, several_names};
use crate::words::quoted_list;
use std::collections::BTreeSet;

/// Asks about a name that is several of the others at once: its checks would be of an instrument of their own, and
/// missing among those of each.
pub(crate) fn about_several_items(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let items = guess.sample(samples, Column::Instrument)?;
    let names: BTreeSet<&str> = items.values().collect();
    let known = |name: &str| names.contains(name);
    let several = names.iter().filter(|name| may_be_several(name));
    let mut found = several.filter_map(|name| Some((*name, several_names(name, known)?)));
    let (name, parts) = found.next()?;
    let more = match found.count() {
        0 => String::new(),
        more => format!(" So do {more} more."),
    };
    let words = format!(
        "\"{name}\" in \"{}\" seems to name several instruments ({}), and is read as one of its own, so that its checks are missing among theirs.{more} Write a row for each of them.",
        items.header,
        quoted_list(&parts)
    );
    let doubt = Doubt::new("several_items", words).or("it is one instrument", Answer::AsTaken);
    Some(doubt)
}
