use super::*;
use crate::records::reading::csv::text::{TableText, split_header};
use crate::records::settings::words::Delimiter;

/// A table of item, point, day and error whose items, points and days are filled.
fn filled(body: &str) -> (String, usize, usize) {
    let text = format!("item,point,date,error,note\n{body}");
    let split = split_header(TableText::of_file(&text, "f", Delimiter::Comma)).unwrap();
    let is_date = |text: &str| text.starts_with("20") && text.len() == 10;
    let telling = vec![0, 1, 2];
    let mut fill = FillDown::new(&split.header, vec![0, 1, 2], telling, Some(0), &is_date);
    let anew = written_anew(&split, &mut fill).unwrap();
    (anew.text, fill.rows, fill.headings)
}

#[test]
fn blank_cells_take_what_stands_above_in_their_block() {
    let body = "A-1,0 V,2020-01-01,1,\n,5 V,,2,\n,,2021-01-01,3,\nB-2,,2020-01-01,4,\n";
    let expected =
        "A-1,0 V,2020-01-01,1,\nA-1,5 V,,2,\nA-1,5 V,2021-01-01,3,\nB-2,,2020-01-01,4,\n";
    assert_eq!(filled(body), (expected.to_string(), 2, 0));
}

#[test]
fn sums_notes_and_blank_rows_end_a_block_and_take_nothing() {
    for between in [
        "Mean,,,0.5,\n",
        ",Total,,0.5,\n",
        "Checked by:,A,,,\n",
        "after the repair,,,,\n",
        "2021,,,,\n",
        "\n",
        ",,,,\n",
    ] {
        let body = format!("A-1,0 V,2020-01-01,1,\n{between},,2021-01-01,3,\n");
        let (text, rows, _) = filled(&body);
        assert_eq!(rows, 0, "{text}");
    }
    // A value alone is no row of the block.
    assert_eq!(filled("A-1,0 V,2020-01-01,1,\n,,,0.5,\n").1, 0);
}

#[test]
fn a_name_alone_above_its_rows_heads_them() {
    let (text, rows, headings) = filled("A-1,,,,\n,,2020-01-01,1,\n,,2021-01-01,2,\nB-7,,,,\n");
    assert_eq!((rows, headings), (2, 1));
    assert_eq!(text, "\nA-1,,2020-01-01,1,\nA-1,,2021-01-01,2,\nB-7,,,,\n");
}

#[test]
fn ditto_marks_are_blank_cells_and_quotation_marks_stay() {
    let body = "\"A \"\"x\"\" 1\",0 V,2020-01-01,1,\"a,b\"\n\"\"\"\",dto.,2021-01-01,2,\n";
    let expected =
        "\"A \"\"x\"\" 1\",0 V,2020-01-01,1,\"a,b\"\n\"A \"\"x\"\" 1\",0 V,2021-01-01,2,\n";
    assert_eq!(filled(body), (expected.to_string(), 1, 0));
}
