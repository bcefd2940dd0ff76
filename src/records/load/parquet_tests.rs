use crate::records::{ChecksSettings, LoadError, Loaded, RegisterSettings, testing};
use polars::prelude::*;
use std::path::Path;

fn load_one(path: &Path) -> Result<Loaded, LoadError> {
    load_by(path, &ChecksSettings::default())
}

fn load_by(path: &Path, settings: &ChecksSettings) -> Result<Loaded, LoadError> {
    let base = path.parent().unwrap();
    let settings = (settings, &RegisterSettings::default());
    testing::load_paths(&[path.to_path_buf()], base, settings)
}

fn write(path: &Path, mut frame: DataFrame) {
    ParquetWriter::new(std::fs::File::create(path).unwrap())
        .finish(&mut frame)
        .unwrap();
}

#[test]
fn typed_columns_read_like_their_csv() {
    let folder = tempfile::tempdir().unwrap();
    let csv = "instrument,date,as_found,nominal,u,in_tolerance,usage,event\n\
               7,2021-01-01T12:00,100.0000123,100,0.1,true,5,\n\
               8,2021-01-02,99.5,100,,false,,adjusted\n\
               8,2021-01-03,nan,100,,,,\n";
    std::fs::write(folder.path().join("c.csv"), csv).unwrap();
    let moments = Series::new(
        "date".into(),
        [
            18_628i64 * 86_400_000 + 43_200_000,
            18_629 * 86_400_000,
            18_630 * 86_400_000,
        ],
    )
    .cast(&DataType::Datetime(TimeUnit::Milliseconds, None))
    .unwrap();
    let frame = df!(
        "instrument" => [7i64, 8, 8],
        "date" => moments,
        "as_found" => [100.0000123, 99.5, f64::NAN],
        "nominal" => [100i32, 100, 100],
        "u" => [Some(0.1f32), None, None],
        "in_tolerance" => [Some(true), Some(false), None],
        "usage" => [Some("5"), None, Some("")],
        "event" => [None, Some("adjusted"), None],
    )
    .unwrap();
    write(&folder.path().join("p.parquet"), frame);
    let csv = load_one(&folder.path().join("c.csv")).unwrap();
    let parquet = load_one(&folder.path().join("p.parquet")).unwrap();
    assert_eq!(
        format!("{:?}", csv.histories),
        format!("{:?}", parquet.histories)
    );
    assert_eq!(csv.rows, parquet.rows);
    assert_eq!(
        (parquet.rejects[0].row, parquet.rejects[0].reason.as_ref()),
        (4, "not a finite number")
    );
}

#[test]
fn plain_dates_are_read_and_other_types_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("p.parquet");
    let days = Series::new("date".into(), [20_000i32, 20_001])
        .cast(&DataType::Date)
        .unwrap();
    write(
        &path,
        df!("instrument" => ["A", "A"], "date" => days, "as_found" => [1i64, 2]).unwrap(),
    );
    assert_eq!(
        load_one(&path).unwrap().histories.columns.date,
        [20_000.0, 20_001.0]
    );
    write(
        &path,
        df!("instrument" => ["A"], "date" => ["2021-01-01"], "as_found" => [true]).unwrap(),
    );
    says!(
        load_one(&path).unwrap_err().to_string(),
        "the only row was rejected"
    );
}

/// A column of lists is told by name and in words where it is read, and hinders nobody where it
/// is not: neither a run nor a first look.
#[test]
fn a_column_that_holds_no_cells_is_told_where_it_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("p.parquet");
    for name in ["as_found", "remark"] {
        let lists = Series::new(name.into(), [Series::new("a".into(), [1.0])]);
        let mut frame =
            df!("instrument" => ["A"], "date" => ["2021-01-01"], "as_found" => [1.0]).unwrap();
        frame.with_column(lists.into()).unwrap();
        write(&path, frame);
        match (name, load_one(&path)) {
            ("remark", read) => assert_eq!(read.unwrap().histories.len(), 1),
            (_, read) => {
                let refusal = read.unwrap_err().to_string();
                let expected = "column \"as_found\" holds lists; expected text, number, date";
                says!(refusal, expected);
            }
        }
        let sight = crate::records::guess::sight::Sight {
            today: 20_634.0,
            apart: &[],
            stated: None,
            rows: 100,
        };
        let look = crate::records::guess::file::look(&path, sight).unwrap();
        let note = format!("Column \"{name}\" holds lists and cannot be read.");
        assert!(look.checks.notes.contains(&note), "{:?}", look.checks.notes);
        assert!(look.checks.columns.iter().any(|c| c.header == "date"));
    }
}

#[test]
fn broken_files_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("p.parquet");
    write(
        &path,
        df!("instrument" => ["A"], "date" => ["2021-01-01"], "as_found" => [1.0]).unwrap(),
    );
    let whole = std::fs::read(&path).unwrap();
    for length in [4, 8, whole.len() / 2, whole.len() - 1] {
        std::fs::write(&path, &whole[..length]).unwrap();
        let refusal = load_one(&path).unwrap_err().to_string();
        assert!(refusal.starts_with("p.parquet: "), "{refusal}");
    }
    for at in 4..whole.len() - 4 {
        let mut broken = whole.clone();
        broken[at] ^= 0xFF;
        std::fs::write(&path, &broken).unwrap();
        let _ = load_one(&path);
    }
}

