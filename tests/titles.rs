/*! What the title of a history's chart says is what decides, and what the picture below it shows.

The demo, and random histories of every kind under several models, along time and along use.
*/

#[path = "titles/line.rs"]
mod line;
#[path = "titles/shipped.rs"]
mod shipped;

#[path = "titles/random.rs"]
mod random;

use crate::desk::Desk;
use crate::raw_shapes::Dice;
use crate::tool::{driftbook, read_csv};
use line::Line;
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
    "leaves open what holds",
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
