/*! The picture of a thermometer's sessions, read back: R at the triple point by session with the limit of an anneal, W at
other points with its U about the zero that the rule asks for, and the advice with the finding that it rests on. */

use crate::tool::{driftbook, read_csv};
use std::collections::BTreeMap;
use std::fs;

type Row = BTreeMap<String, String>;

/// Half a unit of the picture, in which everything is drawn to whole units, twice: the mark's and the scale's.
const ROUNDING: f64 = 2.5;

fn number(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap()
}

/// Value of an attribute of one element.
fn attribute<'e>(element: &'e str, name: &str) -> Option<&'e str> {
    let rest = element.split(&format!(" {name}=\"")).nth(1)?;
    rest.split('"').next()
}

fn at(element: &str, name: &str) -> f64 {
    attribute(element, name).unwrap().parse().unwrap()
}

fn words(element: &str) -> &str {
    element
        .split('>')
        .nth(1)
        .unwrap_or("")
        .split('<')
        .next()
        .unwrap()
}

/// One panel: its scale, and the elements drawn in it.
struct Panel<'s> {
    /// Height of zero, and units of the picture a millikelvin.
    zero: f64,
    a_millikelvin: f64,
    drawn: Vec<&'s str>,
}

impl<'s> Panel<'s> {
    /// The panel under `caption`; its ticks stand before its caption, its marks behind it.
    fn of(elements: &[&'s str], caption: &str) -> Self {
        let place = elements
            .iter()
            .position(|e| words(e).starts_with(caption))
            .unwrap();
        assert!(
            words(elements[place]).ends_with(", mK"),
            "{}",
            elements[place]
        );
        let tick = |e: &&str| e.starts_with("<rect") && attribute(e, "opacity") == Some("0.3");
        let mut ticks = Vec::new();
        let mut before = place;
        while before >= 2 && tick(&elements[before - 2]) {
            let label = words(elements[before - 1]).replace('\u{2212}', "-");
            let middle = at(elements[before - 2], "y") + 0.5 * at(elements[before - 2], "height");
            ticks.push((label.parse::<f64>().unwrap(), middle));
            before -= 2;
        }
        let (high, low) = (ticks[0], ticks[ticks.len() - 1]);
        let a_millikelvin = (low.1 - high.1) / (high.0 - low.0);
        let drawn = elements[place + 1..].iter().take_while(|e| !tick(e));
        Self {
            zero: low.1 + a_millikelvin * low.0,
            a_millikelvin,
            drawn: drawn.copied().collect(),
        }
    }

    fn mk(&self, y: f64) -> f64 {
        (self.zero - y) / self.a_millikelvin
    }

    /// Half of `ROUNDING` units, mK.
    fn room(&self) -> f64 {
        ROUNDING / self.a_millikelvin
    }

    fn marks(&self, begins: &str, fill: &str) -> Vec<&'s str> {
        let own = |e: &&&str| {
            e.starts_with(begins)
                && attribute(e, "fill") == Some(fill)
                && attribute(e, "opacity").is_none()
        };
        self.drawn.iter().filter(own).copied().collect()
    }

    /// Upper and lower end of the upright bar at a place.
    fn bar(&self, x: f64, stroke: &str) -> Option<(f64, f64)> {
        let own = |e: &&&str| {
            e.starts_with("<line")
                && attribute(e, "stroke") == Some(stroke)
                && (at(e, "x1") - x).abs() < 1.5
                && (at(e, "x2") - x).abs() < 1.5
        };
        let bar = self.drawn.iter().find(own)?;
        let ends = [at(bar, "y1"), at(bar, "y2")].map(|y| self.mk(y));
        Some((ends[0].max(ends[1]), ends[0].min(ends[1])))
    }
}

/// Words of a picture with the signs and spaces of a table.
fn plain(words: &str) -> String {
    words.replace('\u{2212}', "-").replace('\u{a0}', " ")
}

/// Middle of a diamond.
fn middle(diamond: &str) -> (f64, f64) {
    let corners: Vec<(f64, f64)> = attribute(diamond, "points")
        .unwrap()
        .split(' ')
        .map(|corner| {
            let (x, y) = corner.split_once(',').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        })
        .collect();
    (corners[0].0, corners[1].1)
}

