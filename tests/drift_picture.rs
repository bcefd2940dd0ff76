/*! The picture of a group's drifts: what the class informs lies between the class and the item. */

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
