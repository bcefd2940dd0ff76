/*! The register, joined to the histories by instrument and point.

A row without a point holds for all points of its instrument; what a row with
the point states goes before it. A value that cannot be used is left out with a
warning, the rest of its row counts.
*/

pub(crate) mod columns;
mod former;
mod repeated;
mod role;
mod row;
mod sides;
mod standing;

pub use former::FormerNames;
pub(crate) use role::{About, Role};
pub(crate) use standing::ItemStatus;

use super::cells::row::needed::Needed;
use super::date::DateFormat;
use super::load::names::Names;
use super::reading::table::{Table, TableFormat};
use super::screening::alike::{Near, NearNames};
use super::settings::RegisterSettings;
use super::{Item, LoadError, RegisterCounts, Warning};
use crate::words::{agreeing, and_others, count, number};
use former::format_of;
use rayon::prelude::*;
use repeated::leave_open;
use row::{RowFormat, RowReader};
use sides::Sides;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::path::Path;

/// The rows of the register. They stay cells, read into the facts of an item where its history asks
/// for them: facts take ten times the memory, and would stand beside those of the histories.
pub(crate) struct Register<'a> {
    /// With what is to be said of the rows, and the run record's entry.
    pub table: Table,
    format: RowFormat<'a>,
    /// The rows that count, by their places in the table.
    rows: Vec<u32>,
    /// The pair of each of these, by its place among them.
    names: Names,
    /// Group and unit of each, as a code of `kinds`, and what it serves for.
    kind: Vec<(u32, Role)>,
    kinds: Names,
    /// Rows that cannot be used.
    left_out: usize,
    /// Further rows of a pair, by its place: what they state otherwise does not count.
    again: BTreeMap<u32, Vec<u32>>,
}

/// Reads the register.
///
/// # Errors
/// See [`Table::read`].
pub(crate) fn read<'a>(
    path: &Path,
    shown: &str,
    settings: &'a RegisterSettings,
    (trim_names, as_of): (bool, f64),
    needed: Option<&Needed>,
) -> Result<Register<'a>, LoadError> {
    let columns = settings.columns.columns();
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
    let format = RowFormat {
        settings,
        dates: DateFormat::from_setting(&settings.date_format),
        next_due: DateFormat::from_setting(match settings.next_due_format.as_str() {
            "" => &settings.date_format,
            own => own,
        }),
        marks,
        as_of,
        trim_names,
    };
    let left_out = table.ragged.len();
    let mut register = Register {
        rows: Vec::with_capacity(table.len()),
        table,
        format,
        names: Names::default(),
        kind: Vec::new(),
        kinds: Names::default(),
        left_out,
        again: BTreeMap::new(),
    };
    let (mut warnings, statuses) = register.take_rows();
    let ragged = register.table.ragged.iter();
    let left_out = ragged
        .map(|(row, why)| Warning::new(format!("{shown}, row {row}"), format!("left out: {why}")));
    warnings.extend(left_out);
    warnings.extend(statuses_told(&statuses, shown));
    register.table.warnings.extend(warnings);
    Ok(register)
}

/// Says which statuses were read from other words than ours, and of how many rows.
fn statuses_told(read: &BTreeMap<(String, ItemStatus), usize>, shown: &str) -> Option<Warning> {
    let words = read.iter().map(|((word, status), rows)| {
        format!(
            "\"{word}\" is read as {} ({})",
            status.word(),
            count(*rows, "row")
        )
    });
    let words: Vec<String> = words.collect();
    (!words.is_empty()).then(|| Warning::new(shown, format!("status: {}", words.join(", "))))
}

