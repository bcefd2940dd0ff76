/*! Revaluations of references: a line each, which corrects every reading that rests on one.

A reference that turns out to be off is given a new value. From the day of its line on, and until
the reference's next line, every reading whose source it is gets the correction. A line that cannot
be read stops the load: readings without their correction would be quietly wrong.
*/

use super::accounts::{LoadError, Loaded, Warning};
use super::date;
use super::history::Histories;
use super::reading::table::{Table, TableColumn, TableFormat};
use super::settings::words::Thousands;
use crate::words::{count, figure, plural};
use std::collections::BTreeSet;
use std::path::Path;

/// The columns of the file.
const COLUMNS: [(&str, bool, bool); 4] = [
    ("reference", true, true),
    ("date", true, true),
    ("correction", false, true),
    ("unit", true, false),
];
const MEND: &str = "A line is a reference (as in the column source), the first day of the readings that it corrects, what is added to each of them, and, where the reference gave readings in several units, the unit.";

/// One line.
struct Revaluation {
    place: String,
    reference: String,
    from: f64,
    correction: f64,
    unit: String,
}

/// Corrects the readings of `loaded` by the lines of the file `path`.
///
/// # Errors
/// A file or a line that cannot be read, two lines of one reference, day and unit, or a correction
/// whose unit is open.
pub(crate) fn apply(loaded: &mut Loaded, path: &Path, shown: &str) -> Result<(), LoadError> {
    let (lines, table) = read(path, shown)?;
    for (number, line) in lines.iter().enumerate() {
        let same =
            |other: &&Revaluation| other.reference == line.reference && other.unit == line.unit;
        let later = lines.iter().filter(same).map(|other| other.from);
        let until = later
            .filter(|day| *day > line.from)
            .fold(f64::INFINITY, f64::min);
        if lines[..number]
            .iter()
            .filter(same)
            .any(|other| other.from == line.from)
        {
            let what = format!(
                "a second line for {} from {}",
                line.reference,
                date::iso(line.from)
            );
            return Err(LoadError::new(
                &line.place,
                what,
                "Keep the one that holds.",
            ));
        }
        let warning = line.correct(&mut loaded.histories, until)?;
        loaded.warnings.push(warning);
    }
    loaded.warnings.extend(table.warnings);
    loaded.inputs.push(table.input);
    Ok(())
}

fn read(path: &Path, shown: &str) -> Result<(Vec<Revaluation>, Table), LoadError> {
    let columns = COLUMNS.map(|(name, text, needed)| TableColumn {
        name,
        own: None,
        text,
        needed,
    });
    let table = Table::read(path, shown, &columns, TableFormat::default())?;
    if let Some((row, why)) = table.ragged.first() {
        return Err(LoadError::new(format!("{shown}, row {row}"), why, MEND));
    }
    let marks = table.marks(&columns, None, Thousands::Auto, "revaluations")?;
    let line = |row: usize| {
        let place = table.place(row);
        let text = |column: usize| table.field(row, column).text().trim().to_string();
        let wrong = |column: usize| {
            let what = format!("{} \"{}\" cannot be read", COLUMNS[column].0, text(column));
            LoadError::new(&place, what, MEND)
        };
        let number = table.field(row, 2).number(marks).ok().flatten();
        Ok(Revaluation {
            reference: match text(0) {
                name if name.is_empty() => return Err(wrong(0)),
                name => name,
            },
            from: date::parse_iso(text(1).as_bytes())
                .ok_or_else(|| wrong(1))?
                .floor(),
            correction: number
                .map(|n| n.value)
                .filter(|v| v.is_finite())
                .ok_or_else(|| wrong(2))?,
            unit: text(3),
            place: place.clone(),
        })
    };
    let lines = (0..table.len())
        .map(line)
        .collect::<Result<Vec<_>, LoadError>>()?;
    Ok((lines, table))
}

impl Revaluation {
    /// Corrects the readings of the reference before the day `until`; tells how many.
    fn correct(&self, histories: &mut Histories, until: f64) -> Result<Warning, LoadError> {
        let columns = &mut histories.columns;
        let giver = columns
            .givers
            .iter()
            .position(|name| *name == self.reference);
        let mut units = BTreeSet::new();
        let (mut readings, mut items) = (0, 0);
        for (item, rows) in histories.items.iter().zip(histories.offsets.windows(2)) {
            let own = |row: &usize| {
                let by = columns.given_by.get(*row).map(|by| *by as usize);
                giver.is_some()
                    && by == giver
                    && (self.from..until).contains(&columns.date[*row].floor())
            };
            let own: Vec<usize> = (rows[0]..rows[1]).filter(own).collect();
            if own.is_empty() || !self.unit.is_empty() && self.unit != item.unit {
                continue;
            }
            units.insert(item.unit.as_str());
            (readings, items) = (readings + own.len(), items + 1);
            for row in own {
                columns.as_found[row] += self.correction;
                columns.as_left[row] += self.correction;
            }
        }
        if units.len() > 1 {
            let units: Vec<&str> = units.into_iter().collect();
            let what = format!(
                "{} gave readings in {}: in which of them is the correction {}?",
                self.reference,
                units.join(" and "),
                self.correction
            );
            return Err(LoadError::new(&self.place, what, MEND));
        }
        let unit = units.first().copied().unwrap_or(&self.unit);
        let histories = plural(items, "history");
        let words = match readings {
            0 => format!(
                "{} gave no reading from {} on: nothing is corrected",
                self.reference,
                date::iso(self.from)
            ),
            _ => format!(
                "{} revalued from {} on: {} of {} corrected by {}",
                self.reference,
                date::iso(self.from),
                count(readings, "reading"),
                format_args!("{items} {histories}"),
                figure(self.correction, unit)
            ),
        };
        Ok(Warning::new(&self.place, words))
    }
}
