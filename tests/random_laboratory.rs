/*! Random laboratories: how each keeps its records, the rows of its files, and the truth that made
them. All are invented. */

#[path = "random_laboratory/layouts.rs"]
mod layouts;

use layouts::{long, wide};

use crate::raw_shapes::Dice;
use std::collections::BTreeMap;

/// Words of one language: item, date, error, correction, reading, nominal, U, tolerance, outcome,
/// pass, fail, as found, as left, lower, upper, results.
type Language = [&'static str; 16];

#[rustfmt::skip]
const LANGUAGES: [Language; 7] = [
    ["Serial no.", "Date", "Error", "Correction", "Reading", "Nominal", "U (k=2)", "Tolerance",
     "Result", "pass", "FAIL", "As found", "As left", "Lower limit", "Upper limit",
     "Results"],
    ["Gerät", "Prüfdatum", "Abweichung", "Korrektur", "Anzeige", "Sollwert", "U (k=2)", "Toleranz",
     "Bewertung", "i.O.", "n.i.O.", "vorgefunden", "hinterlassen", "Untergrenze", "Obergrenze",
     "Ergebnisse"],
    ["N° de série", "Date d'étalonnage", "Écart", "Correction", "Valeur lue", "Valeur nominale",
     "U (k=2)", "Tolérance", "Conformité", "conforme", "non conforme", "trouvé", "laissé",
     "Limite inférieure", "Limite supérieure", "Résultats"],
    ["Equipo", "Fecha", "Error", "Corrección", "Lectura", "Valor nominal", "U (k=2)", "Tolerancia",
     "Conformidad", "conforme", "no conforme", "encontrado", "dejado", "Límite inferior",
     "Límite superior", "Resultados"],
    ["Strumento", "Data", "Errore", "Correzione", "Lettura", "Valore nominale", "U (k=2)",
     "Tolleranza", "Esito", "conforme", "non conforme", "trovato", "lasciato", "Limite inferiore",
     "Limite superiore", "Risultati"],
    ["Przyrząd", "Data pomiaru", "Błąd", "Poprawka", "Wskazanie", "Wartość nominalna",
     "Niepewność (k=2)", "Tolerancja", "Wynik", "zgodny", "niezgodny", "Błąd", "Po adiustacji",
     "Dolna granica", "Górna granica", "Wyniki"],
    ["機器番号", "校正日", "誤差", "補正値", "測定値", "公称値", "U (k=2)", "許容差", "判定", "合格",
     "不合格", "調整前", "調整後", "下限", "上限", "結果"],
];

/// Units, with what a thousandth of each is called.
const UNITS: [(&str, &str); 5] = [
    ("mV", "µV"),
    ("µm", "nm"),
    ("kPa", "Pa"),
    ("Ω", "mΩ"),
    ("g", "mg"),
];

pub type Day = (u64, u64, u64);

type Written = fn(u64, u64, u64) -> String;

#[rustfmt::skip]
const DATES: [Written; 12] = [
    |y, m, d| format!("{y}-{m:02}-{d:02}"),
    |y, m, d| format!("{d:02}.{m:02}.{y}"),
    |y, m, d| format!("{d}/{m}/{y}"),
    |y, m, d| format!("{m:02}/{d:02}/{y}"),
    |y, m, d| format!("{y}/{m:02}/{d:02} 10:30"),
    |y, m, d| format!("{d:02} {} {y}", MONTHS[m as usize - 1]),
    |y, m, d| format!("{d:02}.{m:02}.{:02}", y % 100),
    |y, m, d| format!("{m}/{d}/{y} 2:05 PM"),
    |y, m, d| format!("{d:02}/{m:02}/{:02}", y % 100),
    |y, m, d| format!("{m:02}/{d:02}/{:02}", y % 100),
    |y, m, d| format!("{m:02}-{d:02}-{:02}", y % 100),
    |y, m, d| serial(y, m, d).to_string(),
];

/// The place of the spreadsheet's numbers of days among the dates.
const SERIAL: usize = 11;

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// A day as a spreadsheet counts it from 1900.
fn serial(y: u64, m: u64, d: u64) -> i64 {
    let date = |y: u64, m: u64, d: u64| {
        chrono::NaiveDate::from_ymd_opt(y as i32, m as u32, d as u32).unwrap()
    };
    (date(y, m, d) - date(1899, 12, 30)).num_days()
}

pub fn iso(day: Day) -> String {
    DATES[0](day.0, day.1, day.2)
}

/// What a check is meant to say: numbers in thousandths of the unit, outcome.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Meant {
    pub error: Option<i64>,
    pub left: Option<i64>,
    pub u: Option<i64>,
    pub limits: Option<(i64, i64)>,
    pub pass: Option<bool>,
}

/// What the rows of a file are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Layout {
    /// A row a check.
    Long,
    /// A row a check, and several nominal values a day.
    ManyPoints,
    /// A row a check, which has an outcome alone.
    Outcomes,
    /// A row a check with found and left.
    Pairs,
    /// A column a date.
    Dates,
    /// A column a year.
    Years,
    /// A column a point, whose header states value and unit.
    Points,
    /// A column a point, whose header is a bare number under the word for what is measured.
    BarePoints,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limits {
    None,
    PlusMinus,
    Bare,
    Two,
}

/// How one laboratory writes.
#[derive(Debug)]
pub struct Habits {
    words: &'static Language,
    date: usize,
    comma: bool,
    pub delimiter: char,
    pub unit: (&'static str, &'static str),
    /// Where the unit stands: brackets of the header, the cell, a row of units, the cell in one
    /// of two units.
    place: u64,
    /// As an error, a correction, a reading beside a nominal value.
    measured: u64,
    pub layout: Layout,
    limits: Limits,
    /// A header of two rows.
    two_rows: bool,
    pub titles: u64,
    pub footer: u64,
    /// Two decimals rather than three.
    coarse: bool,
    has_u: bool,
    has_outcome: bool,
    /// Values that were never taken.
    gaps: bool,
    group: &'static str,
    pub file: u64,
    pub files: u64,
}

