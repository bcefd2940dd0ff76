/*! What a worker refuses, and a part without a usable row. */

use super::*;
use polars_arrow::datatypes::ArrowDataType;

#[test]
fn what_a_part_cannot_tell_is_refused_with_the_mend() {
    let (laboratory, rows) = gauges();
    let rows: Vec<&Row> = rows.iter().collect();
    let sent = stream_of(&rows);
    let pipeline = std::fs::read_to_string(laboratory.path("lab.toml")).unwrap();
    let cases = [
        ("as_of = \"2024-06-30\"\n", "", "no as-of date is stated"),
        (
            "[output]",
            "[policy]\nsmoothing_days = 60\n[output]",
            "levels the due dates of the whole fleet",
        ),
        (
            "[output]",
            "[policy]\nextensions_per_year = 1\n[output]",
            "earlier decisions",
        ),
        (
            "[output]",
            "[thermometry]\nfiles = [\"r.csv\"]\n[output]",
            "raw readings",
        ),
        (
            "as_found_is = \"error\"\n",
            "",
            "state as_found_is under [checks]",
        ),
        (
            "thousands = \"none\"\n",
            "",
            "or state decimal_comma and thousands",
        ),
    ];
    for (from, to, said) in cases {
        std::fs::write(laboratory.path("other.toml"), pipeline.replace(from, to)).unwrap();
        let refused = worker(&["learn", &laboratory.text("other.toml")], &sent);
        assert_eq!(refused.status, 1, "{said}: {}", refused.said);
        assert!(
            refused.said.contains(said) && refused.out.is_empty(),
            "{said}: {}",
            refused.said
        );
    }
    // Learned from half of a group, twice: neither half is the group.
    let (first, second) = rows.split_at(300);
    let halves = [first, second].map(|half| {
        let learned = read(&good(
            &["learn", &laboratory.text("lab.toml")],
            &stream_of(half),
        ));
        let array = learned["learned"][0].as_any();
        array
            .downcast_ref::<polars_arrow::array::BinaryArray<i64>>()
            .unwrap()
            .value(0)
            .to_vec()
    });
    let column = polars_arrow::array::BinaryArray::<i64>::from_slice(halves);
    std::fs::write(
        laboratory.path("halves"),
        stream(vec![("learned", column.boxed())]),
    )
    .unwrap();
    let decide = |learned: &str, more: &[&str]| {
        let (pipeline, learned) = (laboratory.text("lab.toml"), laboratory.text(learned));
        let first = ["decide", pipeline.as_str(), "--learned", learned.as_str()];
        worker(&[&first, more].concat(), &sent)
    };
    let twice = decide("halves", &[]);
    assert!(
        twice.status == 1 && twice.said.contains("learned twice"),
        "{}",
        twice.said
    );
    let small: Vec<&Row> = rows
        .iter()
        .filter(|row| row[0].as_str() > "G-60")
        .copied()
        .collect();
    laboratory.learned(&small);
    let lacking = decide("learned", &[]);
    says!(
        lacking.said,
        "not among those of its group that were learned"
    );
    let later = decide("learned", &["--as-of", "2024-07-01"]);
    says!(later.said, "it was learned as of 2024-06-30");
    std::fs::write(
        laboratory.path("register.csv"),
        "instrument,group\nG-61,small\n",
    )
    .unwrap();
    let other = decide("learned", &[]);
    says!(other.said, "the register that it was learned with");
}

#[test]
fn a_stream_that_is_none_or_not_whole_is_refused() {
    let (laboratory, rows) = gauges();
    let rows: Vec<&Row> = rows.iter().collect();
    let (pipeline, whole) = (laboratory.text("lab.toml"), stream_of(&rows));
    let end = whole.len();
    let mut longer = whole.clone();
    longer.push(0);
    let cases: [(&[u8], &str); 8] = [
        (b"", "nothing was sent"),
        (
            b"instrument,date\nG-1,2020-01-01\n",
            "cannot be read as an Arrow stream",
        ),
        (b"ARROW1\0\0", "an Arrow file, and not a stream"),
        (&whole[..3], "cannot be read as an Arrow stream"),
        (&whole[..end / 2], "cannot be read as an Arrow stream"),
        (&whole[..end - 8], "it was cut"),
        (&whole[..end - 1], "cannot be read as an Arrow stream"),
        (&longer, "something follows the end of the stream"),
    ];
    for (sent, said) in cases {
        let refused = worker(&["learn", &pipeline], sent);
        says!(refused.said, said);
        says_not!(refused.said, "panicked");
        assert_eq!((refused.status, refused.out.len()), (1, 0), "{said}");
    }
    let names = texts(rows.iter().map(|row| row[0].as_str()));
    let days = || texts(rows.iter().map(|row| row[2].as_str()));
    let flags = polars_arrow::array::BooleanArray::from_slice(vec![true; rows.len()]).boxed();
    type Typed<'a> = (Vec<(&'a str, Box<dyn Array>)>, &'a str);
    let typed: [Typed<'_>; 3] = [
        (
            vec![("instrument", names.clone()), ("date", days())],
            "no column \"as_found\"",
        ),
        (
            vec![
                ("instrument", names.clone()),
                ("date", days()),
                ("as_found", flags.clone()),
            ],
            "has the type Boolean; expected a number",
        ),
        (
            vec![("instrument", names), ("date", flags), ("as_found", days())],
            "expected a date or a timestamp",
        ),
    ];
    for (columns, said) in typed {
        let refused = worker(&["learn", &pipeline], &stream(columns));
        says!(refused.said, said);
        assert_eq!((refused.status, refused.out.len()), (1, 0), "{said}");
    }
}

/// An empty part, and one whose every row is rejected, have no decision and are no error.
#[test]
fn a_part_without_a_usable_row_is_no_error() {
    let (laboratory, rows) = gauges();
    let rows: Vec<&Row> = rows.iter().collect();
    let learned = laboratory.learned(&rows);
    let pipeline = laboratory.text("lab.toml");
    let mut later = rows[0].clone();
    later[2] = "2031-01-01".into();
    for (sent, rejected) in [(Vec::new(), 0), (vec![&later], 1)] {
        let made = good(
            &["decide", &pipeline, "--learned", &learned],
            &stream_of(&sent),
        );
        let made = [made];
        assert_eq!(rows_made(&made, "decisions").len(), 0);
        assert_eq!(rows_made(&made, "rejects").len(), rejected);
    }
    let one = good(
        &[
            "decide",
            &pipeline,
            "--learned",
            &learned,
            "--table",
            "fits",
        ],
        &stream_of(&rows),
    );
    let columns = read(&one);
    assert_eq!(column_of_texts(&columns["instrument"]).len(), 68);
    assert!(matches!(columns["model"][0].dtype(), ArrowDataType::Utf8));
}
