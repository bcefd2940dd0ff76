/*! Random laboratories in random shapes of files, through `start`: what is not asked about is read
as it was meant. All are invented; the dice are the same for every run. */

use crate::desk::{Desk, loaded};
use crate::make_workbook::{rows, xlsx};
use crate::raw_shapes::Dice;
use crate::tool::driftbook;
use driftbook::records::date::iso;
use std::collections::BTreeMap;

/// Words of one language: item, date, error, correction, reading, nominal, U, tolerance, outcome,
/// pass, fail.
type Language = [&'static str; 11];

const LANGUAGES: [Language; 5] = [
    [
        "Serial no.",
        "Date",
        "Error",
        "Correction",
        "Reading",
        "Nominal",
        "U (k=2)",
        "Tolerance",
        "Result",
        "pass",
        "FAIL",
    ],
    [
        "Gerät",
        "Prüfdatum",
        "Abweichung",
        "Korrektur",
        "Anzeige",
        "Sollwert",
        "U (k=2)",
        "Toleranz",
        "Bewertung",
        "i.O.",
        "n.i.O.",
    ],
    [
        "N° de série",
        "Date d'étalonnage",
        "Écart",
        "Correction",
        "Valeur lue",
        "Valeur nominale",
        "U (k=2)",
        "Tolérance",
        "Conformité",
        "conforme",
        "non conforme",
    ],
    [
        "Equipo",
        "Fecha",
        "Error",
        "Corrección",
        "Lectura",
        "Valor nominal",
        "U (k=2)",
        "Tolerancia",
        "Conformidad",
        "conforme",
        "no conforme",
    ],
    [
        "Strumento",
        "Data",
        "Errore",
        "Correzione",
        "Lettura",
        "Valore nominale",
        "U (k=2)",
        "Tolleranza",
        "Esito",
        "conforme",
        "non conforme",
    ],
];

const DATES: [fn(u64, u64, u64) -> String; 8] = [
    |y, m, d| format!("{y}-{m:02}-{d:02}"),
    |y, m, d| format!("{d:02}.{m:02}.{y}"),
    |y, m, d| format!("{d}/{m}/{y}"),
    |y, m, d| format!("{m:02}/{d:02}/{y}"),
    |y, m, d| format!("{y}/{m:02}/{d:02} 10:30"),
    |y, m, d| format!("{d:02} {} {y}", MONTHS[m as usize - 1]),
    |y, m, d| format!("{d:02}.{m:02}.{:02}", y % 100),
    |y, m, d| format!("{m}/{d}/{y} 2:05 PM"),
];

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// What a check is meant to say: error, U, limits, each in thousandths; outcome.
#[derive(Debug, Clone, PartialEq)]
struct Meant {
    error: i64,
    u: Option<i64>,
    limit: Option<i64>,
    pass: Option<bool>,
}

/// How one laboratory writes.
#[derive(Debug)]
struct Habits {
    words: &'static Language,
    date: usize,
    comma: bool,
    delimiter: char,
    unit: &'static str,
    /// Where the unit stands: brackets of the header, the cell, a row of units.
    place: u64,
    /// As an error, a correction, a reading beside a nominal value.
    measured: u64,
    /// A row a check, a column a date, a column a point.
    layout: u64,
    titles: u64,
    has: [bool; 3],
    file: u64,
}

impl Habits {
    fn of(dice: &mut Dice) -> Self {
        let comma = dice.below(2) == 0;
        Habits {
            words: &LANGUAGES[dice.below(5) as usize],
            date: dice.below(8) as usize,
            comma,
            delimiter: dice.pick(&[';', '\t', if comma { ';' } else { ',' }]),
            unit: dice.pick(&["mV", "µm", "kPa", "Ω", "g"]),
            place: dice.below(3),
            measured: dice.below(3),
            layout: dice.pick(&[0, 0, 0, 1, 2]),
            titles: dice.below(3),
            has: [0; 3].map(|_: u8| dice.below(2) == 0),
            file: dice.below(5),
        }
    }

    fn number(&self, thousandths: i64) -> String {
        let (whole, part) = (thousandths.abs() / 1000, thousandths.abs() % 1000);
        let sign = if thousandths < 0 { "-" } else { "" };
        let mark = if self.comma && !self.is_book() {
            ","
        } else {
            "."
        };
        format!("{sign}{whole}{mark}{part:03}")
    }

    fn is_book(&self) -> bool {
        self.file == 4
    }

    /// A number with its unit, where cells have one.
    fn cell(&self, thousandths: i64) -> String {
        let unit = if self.place == 1 {
            format!(" {}", self.unit)
        } else {
            String::new()
        };
        self.number(thousandths) + &unit
    }

    fn header(&self, word: &str) -> String {
        match self.place {
            0 => format!("{word} [{}]", self.unit),
            _ => word.to_string(),
        }
    }

    fn day(&self, (y, m, d): (u64, u64, u64)) -> String {
        DATES[self.date](y, m, d)
    }
}

/// What a laboratory's file means, by item, day and point, and the rows of the file.
type Laboratory = (BTreeMap<String, Meant>, Vec<Vec<String>>);

/// A row a check.
fn long(habits: &Habits, dice: &mut Dice) -> Laboratory {
    let w = habits.words;
    let measured = [w[2], w[3], w[4]][habits.measured as usize];
    let mut header = vec![w[0].to_string(), w[1].into()];
    let mut units = vec![String::new(), String::new()];
    let column = |header: &mut Vec<String>, units: &mut Vec<String>, word: &str| {
        header.push(habits.header(word));
        units.push(habits.unit.to_string());
    };
    column(&mut header, &mut units, measured);
    if habits.measured == 2 {
        column(&mut header, &mut units, w[5]);
    }
    let names = [w[6], w[7]];
    for (name, _) in names.iter().zip(habits.has).filter(|(_, has)| *has) {
        column(&mut header, &mut units, name);
    }
    if habits.has[2] {
        header.push(w[8].into());
        units.push(String::new());
    }
    let mut rows = vec![header];
    if habits.place == 2 {
        rows.push(units);
    }
    let limit = 1000 * (2 + dice.below(40) as i64);
    let mut meant = BTreeMap::new();
    for item in 0..2 + dice.below(3) {
        for year in 2015..2019 + dice.below(5) {
            let day = (year, 1 + dice.below(12), 1 + dice.below(28));
            let error = dice.below(3 * limit as u64) as i64 - 3 * limit / 2;
            let u = 2 * (1 + dice.below(300) as i64);
            // What is stated agrees with the numbers, where limits tell.
            let stated = dice.below(6) > 0;
            let pass = if habits.has[1] {
                error.abs() <= limit
            } else {
                stated
            };
            let nominal = 100_000;
            let value = [error, -error, nominal + error][habits.measured as usize];
            let name = format!("G-{item}");
            let mut row = vec![name.clone(), habits.day(day), habits.cell(value)];
            if habits.measured == 2 {
                row.push(habits.cell(nominal));
            }
            if habits.has[0] {
                row.push(habits.cell(u));
            }
            if habits.has[1] {
                row.push(format!("±{}", habits.cell(limit)));
            }
            if habits.has[2] {
                row.push(if pass { w[9] } else { w[10] }.into());
            }
            rows.push(row);
            let of = Meant {
                error,
                u: habits.has[0].then_some(u),
                limit: habits.has[1].then_some(limit),
                pass: habits.has[2].then_some(pass),
            };
            meant.insert(format!("{name} {}", DATES[0](day.0, day.1, day.2)), of);
        }
    }
    (meant, rows)
}

/// A column a date, or a column a point.
fn wide(habits: &Habits, dice: &mut Dice) -> Laboratory {
    let w = habits.words;
    let by_date = habits.layout == 1;
    let days: Vec<_> = (2018..2023)
        .map(|y| (y, 1 + dice.below(12), 1 + dice.below(28)))
        .collect();
    let points = [5_u64, 10, 25];
    let mut header = vec![w[usize::from(!by_date)].to_string()];
    if by_date {
        header.extend(days.iter().map(|day| habits.day(*day)));
    } else {
        header.insert(0, w[0].to_string());
        header.extend(points.iter().map(|p| format!("{p} {}", habits.unit)));
    }
    let mut rows = vec![header];
    let mut meant = BTreeMap::new();
    let mut add = |name: String, error| {
        let of = Meant {
            error,
            u: None,
            limit: None,
            pass: None,
        };
        meant.insert(name, of);
    };
    for item in 0..3 {
        let name = format!("G-{item}");
        if by_date {
            let mut row = vec![name.clone()];
            for day in &days {
                let error = dice.below(9_000) as i64 - 4_500;
                row.push(habits.cell(error));
                add(format!("{name} {}", DATES[0](day.0, day.1, day.2)), error);
            }
            rows.push(row);
            continue;
        }
        for day in &days {
            let mut row = vec![name.clone(), habits.day(*day)];
            for point in points {
                let error = dice.below(90) as i64 - 45;
                row.push(habits.cell(1000 * point as i64 + error));
                let day = DATES[0](day.0, day.1, day.2);
                add(format!("{name} {day} {point} {}", habits.unit), error);
            }
            rows.push(row);
        }
    }
    (meant, rows)
}

/// Writes the rows as the laboratory keeps its files; the file's name.
fn write(desk: &Desk, habits: &Habits, mut table: Vec<Vec<String>>) -> &'static str {
    let titles = ["Records of an invented laboratory", "made up, all of them"];
    for title in titles.iter().take(habits.titles as usize) {
        table.insert(0, vec![title.to_string()]);
    }
    if habits.is_book() {
        let lines: Vec<String> = table.iter().map(|row| row.join("|")).collect();
        std::fs::write(desk.path("log.xlsx"), xlsx(&rows(&lines.join("\n")), false)).unwrap();
        return "log.xlsx";
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
    let bytes = match habits.file {
        0 => text.into_bytes(),
        1 => format!("\u{feff}{text}").into_bytes(),
        2 if text.chars().all(|c| western(c).is_some()) => {
            text.chars().filter_map(western).collect()
        }
        2 => text.into_bytes(),
        _ => {
            let units = std::iter::once(0xfeff).chain(text.encode_utf16());
            units.flat_map(u16::to_le_bytes).collect::<Vec<u8>>()
        }
    };
    std::fs::write(desk.path("log.csv"), bytes).unwrap();
    "log.csv"
}

/// What was read, in the terms of what was meant.
fn found(pipeline: &std::path::Path, unit: &str) -> Result<BTreeMap<String, Meant>, String> {
    let read = loaded(pipeline);
    let mut all = BTreeMap::new();
    let thousandths = |value: f64| (value.is_finite()).then(|| (value * 1e3).round() as i64);
    for history in read.histories.iter() {
        let own = history.item.unit.replace('\u{3bc}', "µ");
        if own != unit && !own.is_empty() {
            return Err(format!("unit {own} in place of {unit}"));
        }
        for i in 0..history.len() {
            let point = &history.item.point;
            let name = format!(
                "{} {} {point}",
                history.item.instrument,
                iso(history.date[i].floor())
            );
            let outcome = match history.outcome[i] {
                driftbook::records::Outcome::In => Some(true),
                driftbook::records::Outcome::Out => Some(false),
                driftbook::records::Outcome::Unknown => None,
            };
            let of = Meant {
                error: thousandths(history.as_found[i]).ok_or("no value")?,
                u: thousandths(history.u[i] * 2.0),
                limit: thousandths(history.upper[i]),
                pass: outcome,
            };
            all.insert(name.trim().to_string(), of);
        }
    }
    Ok(all)
}

/// How many laboratories were read whole, and how many were asked about.
fn laboratories(count: u32) -> (u32, u32) {
    let mut dice = Dice(20_261_129);
    let (mut whole, mut asked) = (0, 0);
    for number in 0..count {
        let habits = Habits::of(&mut dice);
        let (meant, table) = match habits.layout {
            0 => long(&habits, &mut dice),
            _ => wide(&habits, &mut dice),
        };
        let desk = Desk::new();
        let shown: Vec<String> = table.iter().take(4).map(|row| row.join(" | ")).collect();
        let name = write(&desk, &habits, table);
        let done = driftbook(&["start", desk.path(name).to_str().unwrap()]);
        let told = || {
            format!(
                "{number}: {habits:?}\n{}\n{}{}",
                shown.join("\n"),
                done.stdout,
                done.stderr
            )
        };
        let pipeline = desk.path("log.toml");
        let text = std::fs::read_to_string(&pipeline).unwrap_or_default();
        if done.status != 0
            || text.contains("= '? ")
            || text.contains("= \"? ")
            || done.stdout.contains("Not read yet")
        {
            asked += 1;
            continue;
        }
        let read = found(&pipeline, habits.unit);
        assert!(read.is_ok(), "{read:?}: {}", told());
        let read = read.unwrap();
        for (name, of) in &read {
            let mut of = of.clone();
            // Limits decide where no outcome is stated.
            of.pass = of
                .pass
                .filter(|_| meant.get(name).is_some_and(|m| m.pass.is_some()));
            assert_eq!(Some(&of), meant.get(name), "{name}: {}", told());
        }
        whole += u32::from(read.len() == meant.len());
    }
    (whole, asked)
}

#[test]
fn no_random_export_is_read_silently_wrong() {
    const LABORATORIES: u32 = 60;
    let (whole, asked) = laboratories(LABORATORIES);
    println!("{whole} read whole, {asked} asked about");
    assert!(
        whole + asked == LABORATORIES,
        "{whole} read whole, {asked} asked about"
    );
}
