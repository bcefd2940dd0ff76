/*! The register, joined to the histories by instrument and point.

A row without a point holds for all points of its instrument; what a row with
the point states goes before it. A value that cannot be used is left out with a
warning, the rest of its row counts.
*/

use super::cells::marks::Marks;
use super::cells::needed::Needed;
use super::date::{self, DateFormat};
use super::former::{format_of, names_in};
use super::history::label;
use super::reading::table::{Table, TableColumn, TableFormat};
use super::register_limits::LimitCells;
use super::screening::alike::NearNames;
use super::settings::RegisterSettings;
use super::{
    About, Item, ItemStatus, LoadError, MOST_DAYS, RegisterCounts, Role, Tolerance, Warning,
};
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::path::Path;

/// Columns of the register in the order of [`columns`].
#[derive(Clone, Copy)]
enum Column {
    Instrument,
    Point,
    Group,
    Unit,
    Lower,
    Upper,
    IntervalDays,
    CapDays,
    FloorDays,
    LastCalibration,
    ReliabilityTarget,
    Cost,
    CostOutOfTolerance,
    Criticality,
    Description,
    Role,
    ControlChart,
    ControlFrom,
    Status,
    Until,
    Formerly,
    Tolerance,
}

/// The rows of the register, each as the facts of an item.
pub(crate) struct Register {
    rows: Vec<Item>,
    by_name: HashMap<(String, String), usize>,
    places: Vec<String>,
    file: String,
    /// Rows that cannot be used.
    left_out: usize,
}

fn columns(settings: &RegisterSettings) -> [TableColumn<'_>; 22] {
    let own = &settings.columns;
    [
        ("instrument", &own.instrument, true),
        ("point", &own.point, true),
        ("group", &own.group, true),
        ("unit", &own.unit, true),
        ("lower", &own.lower, false),
        ("upper", &own.upper, false),
        ("interval_days", &own.interval_days, false),
        ("cap_days", &own.cap_days, false),
        ("floor_days", &own.floor_days, false),
        ("last_calibration", &own.last_calibration, false),
        ("reliability_target", &own.reliability_target, false),
        ("cost", &own.cost, false),
        ("cost_out_of_tolerance", &own.cost_out_of_tolerance, false),
        ("criticality", &own.criticality, true),
        ("description", &own.description, true),
        ("role", &own.role, true),
        ("control_chart", &own.control_chart, true),
        ("control_from", &own.control_from, false),
        ("status", &own.status, true),
        ("until", &own.until, false),
        ("formerly", &own.formerly, true),
        ("tolerance", &own.tolerance, true),
    ]
    .map(|(name, own, text)| TableColumn {
        name,
        own: own.as_deref(),
        text,
        needed: name == "instrument",
    })
}

/// Reads the register; the table is returned for its warnings and the run record.
///
/// # Errors
/// See [`Table::read`].
pub(crate) fn read(
    path: &Path,
    shown: &str,
    settings: &RegisterSettings,
    (trim_names, as_of): (bool, f64),
    needed: Option<&Needed>,
) -> Result<(Register, Table), LoadError> {
    let columns = columns(settings);
    let format = TableFormat {
        needed,
        ..format_of(settings)
    };
    let mut table = Table::read(path, shown, &columns, format)?;
    let marks = table.marks(
        &columns,
        settings.decimal_comma,
        settings.thousands,
        "register",
    )?;
    table.warnings.extend(table.unread());
    let mut register = Register {
        rows: Vec::with_capacity(table.len()),
        by_name: HashMap::with_capacity(table.len()),
        places: Vec::new(),
        file: shown.to_string(),
        left_out: table.ragged.len(),
    };
    let mut warnings = Vec::new();
    for row in 0..table.len() {
        let mut reader = RowReader {
            table: &table,
            row,
            settings,
            dates: DateFormat::from_setting(&settings.date_format),
            marks,
            as_of,
            warnings: &mut warnings,
        };
        let item = reader.item(trim_names);
        if item.instrument.trim().is_empty() {
            register.left_out += 1;
            reader.warn("left out: no instrument".to_string());
            continue;
        }
        let name = (item.instrument.clone(), item.point.clone());
        if let Some(first) = register.by_name.get(&name) {
            register.left_out += 1;
            let first = &register.places[*first];
            reader.warn(format!("left out: {} is already in {first}", label(&item)));
            continue;
        }
        register.by_name.insert(name, register.rows.len());
        register.places.push(table.place(row));
        register.rows.push(item);
    }
    let left_out = table
        .ragged
        .iter()
        .map(|(row, why)| Warning::new(format!("{shown}, row {row}"), format!("left out: {why}")));
    warnings.extend(left_out);
    table.warnings.extend(warnings);
    Ok((register, table))
}

