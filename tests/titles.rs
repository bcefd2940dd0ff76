/*! What the title of a history's chart says is what decides, and what the picture below it shows.

The demo, and random histories of every kind under several models, along time and along use.
*/

#[path = "titles/shipped.rs"]
mod shipped;

#[path = "titles/random.rs"]
mod random;

use crate::desk::Desk;
use crate::raw_shapes::Dice;
use crate::tool::{driftbook, read_csv};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

type Row = BTreeMap<String, String>;

/// One history as a run tells it: its decision, its title, its picture and its page.
struct Told {
    name: String,
    decision: Row,
    title: String,
    svg: String,
    page: String,
    /// Along use, not along time.
    usage: bool,
}

fn number(row: &Row, column: &str) -> Option<f64> {
    row[column].parse().ok().filter(|v: &f64| v.is_finite())
}

/// The words of an SVG element with its marks read back.
fn plain(text: &str) -> String {
    let marks = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&amp;", "&"),
    ];
    marks
        .iter()
        .fold(text.to_string(), |text, (from, to)| text.replace(from, to))
        .replace('\u{a0}', " ")
        .replace('\u{2212}', "-")
}

/// Every history of a report that has a picture.
fn told(report: &Path, usage: bool) -> Vec<Told> {
    let mut pictures: BTreeMap<String, (String, String)> = BTreeMap::new();
    for entry in fs::read_dir(report.join("charts")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap();
        let svg = fs::read_to_string(&path).unwrap();
        let page = fs::read_to_string(report.join(format!("instruments/{name}.html"))).unwrap();
        let title = between(&svg, "<title>", "</title>").unwrap();
        pictures.insert(plain(title), (svg.clone(), page));
    }
    let decisions = read_csv(&report.join("decisions.csv")).rows;
    let found = decisions.into_iter().filter_map(|decision| {
        let name = match decision["point"].as_str() {
            "" => decision["instrument"].clone(),
            point => format!("{}, {point}", decision["instrument"]),
        };
        let head = format!("{name}: ");
        let (title, (svg, page)) = pictures
            .iter()
            .find(|(title, _)| title.starts_with(&head))?;
        Some(Told {
            title: title[head.len()..].to_string(),
            svg: svg.clone(),
            page: page.clone(),
            name,
            decision,
            usage,
        })
    });
    found.collect()
}

fn between<'t>(text: &'t str, from: &str, to: &str) -> Option<&'t str> {
    text.split(from).nth(1)?.split(to).next()
}

fn numbers(text: &str, mark: char) -> Option<Vec<f64>> {
    text.split(mark).map(|number| number.parse().ok()).collect()
}

/// The line that is drawn, read off the picture: its value at a place on the axis (days or use), and what half a
/// unit of the picture is worth.
struct Line {
    /// First and last place on the axis, and where they stand.
    axis: Vec<f64>,
    /// Corners of the last stretch of the fit.
    corners: Vec<(f64, f64)>,
    /// Value at the height 0, and of one unit upward.
    height: (f64, f64),
    /// Place of the last check.
    last: f64,
    end: f64,
}

impl Line {
    /// `None` where no line is drawn, or fewer than two readings tell its scale.
    fn of(told: &Told) -> Option<Self> {
        let axis = numbers(between(&told.page, "data-axis=\"", "\"")?, ' ')?;
        let plot = numbers(between(&told.page, "data-plot=\"", "\"")?, ' ')?;
        let places = between(&told.page, "data-points=\"", "\"")?.split(' ');
        let table = between(&told.page, "<div id=\"checks\">", "</table>")?;
        let column = table
            .split("<th ")
            .skip(1)
            .position(|head| head.contains("as found"))?;
        let values = table.split("<tr").skip(2).map(|row| {
            let cell = row
                .split("<td")
                .nth(column + 1)
                .or(row.split("<t").nth(column + 1))?;
            plain(between(cell, ">", "<")?).parse().ok()
        });
        let marks: Vec<(f64, f64, f64)> = places
            .zip(values)
            .filter_map(|(place, value): (&str, Option<f64>)| {
                let place = numbers(place, ',')?;
                Some((place[0], place[1], value?))
            })
            .filter(|(_, y, _)| *y > plot[0] + 40.0 && *y < plot[1] - 40.0)
            .collect();
        let low = marks.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let high = marks.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        if high.1 - low.1 < 80.0 {
            return None;
        }
        let unit = (high.2 - low.2) / (high.1 - low.1);
        let height = (low.2 - unit * low.1, unit);
        // Readings that stand elsewhere than they were recorded tell no scale.
        let fits =
            |mark: &&(f64, f64, f64)| (height.0 + unit * mark.1 - mark.2).abs() < 2.0 * unit.abs();
        if !marks.iter().all(|mark| fits(&mark)) {
            return None;
        }
        let fit = "<polyline fill=\"none\" stroke=\"#1F2933\" stroke-width=\"7\"";
        let parts = told.svg.split(fit).skip(1);
        let last = parts
            .filter_map(|part| between(part, "points=\"", "\""))
            .last()?;
        let corners: Vec<(f64, f64)> = last
            .split_whitespace()
            .filter_map(|corner| {
                let corner = numbers(corner, ',')?;
                Some((corner[0], corner[1]))
            })
            .collect();
        let mut line = Self {
            axis,
            corners,
            height,
            last: 0.0,
            end: 0.0,
        };
        line.last = line.place(marks.iter().map(|mark| mark.0).fold(0.0, f64::max));
        line.end = line.place(line.corners.last()?.0);
        Some(line)
    }

