/*! Random laboratories in random shapes of files, through `start`: what is not asked about is read
as it was meant. All are invented; the dice are the same for every run. */

use crate::desk::{Desk, answered, loaded};
use crate::make_workbook::{rows, xlsx};
use crate::random_laboratory::{Habits, Laboratory, Meant, laboratory, may_ask};
use crate::raw_shapes::Dice;
use crate::tool::driftbook;
use driftbook::records::Outcome;
use driftbook::records::date::iso as day_of;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Laboratories of a run, and the first of them; `DRIFTBOOK_LABORATORIES=COUNT` or `FIRST..END`
/// asks for others.
const LABORATORIES: std::ops::Range<u64> = 0..60;

const SEED: u64 = 20_261_129;

/// Writes the rows as the laboratory keeps its files; what is given to `start`, and the pipeline
/// file that it writes.
fn write(desk: &Desk, habits: &Habits, of: &Laboratory) -> (PathBuf, PathBuf) {
    let ending = if habits.is_book() { "xlsx" } else { "csv" };
    let pipeline = desk.path("log.toml");
    if habits.files == 1 {
        let path = desk.path(&format!("log.{ending}"));
        std::fs::write(&path, bytes(habits, of, &of.rows)).unwrap();
        return (path, pipeline);
    }
    let folder = desk.path("log");
    std::fs::create_dir(&folder).unwrap();
    let part = of.rows.len().div_ceil(habits.files as usize);
    for (number, rows) in of.rows.chunks(part).enumerate() {
        let path = folder.join(format!("{number}.{ending}"));
        std::fs::write(path, bytes(habits, of, rows)).unwrap();
    }
    (folder, pipeline)
}

fn bytes(habits: &Habits, of: &Laboratory, of_file: &[Vec<String>]) -> Vec<u8> {
    let titles = ["made up, all of them", "Records of an invented laboratory"];
    let mut table: Vec<Vec<String>> = titles
        .iter()
        .take(habits.titles as usize)
        .map(|title| vec![title.to_string()])
        .collect();
    table.extend(of.header.iter().chain(of_file).cloned());
    match habits.footer {
        0 => table.push(vec!["Printed on paper".into()]),
        1 => table.extend([vec![], vec!["Total".into(), String::new(), "12".into()]]),
        _ => {}
    }
    if habits.is_book() {
        let lines: Vec<String> = table.iter().map(|row| row.join("|")).collect();
        return xlsx(&rows(&lines.join("\n")), false);
    }
    let d = habits.delimiter.to_string();
    let width = table.iter().map(Vec::len).max().unwrap();
    let line = |row: &Vec<String>| {
        let mut row = row.clone();
        row.resize(width, String::new());
        row.join(&d) + "\r\n"
    };
    let text: String = table.iter().map(line).collect();
    let western = |c: char| u8::try_from(u32::from(c)).ok();
    match habits.file {
        0 => text.into_bytes(),
        1 => format!("\u{feff}{text}").into_bytes(),
        2 if text.chars().all(|c| western(c).is_some()) => {
            text.chars().filter_map(western).collect()
        }
        2 => text.into_bytes(),
        _ => {
            let units = std::iter::once(0xfeff).chain(text.encode_utf16());
            units.flat_map(u16::to_le_bytes).collect()
        }
    }
}

/// What was read, in the terms of what was meant.
fn found(pipeline: &Path, unit: (&str, &str)) -> Result<BTreeMap<String, Meant>, String> {
    let read = loaded(pipeline);
    let mut all = BTreeMap::new();
    for history in read.histories.iter() {
        let own = history.item.unit.replace('\u{3bc}', "µ");
        let factor = match own.as_str() {
            "" => 1e3,
            own if own == unit.0 => 1e3,
            own if own == unit.1 => 1.0,
            own => return Err(format!("unit {own} in place of {}", unit.0)),
        };
        let thousandths = |value: f64| value.is_finite().then(|| (value * factor).round() as i64);
        let point = amount(&history.item.point, unit);
        for i in 0..history.len() {
            let day = day_of(history.date[i].floor());
            let name = format!("{} {day} {point}", history.item.instrument);
            let of = Meant {
                error: thousandths(history.as_found[i]),
                left: thousandths(history.as_left[i]),
                u: thousandths(history.u[i] * 2.0),
                limits: thousandths(history.lower[i]).zip(thousandths(history.upper[i])),
                pass: match history.outcome[i] {
                    Outcome::In => Some(true),
                    Outcome::Out => Some(false),
                    Outcome::Unknown => None,
                },
            };
            if let Some(other) = all.insert(name.trim().to_string(), of) {
                return Err(format!("{name} twice: {other:?}"));
            }
        }
    }
    Ok(all)
}

