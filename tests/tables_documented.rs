/*! docs/tables.md names every table of the demo run and every column of it, in no other table's row. */

use crate::tool::{driftbook, root};
use std::path::Path;

/// Names of the CSV files below `folder`, without ending, as the page writes them.
fn tables(folder: &Path, before: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        if path.is_dir() && name == "replay" {
            found.extend(tables(&path, "replay/"));
        } else if path.extension().is_some_and(|ending| ending == "csv") {
            let text = std::fs::read_to_string(&path).unwrap();
            let header = text.lines().next().unwrap().to_string();
            found.push((format!("{before}{name}"), header));
        }
    }
    found
}

#[test]
fn every_table_and_column_of_the_demo_is_described() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    driftbook(&["run", "--quiet", "--out", &out.to_string_lossy()]).well();
    let page = std::fs::read_to_string(root().join("docs/tables.md")).unwrap();
    let found = tables(&out, "");
    assert!(found.len() >= 19, "{found:?}");
    for (table, header) in found {
        let start = format!("| `{table}` |");
        let row = page.lines().find(|line| line.starts_with(&start));
        let row = row.unwrap_or_else(|| panic!("docs/tables.md has no row {start}"));
        for column in header.split(',') {
            assert!(row.contains(&format!("`{column}`")), "{table}: {column}");
        }
    }
}

#[test]
fn tables_have_the_formats_that_are_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let rows = "instrument,date,as_found,u,lower,upper\nA,2020-01-01,0.1,0.1,-2,2\nA,2021-01-01,0.2,0.1,-2,2\nA,2022-01-01,0.3,0.1,-2,2\nA,x,0.3,0.1,-2,2\n";
    std::fs::write(folder.path().join("checks.csv"), rows).unwrap();
    let written = |formats: &str| {
        let pipeline = folder.path().join(format!("{formats}.toml"));
        let text = format!(
            "as_of = \"2023-01-01\"\n[checks]\nfiles = [\"checks.csv\"]\n[output]\nfolder = \"{formats}\"\ntables = \"{formats}\"\nreplay = \"always\"\n"
        );
        std::fs::write(&pipeline, text).unwrap();
        driftbook(&["run", "--quiet", &pipeline.to_string_lossy()]).well();
        let out = folder.path().join(formats);
        assert!(out.join("rejects.csv").exists() && out.join("warnings.csv").exists());
        ["decisions", "instruments", "values", "replay/coverage"].map(|table| {
            let has = |ending: &str| out.join(format!("{table}.{ending}")).exists();
            (has("csv"), has("parquet"))
        })
    };
    assert_eq!(written("auto"), [(true, true); 4]);
    assert_eq!(written("both"), [(true, true); 4]);
    assert_eq!(written("csv"), [(true, false); 4]);
    assert_eq!(written("parquet"), [(false, true); 4]);
}
