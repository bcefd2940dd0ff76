/*! The register, joined to the histories by instrument and point.

A row without a point holds for all points of its instrument; what a row with
the point states goes before it. A value that cannot be used is left out with a
warning, the rest of its row counts.
*/

mod columns;
mod former;
mod limits;
mod role;
mod row;
mod standing;

pub use former::FormerNames;
pub(crate) use role::{About, Role};
pub(crate) use standing::ItemStatus;

use super::cells::needed::Needed;
use super::date::DateFormat;
use super::history::label;
use super::names::Names;
use super::reading::table::{Table, TableFormat};
use super::screening::alike::NearNames;
use super::settings::RegisterSettings;
use super::{Item, LoadError, RegisterCounts, Warning};
use crate::words::agreeing;
use columns::columns;
use former::format_of;
use row::RowReader;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::path::Path;

/// The rows of the register, each as the facts of an item.
pub(crate) struct Register {
    rows: Vec<Item>,
    /// The pair of each of the rows, by its place among them.
    names: Names,
    /// Their numbers in the file.
    numbers: Vec<u32>,
    file: String,
    /// Rows that cannot be used.
    left_out: usize,
}

/// Reads the register; the table, without its rows, is returned for its warnings and the run record.
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
        names: Names::default(),
        numbers: Vec::with_capacity(table.len()),
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
        let place = register.names.code(&item.instrument, &item.point) as usize;
        if place < register.rows.len() {
            register.left_out += 1;
            let first = register.place(place);
            reader.warn(format!("left out: {} is already in {first}", label(&item)));
            continue;
        }
        register.numbers.push(table.number(row));
        register.rows.push(item);
    }
    let left_out = table
        .ragged
        .iter()
        .map(|(row, why)| Warning::new(format!("{shown}, row {row}"), format!("left out: {why}")));
    warnings.extend(left_out);
    table.warnings.extend(warnings);
    table.forget_rows();
    Ok((register, table))
}

impl Register {
    /// The instruments of the groups of `instrument` and of the check standards that speak of it; `None`
    /// where the register does not tell them, so that any instrument may belong to them.
    pub(crate) fn group_of(&self, instrument: &str) -> Option<HashSet<String>> {
        let own = self
            .rows
            .iter()
            .filter(|item| item.instrument == instrument);
        let mut groups: HashSet<&str> = own.map(|item| item.group.as_str()).collect();
        if groups.is_empty() || groups.contains("") {
            return None;
        }
        let lone = self.lone_standards()?;
        groups.extend(lone.iter().map(String::as_str));
        let members = self
            .rows
            .iter()
            .filter(|item| groups.contains(item.group.as_str()));
        Some(members.map(|item| item.instrument.clone()).collect())
    }

    /// The groups of check standards that have nothing of their unit to protect beside them, so that they
    /// speak of every item of it; `None` where one is in no group.
    pub(crate) fn lone_standards(&self) -> Option<BTreeSet<String>> {
        let standards = self.rows.iter();
        let standards = standards.filter(|item| item.role == Role::CheckStandard);
        let mut lone = BTreeMap::new();
        for standard in standards {
            if standard.group.is_empty() {
                return None;
            }
            lone.insert((&standard.group, &standard.unit), true);
        }
        if !lone.is_empty() {
            for item in &self.rows {
                if item.role != Role::CheckStandard
                    && let Some(lone) = lone.get_mut(&(&item.group, &item.unit))
                {
                    *lone = false;
                }
            }
        }
        let lone = lone.into_iter().filter(|(_, lone)| *lone);
        Some(lone.map(|((group, _), _)| group.clone()).collect())
    }

    /// The groups of each instrument that is in groups alone.
    pub(crate) fn groups(&self) -> BTreeMap<String, BTreeSet<String>> {
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
    pub(crate) fn only(mut self, needed: &Needed) -> Self {
        let rows = self.rows.into_iter().zip(self.numbers);
        let kept = rows.filter(|(row, _)| needed.includes(&row.instrument));
        (self.rows, self.numbers) = kept.unzip();
        self.names = Names::default();
        for row in &self.rows {
            self.names.code(&row.instrument, &row.point);
        }
        self
    }

    /// "register.csv, row 3" of the row at this place among those that count.
    fn place(&self, row: usize) -> String {
        format!("{}, row {}", self.file, self.numbers[row])
    }

    /// Fills in what the register knows of each item; warns of rows that match none.
    pub(crate) fn join(&self, items: &mut [Item]) -> (Vec<Warning>, RegisterCounts) {
        let mut used = vec![false; self.rows.len()];
        for item in items.iter_mut() {
            let exact = self.names.find(&item.instrument, &item.point);
            let general = self.names.find(&item.instrument, "");
            for row in exact.into_iter().chain(general) {
                used[row as usize] = true;
                fill(item, &self.rows[row as usize]);
            }
        }
        let unused: Vec<usize> = (0..used.len()).filter(|i| !used[*i]).collect();
        let counts = RegisterCounts {
            rows: self.rows.len() + self.left_out,
            matched: self.rows.len() - unused.len(),
            unmatched: unused.len(),
            left_out: self.left_out,
        };
        (self.unmatched(&unused, items), counts)
    }

    /// Warns of the rows that match no item, and of what they are likely to mean.
    fn unmatched(&self, unused: &[usize], items: &[Item]) -> Vec<Warning> {
        if unused.is_empty() {
            return Vec::new();
        }
        let known = NearNames::of(items.iter().map(|i| i.instrument.as_str()));
        let mut points: HashMap<&str, Vec<&str>> = HashMap::new();
        for item in items.iter() {
            points
                .entry(&item.instrument)
                .or_default()
                .push(&item.point);
        }
        let why = |i: &usize| {
            let row = &self.rows[*i];
            let why = match points.get(row.instrument.as_str()) {
                None => format!("no checks{}", known.words(&row.instrument)),
                Some(points) => format!(
                    "the instrument has checks, but none at this point{}",
                    NearNames::of(points.iter().copied()).words(&row.point)
                ),
            };
            Warning::new(self.place(*i), format!("{}: {why}", label(row)))
        };
        let words = format!(
            "{} of {} rows {}: each is named below",
            unused.len(),
            self.rows.len() + self.left_out,
            agreeing(
                unused.len(),
                "matches no history, and nothing is decided for it",
                "match no history, and nothing is decided for them"
            )
        );
        let all = std::iter::once(Warning::new(&self.file, words));
        all.chain(unused.iter().map(why)).collect()
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

#[cfg(test)]
mod tests;