/// The nominal value of a point in the unit; empty where it has none.
fn amount(point: &str, unit: (&str, &str)) -> String {
    let (number, own) = point.split_once(' ').unwrap_or((point, unit.0));
    let factor = if own.replace('\u{3bc}', "µ") == unit.1 {
        1e-3
    } else {
        1.0
    };
    number.parse().map_or(point.to_string(), |number: f64| {
        (number * factor).to_string()
    })
}

/// How `start` and a reading by its draft end with one laboratory.
enum Read {
    Whole,
    InPart,
    Asked(String),
}

fn read(number: u64) -> Read {
    let mut dice = Dice(SEED.wrapping_add(number.wrapping_mul(0x9e37_79b9)));
    let habits = Habits::of(&mut dice);
    let of = laboratory(&habits, &mut dice);
    let desk = Desk::new();
    let (named, pipeline) = write(&desk, &habits, &of);
    let done = driftbook(&["start", named.to_str().unwrap()]);
    let shown = of.header.iter().chain(of.rows.iter().take(3));
    let shown: Vec<String> = shown.map(|row| row.join(" | ")).collect();
    let told = || {
        format!(
            "{number}: {habits:?}\n{}\n{}{}",
            shown.join("\n"),
            done.stdout,
            done.stderr
        )
    };
    let text = std::fs::read_to_string(&pipeline).unwrap_or_default();
    // What nobody can tell from such a file is answered as it was taken.
    let mut asked = text.lines().filter(|line| {
        ["= '? ", "= \"? ", "= \"\"\"? "]
            .iter()
            .any(|mark| line.contains(mark))
    });
    let others = |line: &&str| !may_ask(&habits).contains(&line.split(' ').next().unwrap_or(""));
    if let Some(other) = asked.find(others) {
        return Read::Asked(format!("{}\n{other}", told()));
    }
    if done.stdout.contains("Not read yet") || text.is_empty() {
        return Read::Asked(told());
    }
    std::fs::write(&pipeline, answered(&text)).unwrap();
    let read = found(&pipeline, habits.unit);
    assert!(read.is_ok(), "{read:?}: {}", told());
    let read = read.unwrap();
    for (name, own) in &read {
        let meant = of.meant.get(name);
        let mut own = own.clone();
        // Limits decide where no outcome is stated.
        own.pass = own.pass.filter(|_| meant.is_some_and(|m| m.pass.is_some()));
        // What is left is known where nothing was done.
        own.left = own.left.filter(|_| meant.is_some_and(|m| m.left.is_some()));
        assert_eq!(Some(&own), meant, "{name}: {}", told());
    }
    match read.len() == of.meant.len() {
        true => Read::Whole,
        false => Read::InPart,
    }
}

fn wanted() -> std::ops::Range<u64> {
    let Ok(text) = std::env::var("DRIFTBOOK_LABORATORIES") else {
        return LABORATORIES;
    };
    let number = |text: &str| text.parse::<u64>().unwrap();
    match text.split_once("..") {
        Some((first, end)) => number(first)..number(end),
        None => 0..number(&text),
    }
}

#[test]
fn no_random_export_is_read_silently_wrong() {
    let laboratories = wanted();
    let show = std::env::var("DRIFTBOOK_LABORATORIES").is_ok();
    let count = laboratories.clone().count();
    let (mut whole, mut asked, mut part, mut wrong) = (0, 0, 0, Vec::new());
    for number in laboratories {
        match std::panic::catch_unwind(|| read(number)) {
            Ok(Read::Whole) => whole += 1,
            Ok(Read::InPart) => part += 1,
            Ok(Read::Asked(told)) => {
                asked += 1;
                if show {
                    println!("ASKED {told}\n=====");
                }
            }
            Err(_) => wrong.push(number),
        }
    }
    println!(
        "{whole} read whole, {part} in part, {asked} asked about, {} wrong",
        wrong.len()
    );
    assert!(wrong.is_empty(), "silently wrong: {wrong:?}");
    assert_eq!(whole + part + asked, count);
}
