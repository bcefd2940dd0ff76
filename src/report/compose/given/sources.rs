/*! `sources`: what the items that saw several sources say of each. */

use crate::files::run_error::RunError;
use crate::records::{Given, SourceLine};
use crate::report::SectionView;
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use crate::report::text::with_minus_signs;
use crate::words::significant;

/// Writes `sources.csv` and `sources.parquet`; nothing where no class has several sources.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(given: Option<&Given>, to: TableFolder<'_>) -> Result<(), RunError> {
    let Some(given) = given.filter(|given| !given.lines.is_empty()) else {
        return Ok(());
    };
    to.write("sources", &table(&given.lines))
}

pub(crate) fn table(lines: &[SourceLine]) -> Table<'_> {
    RowTable::of(lines)
        .text("group", |line| &line.group)
        .text("unit", |line| &line.unit)
        .text("source", |line| &line.source)
        .about("empty: not stated")
        .count("items", |line| line.items)
        .count("readings", |line| line.readings)
        .number("offset", |line| line.offset)
        .about("of its readings, about the mean of the sources that it can be compared with; empty: no item saw it and another often enough to tell it from drift")
        .number("u_offset", |line| line.u_offset)
        .number("between_sources", |line| line.between)
        .about("standard deviation of a random laboratory effect; part of the u of every true error of the class")
        .count("readings_moved", |line| line.moved)
        .about("brought to the level of a later source of their items")
        .done()
}

/// The sources on the index and in the summary; `None` where no class has several.
pub(crate) fn section(given: Option<&Given>) -> Option<SectionView> {
    let lines = &given.filter(|given| !given.lines.is_empty())?.lines;
    let figure = |value: f64, unit: &str| match value.is_nan() {
        true => "cannot be told from drift".to_string(),
        false => format!("{} {unit}", with_minus_signs(&significant(value, 3))),
    };
    let row = |line: &SourceLine| {
        let source = match line.source.as_str() {
            "" => "not stated",
            name => name,
        };
        vec![
            line.group.clone(),
            source.to_string(),
            line.items.to_string(),
            line.readings.to_string(),
            figure(line.offset, &line.unit),
            figure(line.u_offset, &line.unit),
            figure(line.between, &line.unit),
            line.moved.to_string(),
        ]
    };
    let words = "A laboratory, reference or certificate that gave readings may be off by an amount of its own. It is told by the items that saw several of them, each beside its own drift; readings of earlier sources are brought to the level of each item's latest, and by how much sources differ is part of the uncertainty of every true error.";
    Some(SectionView::of("Sources of the readings", [words]).table(
        "class | source | items | readings | offset | u | between sources | readings moved",
        lines.iter().map(row),
    ))
}