impl Register<'_> {
    /// Takes the rows that count, each pair once; what is to be said of the rows, and the statuses
    /// that they state in other words than ours.
    fn take_rows(&mut self) -> (Vec<Warning>, BTreeMap<(String, ItemStatus), usize>) {
        let mut warnings = Vec::new();
        let mut statuses: BTreeMap<(String, ItemStatus), usize> = BTreeMap::new();
        let mut sides = Sides::default();
        for row in 0..self.table.len() {
            let mut reader = RowReader {
                table: &self.table,
                row,
                format: &self.format,
                warnings: &mut warnings,
            };
            let item = reader.item();
            if item.instrument.trim().is_empty() {
                self.left_out += 1;
                reader.warn("left out: no instrument".to_string());
                continue;
            }
            let place = self.names.code(&item.instrument, &item.point) as usize;
            if place < self.rows.len() {
                self.left_out += 1;
                let first = self.place(place);
                let other = leave_open(&mut self.facts(place as u32), &item);
                let says = match other.is_empty() {
                    true => String::new(),
                    false => format!(
                        " and states another {}: neither counts, keep one of the rows",
                        other.join(", ")
                    ),
                };
                reader.warn(format!(
                    "left out: {} is already in {first}{says}",
                    item.name()
                ));
                self.again.entry(place as u32).or_default().push(row as u32);
                continue;
            }
            sides.see(row, item.tolerance);
            if let Some(read) = reader.status_in_other_words() {
                *statuses.entry(read).or_default() += 1;
            }
            self.rows.push(row as u32);
            let kind = self.kinds.code(&item.group, &item.unit);
            self.kind.push((kind, item.role));
        }
        warnings.extend(sides.said(&self.table));
        (warnings, statuses)
    }

    /// The instruments of the groups of `instrument` and of the check standards that speak of it; `None`
    /// where the register does not tell them, so that any instrument may belong to them.
    pub(crate) fn group_of(&self, instrument: &str) -> Option<HashSet<String>> {
        let own = self.instruments().filter(|(name, _)| *name == instrument);
        let mut groups: HashSet<&str> = own.map(|(_, group)| group).collect();
        if groups.is_empty() || groups.contains("") {
            return None;
        }
        let lone = self.lone_standards()?;
        groups.extend(lone.iter().map(String::as_str));
        let members = self.instruments();
        let members = members.filter(|(_, group)| groups.contains(group));
        Some(members.map(|(name, _)| name.to_string()).collect())
    }

    /// The instrument and the group of each row.
    fn instruments(&self) -> impl Iterator<Item = (&str, &str)> {
        let rows = self.names.iter().zip(&self.kind);
        rows.map(|((instrument, _), (kind, _))| (instrument, self.kinds.get(*kind).0))
    }

    /// The groups of check standards that have nothing of their unit to protect beside them, so that they
    /// speak of every item of it; `None` where one is in no group.
    pub(crate) fn lone_standards(&self) -> Option<BTreeSet<String>> {
        let of = |standards: bool| -> BTreeSet<u32> {
            let own = self.kind.iter();
            let own = own.filter(|(_, role)| (*role == Role::CheckStandard) == standards);
            own.map(|(kind, _)| *kind).collect()
        };
        let (standards, others) = (of(true), of(false));
        let group = |kind: &u32| self.kinds.get(*kind).0;
        if standards.iter().any(|kind| group(kind).is_empty()) {
            return None;
        }
        let lone = standards.difference(&others);
        Some(lone.map(|kind| group(kind).to_string()).collect())
    }

    /// The groups of each instrument that is in groups alone.
    pub(crate) fn groups(&self) -> BTreeMap<String, BTreeSet<String>> {
        let mut groups: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for (instrument, group) in self.instruments() {
            groups.entry(instrument).or_default().insert(group);
        }
        let stated = groups.into_iter().filter(|(_, own)| !own.contains(""));
        stated
            .map(|(name, own)| (name.into(), own.into_iter().map(String::from).collect()))
            .collect()
    }

    /// Keeps the rows of the instruments that are `needed`.
    pub(crate) fn only(mut self, needed: &Needed) -> Self {
        let mut names = Names::default();
        let mut again = BTreeMap::new();
        let rows = self.names.iter().zip(self.rows.into_iter().zip(self.kind));
        let kept = rows
            .zip(0..)
            .filter(|(((instrument, _), _), _)| needed.includes(instrument));
        let kept = kept.map(|(((instrument, point), row), place)| {
            let code = names.code(instrument, point);
            again.extend(self.again.remove(&place).map(|others| (code, others)));
            row
        });
        (self.rows, self.kind) = kept.unzip();
        (self.names, self.again) = (names, again);
        self
    }

    /// "register.csv, row 3" of the row at this place among those that count.
    fn place(&self, row: usize) -> String {
        self.table.place(self.rows[row] as usize)
    }

    /// The facts in the row at this place among those that count; what cannot be used of it was
    /// told when it was read.
    fn facts(&self, row: u32) -> Item {
        let item = |row: u32| {
            let mut reader = RowReader {
                table: &self.table,
                row: row as usize,
                format: &self.format,
                warnings: &mut Vec::new(),
            };
            reader.item()
        };
        let mut known = item(self.rows[row as usize]);
        for other in self.again.get(&row).into_iter().flatten() {
            leave_open(&mut known, &item(*other));
        }
        known
    }

    /// Fills in what the register knows of each item; warns of rows that match none.
    pub(crate) fn join(&self, items: &mut [Item]) -> (Vec<Warning>, RegisterCounts) {
        let join = |item: &mut Item| {
            let exact = self.names.find(&item.instrument, &item.point);
            let general = self.names.find(&item.instrument, "");
            let found = exact.into_iter().chain(general);
            found
                .inspect(|row| fill(item, self.facts(*row)))
                .collect::<Vec<u32>>()
        };
        let found: Vec<u32> = items.par_iter_mut().flat_map_iter(join).collect();
        let mut used = vec![false; self.rows.len()];
        found.into_iter().for_each(|row| used[row as usize] = true);
        let unused: Vec<usize> = (0..used.len()).filter(|i| !used[*i]).collect();
        let counts = RegisterCounts {
            rows: self.rows.len() + self.left_out,
            matched: self.rows.len() - unused.len(),
            unmatched: unused.len(),
            left_out: self.left_out,
        };
        (self.unmatched(&unused, items), counts)
    }

    /// What is said of instruments that have no row here, where most have one: their limits, interval and status are not known.
    pub(crate) fn unlisted(&self, items: &[Item]) -> Option<Warning> {
        let mut names: Vec<&str> = items.iter().map(|item| item.instrument.as_str()).collect();
        names.dedup();
        let listed: HashSet<&str> = self.instruments().map(|(name, _)| name).collect();
        let all = names.len();
        names.retain(|name| !listed.contains(name));
        let first = names.first().filter(|_| 2 * names.len() < all)?;
        let words = format!(
            "{} of {} {} no row here, which most have: {first}{}",
            number(names.len()),
            count(all, "instrument"),
            agreeing(names.len(), "has", "have"),
            and_others(names.len() - 1)
        );
        Some(Warning::new(&self.table.input.path, words))
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
            let row = &self.facts(*i as u32);
            let (why, near) = match points.get(row.instrument.as_str()) {
                None => ("no checks", known.find(&row.instrument)),
                Some(points) => (
                    "the instrument has checks, but none at this point",
                    NearNames::of(points.iter().copied()).find(&row.point),
                ),
            };
            let told = near.map_or(String::new(), Near::words);
            let words = format!("{}: {why}{told}", row.name());
            Warning {
                near_name: near.is_some() || points.contains_key(row.instrument.as_str()),
                ..Warning::new(self.place(*i), words)
            }
        };
        let words = format!(
            "{} of {} {}: each is named below",
            number(unused.len()),
            count(self.rows.len() + self.left_out, "row"),
            agreeing(
                unused.len(),
                "matches no history, and nothing is decided for it",
                "match no history, and nothing is decided for them"
            )
        );
        let all = std::iter::once(Warning::new(&self.table.input.path, words));
        all.chain(unused.iter().map(why)).collect()
    }
}

