/*! Whatever a file holds, every row is accounted for and nothing panics. */

use crate::property_cases::cases;
use crate::records::Repeats;
use crate::records::{ChecksSettings, LoadError, Loaded, RegisterSettings, testing};
use proptest::prelude::*;

fn load_files(files: &[Vec<u8>], settings: &ChecksSettings) -> Result<Loaded, LoadError> {
    let names: Vec<String> = (0..files.len()).map(|i| format!("{i}.csv")).collect();
    let files: Vec<(&str, &Vec<u8>)> = names.iter().map(String::as_str).zip(files).collect();
    testing::load_files(&files, (settings, &RegisterSettings::default()))
}

/// A field that is right, wrong, empty or junk.
fn field() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "A",
            "B",
            "a ",
            "",
            " ",
            "2021-01-01",
            "2021-01-01T10:00",
            "2031-01-01",
            "0001-01-01",
            "1",
            "-1",
            "0.5",
            "1e3",
            "nan",
            "inf",
            "1,5",
            "\"q,\n\"\"q\"",
            "adjusted",
            "polished",
            "true",
            "mV",
            "V",
            "100 °C",
        ])
        .prop_map(str::to_string),
        "[ -~]{0,6}".prop_map(|s| s.replace(['"', ','], "")),
    ]
}

fn row() -> impl Strategy<Value = String> {
    let sound = (0..3, 0..3, 0..3, prop::bool::ANY).prop_map(|(name, day, value, timed)| {
        let time = if timed { "T08:30" } else { "" };
        format!("I{name},,2021-01-0{}{time},{value},,,,,,,,,,,", day + 1)
    });
    let any = prop::collection::vec(field(), 13..17).prop_map(|fields| fields.join(","));
    prop_oneof![3 => sound, 2 => any, 1 => Just(String::new())]
}

const HEADER: &str = "instrument,point,date,as_found,as_left,nominal,u,u_common,lower,upper,in_tolerance,event,usage,kind,unit\n";

proptest! {
    #![proptest_config(cases(200))]

    #[test]
    fn rows_read_are_used_merged_or_rejected(
        files in prop::collection::vec(prop::collection::vec(row(), 0..20), 1..4),
        repeats in prop::sample::select(vec![Repeats::Keep, Repeats::Average, Repeats::Reject]),
    ) {
        let texts: Vec<Vec<u8>> =
            files.iter().map(|rows| (HEADER.to_string() + &rows.join("\n")).into_bytes()).collect();
        let expected: usize = texts.iter().map(|t| count_rows(t)).sum();
        let settings = ChecksSettings { repeats, ..ChecksSettings::default() };
        if let Ok(loaded) = load_files(&texts, &settings) {
            let rows = loaded.rows;
            prop_assert_eq!((rows.read + rows.set_aside) as usize, expected);
            prop_assert_eq!(rows.read, rows.used + rows.merged + rows.rejected);
            prop_assert_eq!(rows.rejected as usize, loaded.rejects.len());
            prop_assert_eq!(rows.used as usize, loaded.histories.columns.source.len());
            prop_assert_eq!(loaded.histories.offsets.last().copied(), Some(rows.used as usize));
            for history in loaded.histories.iter() {
                prop_assert!(!history.is_empty());
                prop_assert!(history.date.is_sorted());
            }
        }
    }

    #[test]
    fn no_file_makes_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..400), header in any::<bool>()) {
        let head = if header { HEADER.as_bytes() } else { b"" };
        let _ = load_files(&[[head, &bytes].concat()], &ChecksSettings::default());
    }
}

/// Rows by an independent count: records of the csv package that are not blank.
fn count_rows(text: &[u8]) -> usize {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text);
    let blank = |r: &csv::StringRecord| r.iter().all(|field| field.trim().is_empty());
    reader.records().flatten().filter(|r| !blank(r)).count()
}
