/*! The table of raw readings: one row a reading of one thermometer in one session.

Every row becomes a [`RawReading`] or a [`RejectedReading`] with its reason; nothing
is dropped silently. Columns that a file does not have are simply not stated. Files are
read as all tables are: CSV of any usual delimiter, decimal sign and encoding, or Parquet.
*/

mod columns;
mod events;
mod not_read;
mod point;
mod reading;
mod row;
mod units;

pub(crate) use columns::{COLUMNS, wanted_columns};
pub(crate) use not_read::is_named;
pub(crate) use point::ReadingPoint;
pub(crate) use reading::{Cell, CellKind, RawReading, RawTable, ReadingFormat, RejectedReading};

use crate::records::reading::table::Table;
use crate::records::{Event, LoadError};
use row::Row;

/// The readings of a table that was read with [`wanted_columns`].
///
/// # Errors
/// A table with neither `ratio` nor `resistance_ohm`; a header with a unit that its column cannot be in.
pub(crate) fn read_table(table: &Table, format: &ReadingFormat) -> Result<RawTable, LoadError> {
    let has = |name: &str| columns::index_of(name).is_some_and(|i| table.has(i));
    if !has("ratio") && !has("resistance_ohm") {
        let own = match not_read::in_ohm(table) {
            Some(header) => format!("resistance_ohm = \"{header}\""),
            None => "resistance_ohm = \"its header\" or ratio = \"its header\"".into(),
        };
        let mut mend = format!("Name yours under [thermometry.columns], as {own}.");
        if let Some(unread) = table.unread() {
            mend += &format!(" Of this file, {}.", unread.words);
        }
        let what = "no column \"ratio\" or \"resistance_ohm\"";
        return Err(LoadError::new(&table.input.path, what, mend));
    }
    let scales = units::scales(table)?;
    let ragged = table.ragged.iter().map(|(row, why)| RejectedReading {
        file: 0,
        row: *row,
        column: "",
        value: String::new(),
        reason: why.clone(),
        session_cause: None,
        event: Event::None,
    });
    let mut readings = RawTable {
        readings: Vec::with_capacity(table.len()),
        rejected: ragged.collect(),
        told: Vec::new(),
    };
    for index in 0..table.len() {
        let row = Row {
            number: table.number(index),
            names_sessions: has("session"),
            scales: &scales,
            cells: std::array::from_fn(|column| table.field(index, column)),
            format,
        };
        match row.reading() {
            Ok(reading) => readings.readings.push(reading),
            Err(rejected) => readings.rejected.push(rejected),
        }
    }
    readings.told = events::told(table, format);
    readings.told.extend(not_read::told(table));
    Ok(readings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Delimiter;
    use crate::records::date::DateFormat;
    use crate::thermometry::testing::read_text;
    use std::collections::BTreeMap;

    fn read(text: &str) -> RawTable {
        read_text(text).unwrap()
    }

    #[test]
    fn a_row_with_everything_and_one_with_little() {
        let table = read(
            "session,instrument,date,ratio,resistor_ohm,current_ma,cell,cell_kind\n\
             S1,TH-1,2026-01-05T09:30,0.254796,100.0002,1,C1,small\n\
             S1,TH-1,2026-01-05,0.254796,100.0002,,,\n",
        );
        assert_eq!(table.readings.len(), 2);
        assert_eq!(table.readings[0].cell.kind, CellKind::SmallSlush);
        assert!(table.readings[1].current_ma.is_nan());
        near!(table.readings[0].date, 20_458.395_833_333, 1e-6);
    }

    #[test]
    fn every_bad_row_has_a_reason() {
        let table = read(
            "session,instrument,date,point,ratio,resistor_ohm,minutes_since_insertion,event,delta_deuterium\n\
             S1,TH-1,2026-01-05,,0,100,,,\n\
             S1,TH-1,2026-01-05,,0.25,100,-3,,\n\
             S1,TH-1,2026-01-05,lead,0.25,100,,,\n\
             S1,TH-1,2026-01-05,,0.25,,,,\n\
             S1,,2026-01-05,,0.25,100,,,\n\
             S1,TH-1,5.1.26,,0.25,100,,,\n\
             S1,TH-1,2026-01-05,,,100,,,\n\
             S1,TH-1,2026-01-05,,0.25,100,,to be annealed,\n\
             S1,TH-1,2026-01-05,,0.25,100,,,-60\n\
             S1,TH-1,2026-01-05,,NaN,100,,,\n",
        );
        let columns: Vec<_> = table.rejected.iter().map(|r| r.column).collect();
        assert_eq!(
            columns,
            [
                "ratio",
                "minutes_since_insertion",
                "point",
                "resistor_ohm",
                "instrument",
                "date",
                "ratio",
                "event",
                "delta_deuterium",
                "ratio"
            ]
        );
        assert!(table.readings.is_empty());
        assert!(table.rejected.iter().all(|r| !r.reason.is_empty()));
    }

    #[test]
    fn without_a_column_of_sessions_the_day_and_the_cell_are_one() {
        let table = read(
            "instrument,date,resistance_ohm,cell\n\
             TH-1,2026-01-05T09:30,25.5,C-1\n\
             TH-1,2026-01-05T09:31,25.5,C-1\n\
             TH-1,2026-01-06,25.5,\n",
        );
        let sessions: Vec<&str> = table.readings.iter().map(|r| r.session.as_str()).collect();
        assert_eq!(sessions, ["2026-01-05 C-1", "2026-01-05 C-1", "2026-01-06"]);
    }

    #[test]
    fn a_shared_part_beyond_the_whole_is_rejected() {
        let table = read(
            "instrument,date,resistance_ohm,u_ohm,u_common_ohm\n\
             TH-1,2026-01-05,25.5,6e-6,5e-6\n\
             TH-1,2026-01-06,25.5,6e-6,8e-6\n\
             TH-1,2026-01-07,25.5,,8e-6\n",
        );
        assert_eq!(table.readings.len(), 1);
        assert_eq!(table.readings[0].u_common_ohm, 5e-6);
        let columns: Vec<_> = table.rejected.iter().map(|r| r.column).collect();
        assert_eq!(columns, ["u_common_ohm", "u_common_ohm"]);
    }

    #[test]
    fn units_in_headers_count() {
        let headers = [
            ("resistance_ohm", "R [kΩ]"),
            ("u_ohm", "U (k=2) / mK"),
            ("current_ma", "I (A)"),
            ("depth_m", "Immersion (mm)"),
        ];
        let headers = headers.map(|(name, own)| (name.to_string(), own.to_string()));
        let headers = BTreeMap::from(headers);
        let columns = wanted_columns(&headers);
        let text = "instrument,date,R [kΩ],U (k=2) / mK,I (A),Immersion (mm)\n\
                    TH-1,2026-01-05,0.0255,0.12,0.001,265\n";
        let table = Table::of_text(text, "f.csv", &columns, Delimiter::Auto).unwrap();
        let format = ReadingFormat {
            coverage_factor: 2.0,
            ..ReadingFormat::default()
        };
        let read = read_table(&table, &format).unwrap();
        let one = &read.readings[0];
        assert_eq!(
            (one.resistance_ohm, one.current_ma, one.depth_m),
            (25.5, 1.0, 0.265)
        );
        // 0.06 mK at 25.5 Ω: dW/dT there is 3.9885285e-3 1/K (ITS-90, equation 10a).
        near!(one.u_ohm / (0.06e-3 * 25.5 * 0.003_988_528_5), 1.0, 1e-8);
        // The scatter of a mean is in the unit of the mean.
        let headers = BTreeMap::from([("resistance_ohm".to_string(), "R [kΩ]".to_string())]);
        let columns = wanted_columns(&headers);
        let text = "instrument,date,R [kΩ],readings,standard_deviation\nTH-1,2026-01-05,0.0255,8,0.000000002\n";
        let table = Table::of_text(text, "f.csv", &columns, Delimiter::Auto).unwrap();
        let read = read_table(&table, &ReadingFormat::default()).unwrap();
        assert_eq!(read.readings[0].deviation, 2e-6);
        let own = ("minutes_since_insertion", "waited (s)");
        let text = "instrument,date,resistance_ohm,waited (s)\nTH-1,2026-01-05,25.5,900\n";
        let why = read_as(text, own, &ReadingFormat::default()).unwrap_err();
        says!(why.to_string(), "is in s, which is no min");
        let headers = BTreeMap::from([("depth_m".to_string(), "Depth (K)".to_string())]);
        let columns = wanted_columns(&headers);
        let text = "instrument,date,resistance_ohm,Depth (K)\nTH-1,2026-01-05,25.5,3\n";
        let table = Table::of_text(text, "f.csv", &columns, Delimiter::Auto).unwrap();
        let why = read_table(&table, &ReadingFormat::default()).unwrap_err();
        says!(why.to_string(), "\"Depth (K)\"");
    }

    fn read_as(
        text: &str,
        own: (&str, &str),
        format: &ReadingFormat,
    ) -> Result<RawTable, LoadError> {
        let headers = BTreeMap::from([(own.0.to_string(), own.1.to_string())]);
        let columns = wanted_columns(&headers);
        let table = Table::of_text(text, "f.csv", &columns, Delimiter::Auto)?;
        read_table(&table, format)
    }

    #[test]
    fn own_headers_are_mapped_and_missing_ones_named() {
        let text = "Run,Probe,date,resistance_ohm\nS1,TH-1,2026-01-05,25.5\n";
        let plain = ReadingFormat::default();
        let table = read_as(text, ("instrument", "Probe"), &plain).unwrap();
        assert_eq!(table.readings[0].instrument, "TH-1");
        let error = read_text(text).unwrap_err().to_string();
        says!(error, "instrument");
        let error = read_as(
            "session,instrument,date\na,b,2026-01-05\n",
            ("cell", "date"),
            &plain,
        );
        says!(error.unwrap_err().to_string(), "resistance_ohm");
    }

    #[test]
    fn semicolons_decimal_commas_and_own_dates() {
        let format = ReadingFormat {
            decimal_comma: true,
            coverage_factor: 1.0,
            dates: DateFormat::from_setting("%d.%m.%Y %H:%M"),
            ..ReadingFormat::default()
        };
        let text = "session;instrument;date;Wert\nS1;TH-1;05.01.2026 09:30;25,5\nS1;TH-1;05.01.2026 09:31;25.5\n";
        let table = read_as(text, ("resistance_ohm", "Wert"), &format).unwrap();
        assert_eq!(table.readings[0].resistance_ohm, 25.5);
        near!(table.readings[0].date, 20_458.395_833_333, 1e-6);
        says!(table.rejected[0].reason, "decimal");
    }

    #[test]
    fn events_are_read_in_the_words_of_the_trade_and_of_the_laboratory() {
        let text = "instrument,date,resistance_ohm,event\nA,2020-01-05,25.5,Annealed\nA,2021-01-05,25.5,baked out\n\
                    A,2022-01-05,25.5,new cable\nA,2023-01-05,25.5,annealed 450 C\n";
        let format = ReadingFormat {
            events: BTreeMap::from([("baked out".to_string(), Event::Annealed)]),
            ..ReadingFormat::default()
        };
        let read = read_as(text, ("instrument", "instrument"), &format).unwrap();
        let events: Vec<&str> = read.readings.iter().map(|r| r.event.as_str()).collect();
        assert_eq!(events, ["annealed", "annealed", ""]);
        // Words that may mean "not" as well are a person's to read, and are not lost with their row.
        assert_eq!(read.rejected[0].event, Event::Annealed);
        says!(read.told[0], "row 4, \"new cable\"");
    }

    #[test]
    fn notes_that_tell_of_work_are_told_where_no_column_of_events_is_read() {
        let text = "instrument,date,resistance_ohm,notes\nA,2020-01-05,25.5,\nA,2021-01-05,25.5,annealed 450 C\n";
        let told = read(text).told;
        says!(told[0], "row 3, \"annealed 450 C\"");
        let with = text
            .replace("notes", "notes,event")
            .replace("25.5,", "25.5,,");
        assert_eq!(read(&with).told, Vec::<String>::new());
    }
}