impl Habits {
    pub fn of(dice: &mut Dice) -> Self {
        use Layout::*;
        let comma = dice.below(2) == 0;
        Habits {
            words: &LANGUAGES[dice.below(LANGUAGES.len() as u64) as usize],
            date: dice.below(DATES.len() as u64) as usize,
            comma,
            delimiter: dice.pick(&[';', '\t', '|', if comma { ';' } else { ',' }]),
            unit: dice.pick(&UNITS),
            place: dice.below(4),
            measured: dice.below(3),
            layout: dice.pick(&[
                Long, Long, Long, ManyPoints, ManyPoints, Outcomes, Pairs, Dates, Years, Points,
                BarePoints,
            ]),
            limits: dice.pick(&[Limits::None, Limits::PlusMinus, Limits::Bare, Limits::Two]),
            two_rows: dice.below(4) == 0,
            titles: dice.below(3),
            footer: dice.below(4),
            coarse: dice.below(3) > 0,
            has_u: dice.below(2) == 0,
            has_outcome: dice.below(2) == 0,
            gaps: dice.below(4) == 0,
            group: dice.pick(&["", "", "\u{a0}", "'"]),
            file: dice.below(5),
            files: dice.pick(&[1, 1, 3]),
        }
    }

    pub fn is_book(&self) -> bool {
        self.file == 4
    }

    fn number(&self, thousandths: i64) -> String {
        let (whole, part) = (thousandths.abs() / 1000, thousandths.abs() % 1000);
        let sign = if thousandths < 0 { "-" } else { "" };
        let (mark, group) = match self.is_book() {
            true => (".", ""),
            false => (if self.comma { "," } else { "." }, self.group),
        };
        let digits = format!("{part:03}");
        let digits = if self.coarse { &digits[..2] } else { &digits };
        format!("{sign}{}{mark}{digits}", grouped(whole, group))
    }

    /// A number as coarse as this laboratory writes it.
    fn grain(&self, thousandths: i64) -> i64 {
        if self.coarse {
            thousandths / 10 * 10
        } else {
            thousandths
        }
    }

    /// A number with its unit, where cells have one.
    fn cell(&self, thousandths: i64, dice: &mut Dice) -> String {
        match self.place {
            3 if dice.below(4) == 0 => {
                let group = if self.is_book() { "" } else { self.group };
                let sign = if thousandths < 0 { "-" } else { "" };
                format!(
                    "{sign}{} {}",
                    grouped(thousandths.abs(), group),
                    self.unit.1
                )
            }
            1 | 3 => format!("{} {}", self.number(thousandths), self.unit.0),
            _ => self.number(thousandths),
        }
    }

    fn header(&self, word: &str) -> String {
        match self.place {
            0 => format!("{word} [{}]", self.unit.0),
            _ => word.to_string(),
        }
    }

    fn day(&self, (y, m, d): Day) -> String {
        DATES[self.date](y, m, d)
    }

    /// The word for what is measured, and what a cell of it says of an error.
    fn measured(&self, error: i64, nominal: i64) -> i64 {
        [error, -error, nominal + error][self.measured as usize]
    }

    fn word_of_measured(&self) -> &'static str {
        [self.words[2], self.words[3], self.words[4]][self.measured as usize]
    }
}

fn grouped(whole: i64, group: &str) -> String {
    match whole {
        0..1000 => whole.to_string(),
        _ => format!("{}{group}{:03}", grouped(whole / 1000, group), whole % 1000),
    }
}

/// A laboratory's rows, those of the header among them, and what they mean by item, day and point.
pub struct Laboratory {
    pub meant: BTreeMap<String, Meant>,
    pub header: Vec<Vec<String>>,
    pub rows: Vec<Vec<String>>,
}

pub fn laboratory(habits: &Habits, dice: &mut Dice) -> Laboratory {
    match habits.layout {
        Layout::Long | Layout::ManyPoints | Layout::Outcomes | Layout::Pairs => long(habits, dice),
        _ => wide(habits, dice),
    }
}

/// The header of a table in one row or in two, and its row of units.
fn header(habits: &Habits, names: &[(&str, bool)]) -> Vec<Vec<String>> {
    let name = |(word, has_unit): &(&str, bool)| match has_unit {
        true => habits.header(word),
        false => word.to_string(),
    };
    let lower: Vec<String> = names.iter().map(name).collect();
    let mut rows = Vec::new();
    let mut lower = lower;
    if habits.two_rows {
        // Item and date stand in the upper row, and a word over the rest.
        let mut upper = vec![String::new(); names.len()];
        for i in 0..2 {
            upper[i] = std::mem::take(&mut lower[i]);
        }
        upper[2] = match habits.layout {
            Layout::Pairs => habits.words[2],
            _ => habits.words[15],
        }
        .into();
        rows.push(upper);
    }
    rows.push(lower);
    if habits.place == 2 {
        let unit = |(_, has_unit): &(&str, bool)| match has_unit {
            true => habits.unit.0.to_string(),
            false => String::new(),
        };
        rows.push(names.iter().map(unit).collect());
    }
    rows
}

/// What a first look cannot tell of such files, and takes as they were meant.
pub fn may_ask(habits: &Habits) -> &'static [&'static str] {
    match habits.layout {
        Layout::Years => &["header_days"],
        Layout::BarePoints => &["header_points"],
        _ if habits.date == SERIAL => &["date_system"],
        _ => &[],
    }
}
