/*! Pictures of drifts: what the class informs lies between the class and the item, and what cannot be
drawn is not named. */

use super::tool::driftbook;
use std::collections::BTreeMap;
use std::fs;

/// One row of the picture: own estimate and the informed one, drawing units from the left.
#[derive(Default)]
struct Row {
    own: Option<i32>,
    informed: Option<i32>,
}

/// The value of an attribute of a tag.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
    Some(rest.split_once('"')?.0)
}

fn number(tag: &str, name: &str) -> i32 {
    attribute(tag, name).unwrap().parse().unwrap()
}

/// The class's mean, where it is drawn, and the rows of the picture.
fn drawn(svg: &str) -> (Option<i32>, Vec<Row>) {
    let tags = || svg.split('<');
    let dashed = |tag: &&str| tag.starts_with("line ") && tag.contains("stroke-dasharray");
    let mean = tags().find(dashed).map(|tag| number(tag, "x1"));
    let mut rows: BTreeMap<i32, Row> = BTreeMap::new();
    for tag in tags().filter(|tag| tag.starts_with("circle ")) {
        let row = rows.entry(number(tag, "cy")).or_default();
        let x = Some(number(tag, "cx"));
        match attribute(tag, "fill") {
            Some("none") => row.own = x,
            _ => row.informed = x,
        }
    }
    (mean, rows.into_values().collect())
}

#[test]
fn an_informed_drift_lies_between_its_class_and_what_its_own_readings_say() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    driftbook(&["run", "--quiet", "--out", &out.to_string_lossy()]).well();
    let (mut pictures, mut compared) = (0, 0);
    for page in fs::read_dir(out.join("groups")).unwrap() {
        let page = fs::read_to_string(page.unwrap().path()).unwrap();
        for svg in page
            .split("</svg>")
            .filter(|svg| svg.contains("own estimate ±"))
        {
            let (_, svg) = svg.rsplit_once("<svg").unwrap();
            let (mean, rows) = drawn(svg);
            pictures += 1;
            let Some(mean) = mean else { continue };
            for row in rows {
                let informed = row.informed.unwrap();
                let Some(own) = row.own else { continue };
                // One drawing unit, a quarter of a pixel, for the rounding of each place.
                let (low, high) = (own.min(mean) - 1, own.max(mean) + 1);
                assert!((low..=high).contains(&informed), "{mean} {informed} {own}");
                compared += 1;
            }
        }
    }
    assert!(pictures >= 5 && compared >= 40, "{pictures} {compared}");
}

/// One check gives no band: neither the picture's words nor its labels tell of one.
#[test]
fn one_check_has_no_band_to_name() {
    let folder = tempfile::tempdir().unwrap();
    let (records, out) = (folder.path().join("one.csv"), folder.path().join("out"));
    let header = "instrument,date,as_found,u,lower,upper,unit\n";
    let rows = |dates: &[&str]| -> String {
        let row = |date: &&str| format!("R-1,{date},3.6,0.2,-5,5,mK\n");
        dates.iter().map(row).collect()
    };
    let picture = |dates: &[&str]| {
        fs::write(&records, format!("{header}{}", rows(dates))).unwrap();
        let (records, out) = (records.to_string_lossy(), out.to_string_lossy());
        let run = [
            "run",
            &records,
            "--as-of",
            "2025-06-01",
            "--quiet",
            "--charts",
            "all",
        ];
        let done = driftbook(&[&run[..], &["--out", &out]].concat());
        assert_eq!(done.status, 0, "{}", done.stderr);
        fs::read_to_string(folder.path().join("out/charts/R-1.svg")).unwrap()
    };
    let one = picture(&["2025-03-04"]);
    for words in [
        "true error, 95",
        "next reading, 95",
        "bands at",
        ">expected<",
    ] {
        assert!(!one.contains(words), "{words}");
    }
    assert!(one.contains("one check: no drift can be estimated"));
    let three = picture(&["2023-03-04", "2024-03-04", "2025-03-04"]);
    assert!(three.contains(">expected<") && three.contains("bands at"));
}