impl Register {
    /// The instruments of the groups of `instrument`; `None` where the register does not tell
    /// them, so that any instrument may belong to it.
    pub fn group_of(&self, instrument: &str) -> Option<HashSet<String>> {
        let own = self
            .rows
            .iter()
            .filter(|item| item.instrument == instrument);
        let groups: HashSet<&str> = own.map(|item| item.group.as_str()).collect();
        if groups.is_empty() || groups.contains("") {
            return None;
        }
        let members = self
            .rows
            .iter()
            .filter(|item| groups.contains(item.group.as_str()));
        Some(members.map(|item| item.instrument.clone()).collect())
    }

    /// The groups of each instrument that is in groups alone.
    pub fn groups(&self) -> BTreeMap<String, BTreeSet<String>> {
        let mut groups: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for item in &self.rows {
            let own = groups.entry(&item.instrument).or_default();
            own.insert(&item.group);
        }
        let stated = groups.into_iter().filter(|(_, own)| !own.contains(""));
        stated
            .map(|(name, own)| (name.into(), own.into_iter().map(String::from).collect()))
            .collect()
    }

    /// Keeps the rows of the instruments that are `needed`.
    pub fn only(mut self, needed: &Needed) -> Self {
        let kept = (0..self.rows.len()).filter(|i| needed.includes(&self.rows[*i].instrument));
        let places = kept.map(|i| (self.rows[i].clone(), self.places[i].clone()));
        (self.rows, self.places) = places.unzip();
        let names = self.rows.iter().enumerate();
        let named = names.map(|(i, row)| ((row.instrument.clone(), row.point.clone()), i));
        self.by_name = named.collect();
        self
    }

    /// Fills in what the register knows of each item; warns of rows that match none.
    pub fn join(&self, items: &mut [Item]) -> (Vec<Warning>, RegisterCounts) {
        let mut used = vec![false; self.rows.len()];
        for item in items.iter_mut() {
            let exact = (item.instrument.clone(), item.point.clone());
            let general = (item.instrument.clone(), String::new());
            for name in [exact, general] {
                if let Some(&index) = self.by_name.get(&name) {
                    used[index] = true;
                    fill(item, &self.rows[index]);
                }
            }
        }
        let known = NearNames::of(items.iter().map(|i| i.instrument.as_str()));
        let mut points: HashMap<&str, Vec<&str>> = HashMap::new();
        for item in items.iter() {
            points
                .entry(&item.instrument)
                .or_default()
                .push(&item.point);
        }
        let unused: Vec<usize> = (0..used.len()).filter(|i| !used[*i]).collect();
        let why = |i: &usize| {
            let row = &self.rows[*i];
            let why = match points.get(row.instrument.as_str()) {
                None => format!("no checks{}", known.words(&row.instrument)),
                Some(points) => format!(
                    "the instrument has checks, but none at this point{}",
                    NearNames::of(points.iter().copied()).words(&row.point)
                ),
            };
            Warning::new(&self.places[*i], format!("{}: {why}", label(row)))
        };
        let mut warnings = Vec::new();
        if !unused.is_empty() {
            let words = format!(
                "{} of {} rows match no history, and nothing is decided for them: each is named below",
                unused.len(),
                self.rows.len() + self.left_out
            );
            warnings.push(Warning::new(&self.file, words));
        }
        warnings.extend(unused.iter().map(why));
        let counts = RegisterCounts {
            rows: self.rows.len() + self.left_out,
            matched: self.rows.len() - unused.len(),
            unmatched: unused.len(),
            left_out: self.left_out,
        };
        (warnings, counts)
    }
}