    fn place(&self, x: f64) -> f64 {
        let [from, to, left, right] = self.axis[..] else {
            return f64::NAN;
        };
        from + (x - left) / (right - left) * (to - from)
    }

    fn value(&self, place: f64) -> Option<f64> {
        let [from, to, left, right] = self.axis[..] else {
            return None;
        };
        let x = left + (place - from) / (to - from) * (right - left);
        let pair = self
            .corners
            .windows(2)
            .find(|pair| pair[0].0 <= x + 0.6 && x <= pair[1].0 + 0.6)?;
        let share = ((x - pair[0].0) / (pair[1].0 - pair[0].0)).clamp(0.0, 1.0);
        let y = pair[0].1 + share * (pair[1].1 - pair[0].1);
        Some(self.height.0 + self.height.1 * y)
    }
}

/// What a title begins with where a person has to look.
const ALARMS: [&str; 15] = [
    " is out of tolerance",
    "found out of tolerance on ",
    "probability in tolerance today ",
    "its sessions advise to ",
    "no tolerance given",
    "the check standard is out of control",
    " moved together",
    "open case: ",
    "rests on a session in which",
    "lies far off",
    "is recorded on ",
    "stepped without",
    "repeated check",
    "contradicts itself",
    "more likely outside",
];

/// How a title tells of a movement, and the words for the line's course in it.
fn movement(title: &str) -> Option<(&str, f64, &str)> {
    let parts = title.split("; ");
    let mut found = parts.filter_map(|part| {
        let (kind, rest) = [
            "rises ",
            "falls ",
            "no clear drift (",
            "drift borrowed from its class, ",
        ]
        .iter()
        .find_map(|kind| Some((*kind, part.strip_prefix(kind)?)))?;
        let number: f64 = rest.split(' ').next()?.parse().ok()?;
        Some((kind, number, rest))
    });
    found.next()
}

/// Half a unit of the last digit that `text` begins with.
fn rounding(text: &str) -> f64 {
    let digits = text.split(' ').next().unwrap();
    let decimals = digits.split('.').nth(1).map_or(0, str::len);
    0.5 * 10f64.powi(-(decimals as i32))
}

/// Everything that a title promises, for one history; true where its slope was compared with the line.
fn check(told: &Told) -> bool {
    let Told {
        name,
        decision,
        title,
        svg,
        ..
    } = told;
    let action = decision["action"].as_str();
    let whole = format!("{name} ({action}): {title}\n{}", decision["reason"]);
    let person = matches!(action, "withdraw" | "review");
    if person {
        assert!(!title.contains("proposed"), "{whole}");
        assert!(!plain(svg).contains(">proposed"), "{whole}");
        let moves = movement(title).is_some() && title.ends_with("not to be used as it is");
        let known = ALARMS.iter().any(|words| title.contains(words));
        assert!(
            known || moves || leads_by_rule(told, title),
            "no cause: {whole}"
        );
    }
    // A failed check that no book closes comes before all else, where it does not hold the interval.
    let told_failure = between(
        &decision["reason"],
        " Yet it was found out of tolerance on ",
        ",",
    );
    let mut title = title.as_str();
    if let Some(day) = told_failure.filter(|_| !person) {
        let first = format!("found out of tolerance on {day}, not closed; ");
        assert!(title.starts_with(&first), "{whole}");
        title = &title[first.len()..];
    }
    // A failed last check that nothing restored comes first.
    if decision["reason"].contains("as found at the check of") && action == "withdraw" {
        let first = title.split("; ").next().unwrap();
        let said =
            ["is out of tolerance", "found out of tolerance"].map(|words| first.contains(words));
        assert!(said.contains(&true), "{whole}");
    }
    if !person {
        match last_rule(told) {
            Some(rule) => assert!(leads_by_rule(told, title), "{rule} does not lead: {whole}"),
            None => assert!(begins_by_itself(title), "{whole}"),
        }
    }
    match told.usage {
        true => {
            let words = plain(svg);
            for unit in [" a year", "/year", "within a year"] {
                assert!(!title.contains(unit), "a unit of time on use: {whole}");
                assert!(!words.contains(unit), "{unit} in the picture of {whole}");
            }
        }
        false => assert!(!title.contains("of use"), "{whole}"),
    }
    until(told, &whole);
    slope(told, &whole)
}

