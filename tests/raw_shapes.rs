/*! Raw records in the shapes that laboratories keep, each with the truth that made it: every value
is recovered, or told as doubtful; none is silently wrong. All are invented. */

use driftbook::records::{Histories, Loaded, load};
use driftbook::settings::{PlanRequest, plan};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn read(path: &Path) -> Result<Loaded, String> {
    let plan = plan(&PlanRequest::new(
        Some(path.to_path_buf()),
        Some("2026-06-30".into()),
        chrono::NaiveDate::from_ymd_opt(2026, 7, 1).unwrap(),
    ))
    .map_err(|e| e.to_string())?;
    load(&plan.request()).map_err(|e| e.to_string())
}

/// Every check as text, by item and date: what must be recovered.
pub fn checks(histories: &Histories) -> BTreeMap<String, Vec<String>> {
    let mut all: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for history in histories.iter() {
        for i in 0..history.len() {
            let numbers = [
                history.as_found[i],
                history.as_left[i],
                history.u[i],
                history.lower[i],
                history.upper[i],
            ];
            let unit = history.item.unit.replace('\u{3bc}', "\u{b5}");
            let name = format!("{} at {}", history.item.name(), history.date[i]);
            let (outcome, event) = (history.outcome[i], history.event[i]);
            all.entry(name)
                .or_default()
                .push(format!("{numbers:?} {unit} {outcome:?} {event:?}"));
        }
    }
    all
}

fn shapes() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records/shapes");
    let entries = std::fs::read_dir(folder).unwrap();
    let mut shapes: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    shapes.retain(|path| path.is_dir());
    shapes.sort();
    shapes
}

/// What is wrong with the reading of one shape; `None` where it is right, or asked about.
fn wrong(shape: &Path) -> Option<String> {
    let found = read(&shape.join("lab.toml"));
    let expected = |name: &str| std::fs::read_to_string(shape.join(name)).ok();
    if let Some(asked) = expected("asked.txt") {
        return match found {
            Ok(loaded) => Some(format!("not asked: {:?}", checks(&loaded.histories))),
            Err(why) => (!why.contains(asked.trim())).then_some(why),
        };
    }
    let found = match found {
        Ok(found) => found,
        Err(why) => return Some(why),
    };
    let truth = read(&shape.join("truth.csv")).unwrap();
    assert!(truth.rejects.is_empty(), "{:?}", truth.rejects);
    let (own, true_ones) = (checks(&found.histories), checks(&truth.histories));
    if own != true_ones {
        return Some(format!(
            "{own:#?} is not {true_ones:#?}; {:?}",
            found.rejects
        ));
    }
    let told: Vec<&str> = found.rejects.iter().map(|r| &*r.reason).collect();
    let doubts = expected("doubts.txt").unwrap_or_default();
    let rows = found.rows.read - truth.rows.read;
    let right = told.len() as u64 == rows
        && match doubts.trim() {
            "" => found
                .warnings
                .iter()
                .all(|w| !w.words.contains("counts without its values")),
            doubts => {
                told.iter().any(|why| why.contains(doubts))
                    || found.warnings.iter().any(|w| w.words.contains(doubts))
            }
        };
    (!right).then(|| format!("{told:?} {:?}", found.warnings))
}

#[test]
fn every_raw_shape_is_read_right_or_asked_about() {
    let shapes = shapes();
    assert!(shapes.len() >= 25);
    let wrong = shapes
        .iter()
        .filter_map(|shape| Some((shape, wrong(shape)?)));
    let wrong: Vec<String> = wrong
        .map(|(shape, why)| format!("{}: {why}", shape.display()))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A small generator of choices, the same for every run (splitmix64, Steele, Lea and Flood 2014).
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % n
    }

    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len() as u64) as usize]
    }
}