/// Fills in what `item` does not know yet.
fn fill(item: &mut Item, known: &Item) {
    let text = |own: &mut String, known: &String| {
        if own.is_empty() {
            own.clone_from(known);
        }
    };
    text(&mut item.group, &known.group);
    text(&mut item.unit, &known.unit);
    text(&mut item.criticality, &known.criticality);
    text(&mut item.description, &known.description);
    if item.role == Role::Unstated {
        item.role = known.role;
    }
    item.control_chart = item.control_chart.or(known.control_chart);
    item.control_from = item.control_from.or(known.control_from);
    if !item.status.is_away() {
        (item.status, item.until) = (known.status, known.until);
    }
    if item.formerly.is_empty() {
        item.formerly.clone_from(&known.formerly);
    }
    item.tolerance = item.tolerance.or(known.tolerance);
    item.interval_days = item.interval_days.or(known.interval_days);
    item.cap_days = item.cap_days.or(known.cap_days);
    item.floor_days = item.floor_days.or(known.floor_days);
    item.last_calibration = item.last_calibration.or(known.last_calibration);
    item.reliability_target = item.reliability_target.or(known.reliability_target);
    item.cost = item.cost.or(known.cost);
    item.cost_out_of_tolerance = item.cost_out_of_tolerance.or(known.cost_out_of_tolerance);
}

/// Reads one row of the register, collecting warnings.
struct RowReader<'a> {
    table: &'a Table,
    row: usize,
    settings: &'a RegisterSettings,
    dates: DateFormat,
    marks: Marks,
    as_of: f64,
    warnings: &'a mut Vec<Warning>,
}