/// R at the triple point: a dot an accepted session at its change from the first, a triangle a rejected one, the limits of
/// an anneal half a millikelvin about the value in use.
fn resistance(panel: &Panel<'_>, sessions: &[&Row], name: &str) {
    let (rejected, used): (Vec<&Row>, Vec<&Row>) = sessions
        .iter()
        .copied()
        .partition(|row| row["standing"] == "rejected");
    let dots = panel.marks("<circle", "#0B6E6E");
    assert_eq!(dots.len(), used.len(), "{name}");
    let triangles = panel.marks("<polygon", "#A8123E");
    assert_eq!(triangles.len(), rejected.len(), "{name}");
    let first = number(used[0], "resistance_ohm");
    for (dot, row) in dots.iter().zip(&used) {
        // ITS-90, Metrologia 27 (1990) 3: dW/dT at the triple point of water is 3.988e-3 per kelvin.
        let change = 1e3 * (number(row, "resistance_ohm") / first - 1.0) / 3.988e-3;
        let drawn = panel.mk(at(dot, "cy"));
        let room = panel.room() + 1e-3 * change.abs();
        near!(
            drawn,
            change,
            room,
            "{name} {}: {drawn} for {change}",
            row["date"]
        );
        let (high, low) = panel.bar(at(dot, "cx"), "#0B6E6E").unwrap();
        let half = 2.0 * number(row, "u_mk");
        near!(0.5 * (high - low), half, 2.0 * panel.room(), "{name}");
    }
    let value = panel
        .drawn
        .iter()
        .rfind(|e| attribute(e, "stroke") == Some("#6B3FA0"));
    let limits: Vec<f64> = panel
        .drawn
        .iter()
        .filter(|e| e.starts_with("<line") && attribute(e, "stroke") == Some("#B4491A"))
        .map(|e| panel.mk(at(e, "y1")))
        .collect();
    let Some(value) = value.map(|e| panel.mk(at(e, "y2"))) else {
        assert!(limits.is_empty(), "{name}: limits about no value");
        return;
    };
    // `adopt_mk`, which the demo leaves at 0.5 mK.
    for expected in [value - 0.5, value + 0.5] {
        let found = limits
            .iter()
            .any(|limit| (limit - expected).abs() < 2.0 * panel.room());
        assert!(found, "{name}: no limit at {expected} of {limits:?}");
    }
}

/// W at other points: each as its change since the first there with U, about a dashed zero. True where the last bar of a
/// point misses it: an anneal may have mended what an earlier one shows.
fn ratios(panel: &Panel<'_>, rows: &[&Row], name: &str) -> bool {
    let zero = panel.drawn.iter().find(|e| {
        attribute(e, "stroke-dasharray").is_some() && attribute(e, "stroke") == Some("#B4491A")
    });
    assert!(
        panel.mk(at(zero.unwrap(), "y1")).abs() < panel.room(),
        "{name}"
    );
    let mut points: Vec<&str> = rows.iter().map(|row| row["point"].as_str()).collect();
    points.sort_unstable();
    points.dedup();
    let mut missed = false;
    for (place, point) in points.iter().enumerate() {
        let (ink, marks): (&str, Vec<(f64, f64)>) = match place {
            0 => {
                let dots = panel.marks("<circle", "#0B6E6E");
                let places = dots.iter().map(|dot| (at(dot, "cx"), at(dot, "cy")));
                ("#0B6E6E", places.collect())
            }
            _ => {
                let diamonds = panel.marks("<polygon", "#6B3FA0");
                ("#6B3FA0", diamonds.into_iter().map(middle).collect())
            }
        };
        let own: Vec<&&Row> = rows.iter().filter(|row| row["point"] == *point).collect();
        assert_eq!(marks.len(), own.len(), "{name}: {point}");
        let mut off = false;
        for ((x, y), row) in marks.into_iter().zip(own) {
            let drawn = panel.mk(y);
            if row["change_since_first_mk"].is_empty() {
                assert!(drawn.abs() < panel.room() && panel.bar(x, ink).is_none());
                continue;
            }
            let change = number(row, "change_since_first_mk");
            let half = 2.0 * number(row, "u_since_first_mk");
            let (high, low) = panel.bar(x, ink).unwrap();
            for (seen, stated) in [(drawn, change), (high, change + half), (low, change - half)] {
                let room = panel.room();
                near!(seen, stated, room, "{name} {point}: {seen} for {stated}");
            }
            off = low > 0.0 || high < 0.0;
        }
        missed |= off;
    }
    missed
}

#[test]
fn the_picture_of_the_sessions_shows_what_the_advice_rests_on() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    driftbook(&["run", "--quiet", "--out", out.to_str().unwrap()]).well();
    let read = |file: &str| read_csv(&out.join(file)).rows;
    let (sessions, all, advised) = (
        read("sessions.csv"),
        read("ratios.csv"),
        read("thermometers.csv"),
    );
    let mut moved = Vec::new();
    for advice in &advised {
        let name = &advice["instrument"];
        let page =
            fs::read_to_string(out.join(format!("instruments/{name}_triple-point-of-water.html")))
                .unwrap();
        let svg = page
            .split("<svg")
            .find(|svg| svg.contains("R at the triple point of water, mK"))
            .unwrap();
        let svg = svg.split("</svg>").next().unwrap();
        let title = attribute(svg, "aria-label").unwrap();
        let (begin, finding) = title.split_once(" advised; ").unwrap();
        assert_eq!(begin, format!("{name}: {}", advice["advice"]));
        let as_recorded = plain(finding);
        assert!(advice["reason"].starts_with(&as_recorded), "{title}");
        let elements: Vec<&str> = svg.lines().collect();
        let of = |row: &&Row| row["instrument"] == *name;
        let own: Vec<&Row> = sessions
            .iter()
            .filter(of)
            .filter(|row| row["point"] == "triple point of water")
            .collect();
        resistance(
            &Panel::of(&elements, "R at the triple point of water"),
            &own,
            name,
        );
        let own: Vec<&Row> = all.iter().filter(of).collect();
        if !own.is_empty() && ratios(&Panel::of(&elements, "W at other points"), &own, name) {
            moved.push(name.as_str());
        }
        assert_eq!(
            finding.contains(" moved by "),
            moved.last() == Some(&name.as_str()),
            "{title}"
        );
    }
    assert_eq!(
        moved,
        ["TH-106"],
        "the thermometer of the demo whose W moved"
    );
}