/// A date format, and what writes a date in it.
type Dates = (&'static str, fn(u64, u64, u64) -> String);

/// How one laboratory writes its records.
#[derive(Debug)]
struct Habits {
    comma: bool,
    group: Option<char>,
    delimiter: char,
    /// Unit of the values' column, and where it is written: in the header, the cell, a column.
    unit: &'static str,
    place: u64,
    dates: Dates,
    tolerance: u64,
    words: (&'static str, &'static str),
    stated: bool,
}

fn iso(y: u64, m: u64, d: u64) -> String {
    format!("{y}-{m:02}-{d:02}")
}

impl Habits {
    fn of(dice: &mut Dice) -> Self {
        let comma = dice.below(2) == 0;
        let dates: [Dates; 3] = [
            ("", iso),
            ("%d.%m.%Y", |y, m, d| format!("{d:02}.{m:02}.{y}")),
            ("%m/%d/%Y", |y, m, d| format!("{m:02}/{d:02}/{y}")),
        ];
        Habits {
            comma,
            group: dice.pick(&[None, None, Some(' '), Some(if comma { '.' } else { ',' })]),
            delimiter: dice.pick(&[';', '\t']),
            unit: dice.pick(&["mK", "µK", "K"]),
            place: dice.below(3),
            dates: dice.pick(&dates),
            tolerance: dice.below(4),
            words: dice.pick(&[
                ("pass", "FAIL"),
                ("i.O.", "n.i.O."),
                ("oui", "non"),
                ("1", "0"),
            ]),
            stated: dice.below(2) == 0,
        }
    }

    /// `thousandths` of one as a number with three decimals or fewer, as this laboratory writes.
    fn number(&self, thousandths: i64, dice: &mut Dice) -> String {
        let (whole, part) = (thousandths.abs() / 1000, thousandths.abs() % 1000);
        let mut digits = whole.to_string();
        if let Some(group) = self.group.filter(|_| whole >= 1000) {
            digits.insert(digits.len() - 3, group);
        }
        let mut part = format!("{part:03}");
        while part.ends_with('0') && dice.below(3) > 0 {
            part.pop();
        }
        let sign = if thousandths < 0 { "-" } else { "" };
        let mark = if self.comma { "," } else { "." };
        match part.is_empty() {
            true => format!("{sign}{digits}"),
            false => format!("{sign}{digits}{mark}{part}"),
        }
    }
}

/// The records of a random laboratory, the same in our own way of writing, and its pipeline.
fn laboratory(dice: &mut Dice) -> (String, String, String) {
    let habits = Habits::of(dice);
    let unit = habits.unit;
    let (bare, header) = match habits.place {
        0 => (format!(" {unit}"), "Error".to_string()),
        1 => (String::new(), format!("Error [{unit}]")),
        _ => (String::new(), "Error".to_string()),
    };
    let named = |name: &str| match habits.place {
        1 => format!("{name} [{unit}]"),
        _ => name.to_string(),
    };
    let d = habits.delimiter.to_string();
    let mut heads = vec![
        "Item".to_string(),
        "Date".into(),
        header.clone(),
        named("U"),
        "OK".into(),
    ];
    let mut columns = format!(
        "instrument = \"Item\"\ndate = \"Date\"\nas_found = \"{header}\"\nu = \"{}\"\nin_tolerance = \"OK\"\n",
        named("U")
    );
    match habits.tolerance {
        0 => {}
        1 => {
            heads.extend([named("Min"), named("Max")]);
            columns += &format!(
                "lower = \"{}\"\nupper = \"{}\"\n",
                named("Min"),
                named("Max")
            );
        }
        _ => {
            heads.push(named("Tol"));
            columns += &format!("tolerance = \"{}\"\n", named("Tol"));
        }
    }
    if habits.place == 2 {
        heads.push("Einheit".into());
        columns += "unit = \"Einheit\"\n";
    }
    let mut raw = heads.join(&d) + "\n";
    let mut truth = "instrument,date,as_found,u,lower,upper,in_tolerance,unit\n".to_string();
    let thousandths = |n: i64| {
        format!(
            "{}{}.{:03}",
            if n < 0 { "-" } else { "" },
            n.abs() / 1000,
            n.abs() % 1000
        )
    };
    let limit = 1000 * dice.pick(&[5, 50, 2500]) as i64 + dice.pick(&[0, 0, 500, 250]);
    for item in 0..2 {
        for year in 2018..2024 {
            let size = dice.pick(&[1_000, 100_000, 9_000_000]);
            let found = dice.below(2 * size) as i64 - size as i64;
            let u = 1 + dice.below(20_000) as i64;
            let (m, day) = (1 + dice.below(12), 1 + dice.below(28));
            let pass = dice.below(5) > 0;
            let mut cells = vec![
                format!("G-{item}"),
                habits.dates.1(year, m, day),
                habits.number(found, dice) + &bare,
                habits.number(u, dice) + &bare,
                (if pass { habits.words.0 } else { habits.words.1 }).to_string(),
            ];
            match habits.tolerance {
                0 => {}
                1 => cells.extend([
                    habits.number(-limit, dice) + &bare,
                    habits.number(limit, dice) + &bare,
                ]),
                2 => cells.push("±".to_string() + &habits.number(limit, dice) + &bare),
                _ => cells.push(habits.number(limit, dice) + &bare),
            }
            if habits.place == 2 {
                cells.push(unit.to_string());
            }
            raw += &(cells.join(&d) + "\n");
            let limits = match habits.tolerance {
                0 => ",".to_string(),
                _ => format!("{},{}", thousandths(-limit), thousandths(limit)),
            };
            let date = iso(year, m, day);
            let (found, u) = (thousandths(found), thousandths(u));
            truth += &format!("G-{item},{date},{found},{u},{limits},{pass},{unit}\n");
        }
    }
    let mut lab = format!(
        "[checks]\nfiles = [\"raw.csv\"]\ndate_format = \"{}\"\n",
        habits.dates.0
    );
    if habits.stated {
        lab += &format!("decimal_comma = {}\n", habits.comma);
    }
    (raw, truth, lab + "[checks.columns]\n" + &columns)
}

/// Random laboratories in random shapes: a run reads what is true, rejects or asks.
#[test]
fn no_random_laboratory_is_read_silently_wrong() {
    let mut dice = Dice(20_261_128);
    let (mut right, mut asked) = (0, 0);
    for number in 0..600 {
        let (raw, truth, lab) = laboratory(&mut dice);
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        for (name, text) in [("raw.csv", &raw), ("truth.csv", &truth), ("lab.toml", &lab)] {
            std::fs::write(path(name), text).unwrap();
        }
        let Ok(found) = read(&path("lab.toml")) else {
            asked += 1;
            continue;
        };
        let true_ones = checks(&read(&path("truth.csv")).unwrap().histories);
        for (name, found) in checks(&found.histories) {
            let told = || format!("{number}: {name}\n{raw}\n{lab}");
            assert_eq!(Some(&found), true_ones.get(&name), "{}", told());
        }
        right += u32::from(found.rejects.is_empty());
    }
    assert!(right > 500, "{right} read whole, {asked} asked about");
}
