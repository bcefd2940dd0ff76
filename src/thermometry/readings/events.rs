/*! What was done to a thermometer before a reading, in the words of its laboratory. */

use super::columns::index_of;
use super::reading::ReadingFormat;
use crate::records::Event;
use crate::records::cells::field;
use crate::records::cells::row::said::spoken_of;
use crate::records::reading::table::Table;
use crate::words::and_more;

/// The event that a cell states: one of the own words, or of those of the trade; `None` where it is unknown.
pub(super) fn read(text: &str, format: &ReadingFormat) -> Option<Event> {
    let own = format.events.get(text).copied();
    own.or_else(|| field::event(text))
}

/// True where any word of a text tells of an event.
pub(super) fn speaks(text: &str) -> bool {
    spoken_of(text).event != Event::None
}

/// The event of which a text speaks, whether it can be read or not.
pub(super) fn spoken(text: &str, format: &ReadingFormat) -> Event {
    read(text, format).unwrap_or_else(|| spoken_of(text).event)
}

/// What is told of the events of a table: words of their column that are read as none, and notes that speak
/// of some where no column of events is read.
pub(super) fn told(table: &Table, format: &ReadingFormat) -> Vec<String> {
    let has = |name: &str| index_of(name).filter(|column| table.has(*column));
    let cells = |column: usize| {
        (0..table.len()).map(move |row| {
            let text = table.field(row, column).text().trim().to_string();
            (table.number(row), text)
        })
    };
    let listed = |found: Vec<(u32, String)>| {
        let (row, text) = found.first()?;
        Some(format!(
            "row {row}, \"{text}\"{}",
            and_more(found.len() - 1)
        ))
    };
    let told = match (has("event"), has("notes")) {
        (Some(events), _) => {
            let unknown = |(_, text): &(u32, String)| read(text, format).is_none() && !speaks(text);
            listed(cells(events).filter(unknown).collect()).map(|found| {
                format!("words that are read as no event: {found}; give them a meaning under thermometry.events")
            })
        }
        (None, Some(notes)) => {
            listed(cells(notes).filter(|(_, text)| speaks(text)).collect()).map(|found| {
                format!(
                    "notes tell of work done to thermometers, and no column of events is read: {found}. An anneal or a repair ends the drift before it: name the column under thermometry.columns, as event = \"its header\"; an event is what was done before the reading of its row"
                )
            })
        }
        (None, None) => None,
    };
    told.into_iter().collect()
}