/// A title that names no rule begins with what was seen or how the value moves.
fn begins_by_itself(title: &str) -> bool {
    const OWN: [&str; 9] = [
        "the reading of ",
        "stepped without",
        "scatters more",
        "kept as in or out",
        "too few checks",
        "its dates cannot",
        "its values could not",
        "its rate of use",
        "no drift could be",
    ];
    let first = title.split("; ").next().unwrap();
    OWN.iter().any(|words| first.starts_with(words)) || movement(first).is_some()
}

/// The rule that fired last, as the page lists it.
fn last_rule(told: &Told) -> Option<String> {
    let list = between(&told.page, "Rules that fired</h2>", "</ul>")?;
    let last = list.rsplit("<li>").next()?;
    Some(plain(last.split("</li>").next()?))
}

/// True where a rule fired and the title begins with it, or with the interval that it led to: "extend to 730 d (rule)".
fn leads_by_rule(told: &Told, title: &str) -> bool {
    let first = title.split("; ").next().unwrap();
    let days = &told.decision["interval_days"];
    let heads = [
        format!("keep {days} d ("),
        format!("{} to {days} d (", told.decision["action"]),
    ];
    let led = heads.iter().find_map(|head| first.strip_prefix(head));
    let rule = led.map_or(first, |rest| rest.strip_suffix(')').unwrap());
    last_rule(told).is_some_and(|fired| fired.starts_with(rule))
}

/// Units of the picture by which the corners of the line may stand off it.
const PICTURE: f64 = 6.0;

/// A slope in the title is that of the line over the year after the last check, or over as much of it as is drawn
/// where it does not swing. True where there is a slope to check.
fn slope(told: &Told, whole: &str) -> bool {
    let (Some((kind, stated, rest)), Some(line)) = (movement(&told.title), Line::of(told)) else {
        return false;
    };
    let stretch = match told.usage {
        false => 365.25,
        true => {
            let words = rest.split(" of use").next().unwrap();
            words.rsplit(' ').next().unwrap().parse().unwrap()
        }
    };
    let swings = told.title.contains("swings with the year");
    let ahead = (line.end - line.last).min(stretch);
    if ahead < 0.3 * stretch || (swings && ahead < stretch) {
        return false;
    }
    let (Some(from), Some(to)) = (line.value(line.last), line.value(line.last + ahead)) else {
        return false;
    };
    let drawn = (to - from) * stretch / ahead;
    let pixel = PICTURE * line.height.1.abs() * stretch / ahead;
    // What a bend may differ from its drift before the title says so.
    let u = number(&told.decision, "u_drift_per_year").unwrap_or(0.0);
    let bend = if told.usage {
        0.1 * drawn.abs()
    } else {
        0.1 * drawn.abs().max(u)
    };
    let part = if rest.contains("within a year") || rest.contains("in the next") {
        1.0 - ahead / stretch
    } else {
        0.0
    };
    let room = rounding(rest) + pixel + bend + part * stated.abs();
    let signed = if kind == "falls " { -stated } else { stated };
    near!(
        drawn,
        signed,
        room,
        "{drawn} is drawn (room {room}): {whole}"
    );
    true
}

/// The dates in the title are those of the decision, and what is in force says whether it is overdue.
fn until(told: &Told, whole: &str) {
    let Told {
        title, decision, ..
    } = told;
    let due = &decision["due_date"];
    let in_force = &decision["in_force_due"];
    for words in ["next calibration by ", "proposed due date "] {
        if let Some(day) = title.split(words).nth(1) {
            assert_eq!(&day[..10], due, "{whole}");
        }
    }
    if title.contains("to be calibrated now") {
        assert_eq!(due, &decision["as_of"], "{whole}");
    }
    let overdue = !in_force.is_empty() && in_force < &decision["as_of"];
    let told_since = title.split("overdue since ").nth(1);
    if let Some(day) = told_since {
        assert_eq!(&day[..10], in_force, "{whole}");
    }
    let decided = matches!(decision["action"].as_str(), "extend" | "shorten" | "keep");
    let away = title.ends_with("to be calibrated before it serves again");
    assert_eq!(told_since.is_some() || away, overdue && decided, "{whole}");
}