/// The invented checks of `make.py`, in the column types that data frames write.
#[test]
fn columns_as_data_frames_write_them_are_read() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/parquet");
    let loaded = load_one(&folder.join("people.parquet")).unwrap();
    assert_eq!(
        (loaded.rows.read, loaded.rows.used),
        (4, 4),
        "{:?}",
        loaded.rejects
    );
    let items = &loaded.histories.items;
    let names: Vec<(&str, &str, &str)> = items
        .iter()
        .map(|i| (i.instrument.as_str(), i.point.as_str(), i.unit.as_str()))
        .collect();
    assert_eq!(names, [("R-1", "10", "mm"), ("R-2", "20", "mm")]);
    let columns = &loaded.histories.columns;
    assert_eq!(columns.as_found[..3], [0.012, 0.015, -0.01]);
    assert!(columns.as_found[3].is_nan());
    assert_eq!(columns.u, [0.1, 0.25, 0.5, 0.1]);
    assert_eq!((columns.lower[0], columns.upper[3]), (-5.0, 5.0));
    assert_eq!(columns.usage, [1.0, 2.0, 3.0, 4.0]);
    assert_eq!(columns.outcome[3], crate::records::Outcome::Out);
    assert_eq!(columns.event[1], crate::records::Event::Adjusted);
    assert_eq!(columns.date[0], 18_322.0);
}

/// A row as left belongs to the newest row as found that waits for it, repeats in their order; one for which none
/// waits is rejected.
#[test]
fn rows_as_left_belong_to_rows_as_found() {
    let folder = tempfile::tempdir().unwrap();
    let rows = [
        ("2021-01-02", "As found", 0.1, None),
        ("2021-02-20", "as left", 0.2, Some("adjusted")),
        ("2022-01-02", "As left", 0.03, Some("adjusted")),
        ("2022-01-02", "As found", 0.3, None),
        ("2022-01-02", "As found", 0.4, None),
        ("2022-01-05", "As left", 0.04, None),
        ("2023-01-02", "", 0.5, None),
    ];
    let mut csv = "instrument,date,Condition,as_found,event\n".to_string();
    for (date, condition, found, event) in rows {
        csv += &format!("A,{date},{condition},{found},{}\n", event.unwrap_or(""));
    }
    std::fs::write(folder.path().join("c.csv"), csv).unwrap();
    let frame = df!(
        "instrument" => ["A"; 7],
        "date" => rows.map(|row| row.0),
        "Condition" => rows.map(|row| row.1),
        "as_found" => rows.map(|row| row.2),
        "event" => rows.map(|row| row.3),
    )
    .unwrap();
    write(&folder.path().join("p.parquet"), frame);
    let settings = ChecksSettings {
        left_rows_by: "condition".into(),
        left_rows_are: vec!["As left".into()],
        ..ChecksSettings::default()
    };
    let csv = load_by(&folder.path().join("c.csv"), &settings).unwrap();
    let parquet = load_by(&folder.path().join("p.parquet"), &settings).unwrap();
    for loaded in [&csv, &parquet] {
        let columns = &loaded.histories.columns;
        assert_eq!(columns.as_found, [0.1, 0.3, 0.4, 0.5]);
        let left: Vec<String> = columns.as_left.iter().map(f64::to_string).collect();
        assert_eq!(left, ["NaN", "0.03", "0.04", "NaN"]);
        let events: Vec<_> = columns.event.iter().map(|event| event.word()).collect();
        assert_eq!(events[1], "adjusted");
        let rows = &loaded.rows;
        assert_eq!(
            (rows.read, rows.used, rows.merged, rows.rejected),
            (7, 4, 2, 1)
        );
        let [reject] = &loaded.rejects[..] else {
            panic!("{:?}", loaded.rejects);
        };
        assert_eq!(reject.row, 3);
        says!(reject.reason, "waits for it");
        // The adjustment of a rejected row is not lost with it.
        assert!(!reject.carried.is_nothing());
    }
}

#[test]
fn numbers_near_set_points_read_like_their_csv() {
    let folder = tempfile::tempdir().unwrap();
    let csv = "instrument,date,Bath,as_found\nA,2021-01-01,99.6,0.1\nA,2021-01-01,401.2,0.2\nA,2022-01-01,260,0.3\n";
    std::fs::write(folder.path().join("c.csv"), csv).unwrap();
    let frame = df!(
        "instrument" => ["A"; 3],
        "date" => ["2021-01-01", "2021-01-01", "2022-01-01"],
        "Bath" => [99.6, 401.2, 260.0],
        "as_found" => [0.1, 0.2, 0.3],
    )
    .unwrap();
    write(&folder.path().join("p.parquet"), frame);
    let settings = ChecksSettings {
        point_from: vec!["Bath".into()],
        set_points: vec![100.0, 400.0],
        ..ChecksSettings::default()
    };
    for file in ["c.csv", "p.parquet"] {
        let loaded = load_by(&folder.path().join(file), &settings).unwrap();
        let items = loaded.histories.items.iter();
        let points: Vec<&str> = items.map(|item| item.point.as_str()).collect();
        assert_eq!(points, ["100", "400"], "{file}");
        assert!(loaded.rejects[0].reason.contains("set points"), "{file}");
    }
}

/// What fails as left is a failure of its check, whatever was found.
#[test]
fn a_failure_as_left_is_not_lost() {
    let folder = tempfile::tempdir().unwrap();
    let csv = "instrument,date,Condition,as_found,in_tolerance\n\
               A,2021-01-02,As found,0.1,pass\nA,2021-01-02,As left,0.2,fail\n";
    std::fs::write(folder.path().join("c.csv"), csv).unwrap();
    let settings = ChecksSettings {
        left_rows_by: "Condition".into(),
        left_rows_are: vec!["As left".into()],
        ..ChecksSettings::default()
    };
    let loaded = load_by(&folder.path().join("c.csv"), &settings).unwrap();
    assert_eq!(
        loaded.histories.columns.outcome,
        [crate::records::Outcome::Out]
    );
}
