use crate::records::{ChecksSettings, FormerNames, Loaded, RegisterSettings, Request, load};
use polars::prelude::*;
use std::path::Path;

fn load_one(path: &Path) -> Result<Loaded, crate::records::LoadError> {
    load(&Request {
        checks: &[path.to_path_buf()],
        register: None,
        base: path.parent().unwrap(),
        checks_settings: &ChecksSettings::default(),
        forms: &[],
        register_settings: &RegisterSettings::default(),
        approvals: None,
        former: &FormerNames::default(),
        as_of: 20_634.0,
        books_as_of: 20_634.0,
    })
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
    assert!(
        load_one(&path)
            .unwrap_err()
            .to_string()
            .contains("the only row was rejected")
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
                assert!(refusal.contains(expected), "{refusal}");
            }
        }
        let look = crate::records::guess::file::look(&path, 20_634.0, &[], None).unwrap();
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