/// Fills in what `item` does not know yet.
fn fill(item: &mut Item, known: Item) {
    let text = |own: &mut String, known: String| {
        if own.is_empty() {
            *own = known;
        }
    };
    text(&mut item.group, known.group);
    text(&mut item.unit, known.unit);
    text(&mut item.criticality, known.criticality);
    text(&mut item.description, known.description);
    if item.role == Role::Unstated {
        item.role = known.role;
    }
    item.control_chart = item.control_chart.or(known.control_chart);
    item.control_from = item.control_from.or(known.control_from);
    if !item.status.is_away() {
        (item.status, item.until) = (known.status, known.until);
    }
    if item.formerly.is_empty() {
        item.formerly = known.formerly;
    }
    item.tolerance = item.tolerance.or(known.tolerance);
    item.interval_days = item.interval_days.or(known.interval_days);
    item.cap_days = item.cap_days.or(known.cap_days);
    item.floor_days = item.floor_days.or(known.floor_days);
    item.last_calibration = item.last_calibration.or(known.last_calibration);
    item.next_due = item.next_due.or(known.next_due);
    item.reliability_target = item.reliability_target.or(known.reliability_target);
    item.cost = item.cost.or(known.cost);
    item.cost_out_of_tolerance = item.cost_out_of_tolerance.or(known.cost_out_of_tolerance);
}

#[cfg(test)]
mod tests;
