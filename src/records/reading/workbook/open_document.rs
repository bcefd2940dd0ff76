/*! What the reader of .ods workbooks does not tell: cells merged over several rows, numbers shown
in per cent, cells struck out, and how much room the repeated cells of a sheet take.

Tags and attributes: OpenDocument 1.2, part 1, 9.1 and 19.385 on; 19.637, 19.675, 19.678; of text struck out
20.361 and 20.363.
*/

use calamine::{Data, Dimensions};
use std::collections::HashSet;

/// A sheet's layout.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Layout {
    pub merged: Vec<Dimensions>,
    /// Row and column of the cells that show their number in per cent.
    pub percent: HashSet<(u32, u32)>,
    /// Row and column of filled cells whose text is struck out, in order.
    pub struck: Vec<(u32, u32)>,
    /// Bytes that its cells take when all repeats are written out.
    pub room: u64,
}

/// Where a scan of a sheet stands.
#[derive(Default)]
struct Place {
    row: u64,
    /// How often the row stands.
    rows: u64,
    column: u64,
    /// Columns up to the last filled cell, and rows up to the last filled row.
    width: u64,
    height: u64,
}

impl Place {
    /// Row and column of the cell.
    fn cell(&self) -> (u32, u32) {
        (self.row.min(ROWS) as u32, self.column.min(ROWS) as u32)
    }
}

/// Most rows and columns that any sheet has.
const ROWS: u64 = 1_048_576;
const COLUMNS: u64 = 16_384;

/// Bytes of a cell that is read.
const CELL: u64 = size_of::<Data>() as u64;

/// The layouts of the sheets of a content.xml, in order.
pub(super) fn layouts(content: &str) -> Vec<Layout> {
    let mut layouts: Vec<Layout> = Vec::new();
    let mut place = Place::default();
    // The styles stand before the sheets, each with what its text looks like.
    let mut style = "";
    let mut striking: HashSet<&str> = HashSet::new();
    for (tag, from, behind) in tags(content) {
        let name = tag.split(char::is_whitespace).next().unwrap_or("");
        let count = |attribute: &str| {
            let stated = attribute_of(tag, attribute).and_then(|text| text.parse().ok());
            stated.unwrap_or(1_u64).max(1)
        };
        match (name.trim_end_matches('/'), layouts.last_mut()) {
            ("style:style", _) => style = attribute_of(tag, "style:name").unwrap_or(""),
            ("style:text-properties", _) if strikes(tag) => {
                striking.insert(style);
            }
            ("table:table", _) => {
                layouts.push(Layout::default());
                place = Place::default();
            }
            ("/table:table", Some(layout)) => {
                layout.room = layout
                    .room
                    .saturating_add(CELL * place.width * place.height);
            }
            ("table:table-row", _) => {
                place.rows = count("table:number-rows-repeated").min(ROWS);
                place.column = 0;
                // A row without an end has no cells.
                if tag.ends_with('/') {
                    place.row += place.rows;
                }
            }
            ("/table:table-row", _) => place.row += place.rows,
            ("table:table-cell" | "table:covered-table-cell", Some(layout)) => {
                let repeats = count("table:number-columns-repeated").min(COLUMNS);
                if holds(tag) {
                    place.width = place.width.max(place.column + repeats).min(COLUMNS);
                    place.height = (place.row + place.rows).min(ROWS);
                    let text = content[behind..].find("</table:").unwrap_or(0) as u64;
                    let room = (text + (behind - from) as u64) * repeats;
                    // Each row that stands in the file is kept with its repeated cells.
                    let kept = CELL * (place.column + repeats);
                    layout.room = layout.room.saturating_add(room * place.rows + kept);
                    layout.note(tag, &place, repeats, &count);
                    let style = attribute_of(tag, "table:style-name");
                    if style.is_some_and(|style| striking.contains(style)) {
                        layout.struck.push(place.cell());
                    }
                }
                place.column += repeats;
            }
            _ => {}
        }
    }
    layouts
}

