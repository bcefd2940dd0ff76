/*! Numbers at the ends of what a computer holds end as words, never as "NaN" or "inf" in a report. */

use super::tool::{driftbook, read_csv};
use std::path::{Path, PathBuf};

/// Six ordinary items, and beside them the wild ones.
fn records() -> String {
    let mut rows = String::from("instrument,date,as_found,u,u_common,lower,upper\n");
    let mut item = |name: &str, values: [f64; 5], u: f64, u_common: f64, limit: f64| {
        for (year, value) in (2019..).zip(values) {
            let row = format!(
                "{name},{year}-05-04,{value:e},{u:e},{u_common:e},{:e},{limit:e}\n",
                -limit
            );
            rows.push_str(&row);
        }
    };
    for (number, drift) in (1..).zip([0.1, 0.2, 0.15, 0.12, 0.18, 0.14]) {
        let values = [0.0, 1.0, 2.0, 3.0, 4.0].map(|t| drift * t);
        item(&format!("ordinary {number}"), values, 0.05, 0.01, 3.0);
    }
    let scaled = |scale: f64| [0.3, -0.2, 0.5, 0.1, 0.4].map(|v| v * scale);
    item("huge", scaled(1e300), 1e299, 1e299, 3e300);
    item("tiny", scaled(1e-300), 1e-301, 1e-301, 3e-300);
    item(
        "one wild reading",
        [0.1, 1e308, 0.2, 0.1, 0.3],
        0.05,
        0.01,
        3.0,
    );
    item("wild uncertainty", scaled(1.0), 1e200, 0.01, 3.0);
    item("wild shared part", scaled(1.0), 0.05, 1e308, 3.0);
    item("no scatter", [0.25; 5], 1e-320, 0.0, 1e-310);
    let swinging = [0.3, -0.2, 0.9, -0.7, 0.6];
    for size in [1e150, 1e155, 1e160, 1e250, 1.5e308] {
        let values = swinging.map(|v| v * size);
        item(
            &format!("huge {size:e}"),
            values,
            0.1 * size,
            0.0,
            0.99 * size,
        );
    }
    rows
}

fn files_under(folder: &Path) -> Vec<PathBuf> {
    std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .flat_map(|path| match path.is_dir() {
            true => files_under(&path),
            false => vec![path],
        })
        .collect()
}

/// The text a person or a program reads: pages without their scripts.
fn read(path: &Path) -> String {
    let mut text = std::fs::read_to_string(path).unwrap();
    while let Some(start) = text.find("<script") {
        let length = text[start..].find("</script>").unwrap();
        text.replace_range(start..start + length + "</script>".len(), "");
    }
    text
}

/// A word that is no number, or a number of more digits than anyone reads.
fn unfit(word: &str) -> bool {
    let digits = word.bytes().take_while(u8::is_ascii_digit).count();
    matches!(word, "NaN" | "nan" | "inf" | "Infinity") || digits > 40
}

#[test]
fn wild_numbers_end_as_words() {
    let folder = tempfile::tempdir().unwrap();
    let (records, out) = (folder.path().join("checks.csv"), folder.path().join("out"));
    std::fs::write(&records, self::records()).unwrap();
    for model in [
        "state",
        "line",
        "constant",
        "quadratic",
        "wander",
        "season",
        "auto",
    ] {
        let pipeline = folder.path().join(format!("{model}.toml"));
        let text = format!("[checks]\nfiles = [\"checks.csv\"]\n[drift]\nmodel = \"{model}\"\n");
        std::fs::write(&pipeline, text).unwrap();
        let arguments = [
            "run",
            pipeline.to_str().unwrap(),
            "--out",
            out.to_str().unwrap(),
        ];
        let done = driftbook(
            &[
                &arguments[..],
                &["--as-of", "2024-01-01", "--charts", "all"],
            ]
            .concat(),
        );
        assert_eq!(done.status, 0, "{model}: {}", done.stderr);
        let written = files_under(&out);
        assert!(written.len() > 30, "{model}: {} files", written.len());
        for path in written
            .iter()
            .filter(|p| p.extension().is_some_and(|e| e != "parquet" && e != "bin"))
        {
            let text = read(path);
            let words = text.split(|c: char| !c.is_alphanumeric());
            let found: Vec<&str> = words.filter(|word| unfit(word)).take(3).collect();
            assert_eq!(
                found,
                Vec::<&str>::new(),
                "model {model}, {}",
                path.display()
            );
        }
    }
}

/// Drift a year and interval of the ordinary items, with one slip of the given size in a seventh.
fn ordinary_beside(slip: f64) -> Vec<(f64, f64)> {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let kept = |line: &&str| !line.starts_with("huge") && !line.starts_with("wild");
    let all = records();
    let text: Vec<String> = all
        .lines()
        .filter(kept)
        .filter(|line| !line.starts_with("tiny") && !line.starts_with("no scatter"))
        .map(|line| line.replace(",1e308,", &format!(",{slip:e},")))
        .collect();
    let records = folder.path().join("checks.csv");
    std::fs::write(&records, text.join("\n") + "\n").unwrap();
    let (records, out_text) = (records.to_str().unwrap(), out.to_str().unwrap());
    driftbook(&[
        "run",
        records,
        "--out",
        out_text,
        "--as-of",
        "2024-01-01",
        "--charts",
        "none",
    ])
    .well();
    let table = read_csv(&out.join("decisions.csv"));
    let number = |text: &str| text.parse::<f64>().unwrap();
    table
        .rows
        .iter()
        .filter(|row| row["instrument"].starts_with("ordinary"))
        .map(|row| {
            (
                number(&row["drift_per_year"]),
                number(&row["interval_days"]),
            )
        })
        .collect()
}

/// A slip of the pen in one member of a class is that member's affair.
#[test]
fn a_slip_does_not_move_its_class() {
    let calm = ordinary_beside(0.2);
    assert_eq!(calm.len(), 6);
    for slip in [5.0, 100.0, 1e5, 1e12, 1e100] {
        for (with, without) in ordinary_beside(slip).iter().zip(&calm) {
            near!(with.0, without.0, 0.02, "{slip:e}: {with:?} {without:?}");
            assert_eq!(with.1, without.1, "{slip:e}");
        }
    }
}

/// Values whose squares are no numbers were said to be zero, and half of limits near the largest
/// number to be no width at all.
#[test]
fn values_beyond_all_squares_are_not_taken_for_zero() {
    let mut checks = "instrument,date,as_found,u,lower,upper\n".to_string();
    for year in 0..6 {
        checks += &format!(
            "GB,{}-03-02,{}e-200,1e-201,-5e-199,5e-199\n",
            2019 + year,
            3 * year
        );
        checks += &format!("GC,{}-03-02,{year}e307,1e306,-1e308,1e308\n", 2019 + year);
    }
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("checks.csv"), checks).unwrap();
    let out = folder.path().join("report");
    let records = folder.path().join("checks.csv");
    let (records, shown) = (records.to_string_lossy(), out.to_string_lossy());
    let asked = ["run", &records, "--as-of", "2025-01-01", "--out", &shown];
    driftbook(&[&asked[..], &["--charts", "none"]].concat()).well();
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    for (decided, used) in decisions.iter().zip(["30 %", "50 %"]) {
        assert_eq!(decided["status"], "fit failed", "{decided:?}");
        assert_eq!(decided["action"], "keep", "{decided:?}");
        let words = format!("as found is {used} of the tolerance");
        assert!(decided["reason"].contains(&words), "{decided:?}");
    }
}
