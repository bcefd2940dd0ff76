/*! What rows of a text become, wherever it is cut. */

use super::*;
use crate::property_cases::usual;
use crate::records::FormerNames;
use crate::records::load::group::group;
use crate::records::reading::csv::file::read_rows;
use crate::records::reading::csv::text::{TableText, split_header};
use crate::records::reading::header::checks::match_columns;
use crate::records::settings::ChecksSettings;
use crate::records::settings::words::Delimiter;
use proptest::prelude::*;

fn read(text: &str, rules: &Rules<'_>) -> Result<Vec<Batch>, LoadError> {
    let table = TableText::of_file(text, "f.csv", rules.settings.delimiter);
    read_rows(table, rules).map(|(batches, _)| batches)
}

fn rows(text: &str) -> (Vec<u32>, Vec<(u32, String)>) {
    let settings = ChecksSettings::default();
    let rules = Rules::new(&settings, 30_000.0);
    let batches = read(text, &rules).unwrap();
    let batch = &batches[0];
    let rejects = batch
        .rejects
        .iter()
        .map(|r| (r.row, r.reason.to_string()))
        .collect();
    (batch.row.clone(), rejects)
}

#[test]
fn rows_count_lines_and_quoted_breaks_stay_in_their_row() {
    let text = "instrument,date,as_found\nA,2020-01-01,1\n\nB,2020-01-01,2\n\"C\nc\",2020-01-01,3\nD,2020-01-01,4\n\n";
    assert_eq!(rows(text).0, [1, 3, 4, 5]);
    assert_eq!(rows(&text.replace('\n', "\r\n")).0, [1, 3, 4, 5]);
}

#[test]
fn pieces_are_whole_lines() {
    let body = "A,1\nBé,22\n\nC,3\r\nD,4";
    for size in 1..body.len() {
        let cut = pieces(body, size);
        assert_eq!(cut.concat(), body);
        assert!(cut[..cut.len() - 1].iter().all(|p| p.ends_with('\n')));
    }
}

#[test]
fn row_numbers_go_on_from_piece_to_piece() {
    let mut text = "instrument,date,as_found\n".to_string();
    let rows = LARGEST_PIECE / 10;
    text.push_str(&"A,2020-01-01,1\n".repeat(rows));
    text.push_str("\nA,x,1\n");
    let settings = ChecksSettings::default();
    let batches = read(&text, &Rules::new(&settings, 30_000.0)).unwrap();
    assert!(batches.len() > 1);
    let last = &batches[batches.len() - 1];
    assert_eq!(last.first_row + last.rejects[0].row, rows as u32 + 3);
}

/// All that batches say of their rows, whichever batch says it.
fn words_of(mut batches: Vec<Batch>) -> Vec<String> {
    let mut lines = Vec::new();
    // Kind by kind, as they are gathered.
    type Said = fn(&Batch) -> Vec<(u32, String)>;
    let kinds: [Said; 4] = [
        |batch| {
            let all = batch.rejects.iter();
            let said = all.map(|r| {
                (
                    r.row,
                    format!("{:?}", (r.column, &r.value, &r.reason, &r.instrument)),
                )
            });
            said.collect()
        },
        |batch| {
            batch
                .bare
                .iter()
                .map(|r| (r.row, r.reason.to_string()))
                .collect()
        },
        |batch| {
            batch
                .set_aside
                .iter()
                .map(|(what, row)| (*row, format!("{what:?}")))
                .collect()
        },
        |batch| {
            batch
                .unknown_words
                .iter()
                .map(|w| (w.row, w.word.clone()))
                .collect()
        },
    ];
    for said in kinds {
        for batch in &batches {
            let rows = said(batch).into_iter();
            lines.extend(rows.map(|(row, words)| format!("{} {words}", batch.first_row + row)));
        }
    }
    let groups = group(&mut batches, &FormerNames::default());
    for (code, pair) in groups.order.iter().zip(groups.offsets.windows(2)) {
        lines.push(format!("{:?}", groups.names.get(*code)));
        for entry in &groups.entries[pair[0]..pair[1]] {
            let batch = &batches[entry.batch as usize];
            let (row, value) = (
                entry.row as usize,
                batch.columns.as_found.get(entry.row as usize),
            );
            lines.push(format!(
                "{} {} {value:?}",
                batch.first_row + batch.row[row],
                entry.date
            ));
        }
    }
    lines
}

proptest! {
    #![proptest_config(usual())]

    /// Wherever a text is cut, its rows, their numbers and what is said of them are the same.
    #[test]
    fn every_cut_reads_the_same(
        rows in prop::collection::vec(
            ("[A-C]{0,2}", "(2020-0[1-9]-1[0-3]|x|)", "([0-9]\\.[0-9]|x|)", "(|,repaired|,mended)", "(\n|\r\n|\n\n)"),
            0..60,
        ),
        size in 1usize..400,
    ) {
        let body: String = rows.iter().map(|(name, date, value, event, end)| format!("{name},{date},{value}{event}{end}")).collect();
        let settings = ChecksSettings::default();
        let rules = Rules::new(&settings, 30_000.0);
        let text = format!("instrument,date,as_found,event\n{body}");
        let split = split_header(TableText::of_file(&text, "f.csv", Delimiter::Comma)).unwrap();
        let matched = match_columns("f.csv", split.header.clone(), &rules).unwrap();
        let layout = Layout {
            split: &split,
            columns: Shape::of(&matched, &settings),
            positions: std::array::from_fn(|i| matched.positions[i]),
        };
        let read = |size| words_of(read_pieces(&body, size, 1, |piece| read_plain(piece, &layout, &rules)));
        prop_assert_eq!(read(size), read(usize::MAX));
    }
}

#[test]
fn ragged_rows_are_rejected() {
    let (used, rejects) =
        rows("instrument,date,as_found\nA,2020-01-01\nB,2020-01-01,1,9\nC,2020-01-01,3");
    assert_eq!(used, [3]);
    assert_eq!(
        rejects[0],
        (1, "the row has 2 fields, the header 3 fields".to_string())
    );
    assert_eq!(rejects[1].0, 2);
}

#[test]
fn a_stray_quotation_mark_costs_its_own_row_alone() {
    let text = "instrument,date,as_found,note\nA,2020-01-01,1,\"5 dial\nA,2021-01-01,2,\nA,2022-01-01,9,x\nA,2023-01-01,3,\"ok\"\nB,2020-01-01,1,\"two\nlines, of, words, here\"\n";
    let (used, rejects) = rows(text);
    assert_eq!(used, [2, 3, 4, 5]);
    assert_eq!(rejects.len(), 1);
    assert!(rejects[0].0 == 1 && rejects[0].1.contains("quotation mark is opened here"));
}

#[test]
fn missing_column_and_wrong_delimiter_are_told() {
    let settings = ChecksSettings {
        delimiter: Delimiter::Comma,
        ..Default::default()
    };
    let rules = Rules::new(&settings, 30_000.0);
    let error = read("instrument;date;as_found\nA;2020-01-01;1\n", &rules);
    let text = error.unwrap_err().to_string();
    says!(text, "is the delimiter right?");
    let error = read("instrumnet,date,as_found\n", &rules);
    let text = error.unwrap_err().to_string();
    assert!(
        text.contains("no column \"instrument\"") && text.contains("\"instrumnet\""),
        "{text}"
    );
    let error = read("instrument,date,error,outcome\n", &rules);
    let text = error.unwrap_err().to_string();
    says!(text, "map it by as_found = \"error\"");
}