impl Layout {
    fn note(&mut self, tag: &str, place: &Place, repeats: u64, count: &dyn Fn(&str) -> u64) {
        let (row, column) = place.cell();
        let down = count("table:number-rows-spanned").min(ROWS) as u32;
        if down > 1 {
            let right = count("table:number-columns-spanned").min(COLUMNS) as u32;
            let end = (row + down - 1, column + right - 1);
            self.merged.push(Dimensions::new((row, column), end));
        }
        /// Cells in per cent that are remembered; more than a sheet of checks has.
        const MOST: usize = 10_000_000;
        if attribute_of(tag, "office:value-type") == Some("percentage") {
            let cells =
                (0..place.rows).flat_map(|down| (0..repeats).map(move |right| (down, right)));
            let room = MOST.saturating_sub(self.percent.len());
            let cells = cells.take(room);
            self.percent
                .extend(cells.map(|(down, right)| (row + down as u32, column + right as u32)));
        }
    }
}

/// True for the look of a text that is struck out.
fn strikes(tag: &str) -> bool {
    let drawn = |name: &str| attribute_of(tag, name).is_some_and(|line| line != "none");
    drawn("style:text-line-through-style") || drawn("style:text-line-through-type")
}

/// True for a cell that holds something.
fn holds(tag: &str) -> bool {
    [
        "office:value-type",
        "table:formula",
        "table:number-rows-spanned",
    ]
    .iter()
    .any(|attribute| attribute_of(tag, attribute).is_some())
}

/// The tags of a text between their brackets, each with where it begins and what is behind it;
/// comments and the like are passed over.
fn tags(text: &str) -> impl Iterator<Item = (&str, usize, usize)> {
    let mut at = 0;
    std::iter::from_fn(move || {
        loop {
            let from = at + memchr::memchr(b'<', text.as_bytes().get(at..)?)?;
            let rest = &text[from..];
            let past = |end: &str| rest.find(end).map(|i| from + i + end.len());
            if rest.starts_with("<!--") {
                at = past("-->")?;
            } else if rest.starts_with("<![CDATA[") {
                at = past("]]>")?;
            } else {
                let end = from + end_of_tag(rest)?;
                at = end + 1;
                return Some((&text[from + 1..end], from, at));
            }
        }
    })
}

/// Where a tag ends: a bracket in a quoted value is none.
fn end_of_tag(tag: &str) -> Option<usize> {
    let mut quote = None;
    tag.bytes().position(|b| {
        match quote {
            None if b == b'"' || b == b'\'' => quote = Some(b),
            Some(open) if open == b => quote = None,
            _ => {}
        }
        quote.is_none() && b == b'>'
    })
}

/// The value of an attribute in a tag.
fn attribute_of<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let mut rest = tag.split_once(char::is_whitespace)?.1;
    loop {
        let (key, value) = rest.split_once('=')?;
        let value = value.trim_start();
        let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''))?;
        let (value, behind) = value[1..].split_once(quote)?;
        if key.trim() == name {
            return Some(value);
        }
        rest = behind;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn merged_cells_and_per_cent_are_found_behind_repeats() {
        let content = "<a><!-- <table:table> --><table:table table:name='x>y'>\
            <table:table-row table:number-rows-repeated=\"3\"><table:table-cell/></table:table-row>\
            <table:table-row><table:table-cell table:number-columns-repeated='2'/>\
            <table:table-cell table:number-rows-spanned=\"4\" table:number-columns-spanned=\"1\" office:value-type=\"string\"><text:p>R-1</text:p></table:table-cell>\
            <table:table-cell office:value-type=\"percentage\" office:value=\"0.05\"><text:p>5 %</text:p></table:table-cell>\
            </table:table-row></table:table><table:table/></a>";
        let found = layouts(content);
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].merged, [Dimensions::new((3, 2), (6, 2))]);
        assert_eq!(found[0].percent, HashSet::from([(3, 3)]));
        assert!(found[0].room < 2_000, "{}", found[0].room);
    }

    /// A few hundred bytes that stand for a thousand million cells.
    #[test]
    fn repeats_are_counted_before_they_are_written_out() {
        let content = "<table:table><table:table-row table:number-rows-repeated=\"1048576\">\
            <table:table-cell table:number-columns-repeated=\"1024\" office:value-type=\"float\" office:value=\"1\"/>\
            </table:table-row></table:table>";
        assert!(layouts(content)[0].room > 10_000_000_000);
    }
}