impl RowReader<'_> {
    fn item(&mut self, trim_names: bool) -> Item {
        let name = |text: String| {
            if trim_names {
                text.trim().to_string()
            } else {
                text
            }
        };
        let positive = |v: f64| v > 0.0;
        let share = |v: f64| v > 0.0 && v < 1.0;
        let (status, until) = self.status();
        let (tolerance, unit) = self.limits();
        Item {
            instrument: name(self.text(Column::Instrument)),
            point: name(self.text(Column::Point)),
            group: self.text(Column::Group).trim().to_string(),
            unit,
            tolerance,
            interval_days: self.days(Column::IntervalDays),
            cap_days: self.days(Column::CapDays),
            floor_days: self.days(Column::FloorDays),
            last_calibration: self.past_day(Column::LastCalibration),
            reliability_target: self.number(
                Column::ReliabilityTarget,
                share,
                "above 0 and below 1",
            ),
            cost: self.number(Column::Cost, positive, "above 0"),
            cost_out_of_tolerance: self.number(Column::CostOutOfTolerance, positive, "above 0"),
            criticality: self.text(Column::Criticality).trim().to_string(),
            description: self.text(Column::Description).trim().to_string(),
            role: self.role(),
            control_chart: self.control_chart(),
            control_from: self.past_day(Column::ControlFrom),
            status,
            until,
            formerly: names_in(&self.text(Column::Formerly))
                .map(str::to_string)
                .collect(),
            signed: None,
            assigned: false,
            grid: None,
            contradiction: None,
            untold_source: None,
            between_sources: 0.0,
        }
    }

    /// Where the item stands on the as-of date, and the last day of it.
    fn status(&mut self) -> (ItemStatus, Option<f64>) {
        let word = self.text(Column::Status);
        let stated = match word.trim() {
            "" => None,
            word => ItemStatus::of_word(word),
        };
        if stated.is_none() && !word.trim().is_empty() {
            self.warn(format!(
                "status \"{}\" is left out: expected in_use, lent, stored, retired or lost",
                word.trim()
            ));
        }
        let field = self.table.field(self.row, Column::Until as usize);
        let until = field.date(&self.dates).map(f64::floor);
        if until.is_none() && !field.is_blank() {
            let words = self.dates.words();
            self.warn(format!(
                "until \"{}\" is left out: not a date: {words}",
                field.text()
            ));
        }
        match until.is_some_and(|day| day < self.as_of.floor()) {
            true => (ItemStatus::InUse, None),
            false => (stated.unwrap_or_default(), until),
        }
    }

    fn warn(&mut self, words: String) {
        self.warnings
            .push(Warning::new(self.table.place(self.row), words));
    }

    fn text(&self, column: Column) -> String {
        self.table
            .field(self.row, column as usize)
            .text()
            .into_owned()
    }

    fn number(&mut self, column: Column, test: fn(f64) -> bool, expected: &str) -> Option<f64> {
        let field = self.table.field(self.row, column as usize);
        let name = columns(self.settings)[column as usize].name;
        let why = match field.number(self.marks) {
            Ok(None) => return None,
            Ok(Some(number)) if test(number.value) => return Some(number.value),
            Ok(Some(_)) => format!("expected {expected}"),
            Err(problem) => problem.words().to_string(),
        };
        self.warn(format!("{name} \"{}\" is left out: {why}", field.text()));
        None
    }

    /// A length of time; what is asked for bounds what is computed and drawn.
    fn days(&mut self, column: Column) -> Option<f64> {
        let bounded = |days: f64| days > 0.0 && days <= MOST_DAYS;
        let expected = format!("a number of days above 0, {MOST_DAYS} (a century) at the most");
        self.number(column, bounded, &expected)
    }

    /// The tolerance, from two limits or one column, and the unit in which it is.
    fn limits(&mut self) -> (Option<Tolerance>, String) {
        let cells = LimitCells {
            table: self.table,
            row: self.row,
            marks: self.marks,
            columns: [Column::Lower, Column::Upper, Column::Tolerance].map(|c| c as usize),
            unit: self.text(Column::Unit).trim().to_string(),
        };
        let (limits, unit) = cells.read();
        let tolerance = limits.unwrap_or_else(|why| {
            self.warn(why);
            None
        });
        (tolerance, unit)
    }

    fn role(&mut self) -> Role {
        let word = self.text(Column::Role);
        Role::of(&word).unwrap_or_else(|| {
            self.warn(format!(
                "role \"{word}\" is left out: expected reference, working or check_standard"
            ));
            Role::Unstated
        })
    }

    fn control_chart(&mut self) -> Option<About> {
        let word = self.text(Column::ControlChart);
        let about = About::of(&word);
        if about.is_none() && !word.trim().is_empty() {
            self.warn(format!(
                "control_chart \"{word}\" is left out: expected drift or constant"
            ));
        }
        about
    }

    /// A day up to the as-of date.
    fn past_day(&mut self, column: Column) -> Option<f64> {
        let field = self.table.field(self.row, column as usize);
        let name = columns(self.settings)[column as usize].name;
        if field.is_blank() {
            return None;
        }
        let why = match field.date(&self.dates) {
            Some(day) if day.floor() <= self.as_of => return Some(day),
            Some(_) => format!("it lies after the as-of date {}", date::iso(self.as_of)),
            None => format!("not a date: {}", self.dates.words()),
        };
        self.warn(format!("{name} \"{}\" is left out: {why}", field.text()));
        None
    }
}

#[cfg(test)]
#[path = "register_tests.rs"]
mod tests;
