/*! What tells the columns of a wide table, and what such a table lacks. */

use super::WideSettings;
use super::columns::{Columns, Of};
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::reading::csv::text::{Split, TableText};
use crate::records::reading::header::find_table::{Sought, find_table};
use crate::words::quoted_list;

/// What tells the columns of a wide table, beside those that its settings state.
pub(crate) struct Door<'a> {
    pub settings: &'a WideSettings,
    /// Finds the column of the items.
    pub name: &'a dyn Fn(&[String]) -> Option<usize>,
    /// Finds the column of the dates, which a table by points has.
    pub date: &'a dyn Fn(&[String]) -> Option<usize>,
    /// Headers of the columns whose blank cells take what stands above.
    pub fill_down: &'a [String],
    /// True for a cell that is a date.
    pub is_date: &'a dyn Fn(&str) -> bool,
}

impl Door<'_> {
    /// What `headers` lack of the needed columns.
    pub(super) fn lacking(&self, headers: &[String]) -> Vec<&'static str> {
        let checks = Columns::of(headers, self.settings).checks;
        let named = self.settings.by_instruments() || (self.name)(headers).is_some();
        let item = (!named).then_some("instrument");
        let by_points = self.settings.by_points();
        let no_date = match by_points {
            true => (self.date)(headers).is_none(),
            false if self.settings.by_numbers() => {
                let dated = |of: &Of| of.place(Column::Date).is_some();
                !checks.iter().any(dated)
            }
            false => checks.is_empty(),
        };
        let found = checks.is_empty().then_some("as_found");
        let lacking = item.into_iter().chain(no_date.then_some("date"));
        lacking.chain(found).collect()
    }

    pub(super) fn header<'a>(&self, table: TableText<'a>) -> Result<Split<'a>, LoadError> {
        let sought = Sought {
            lacking: &|headers| self.lacking(headers).len(),
            name: self.name,
        };
        find_table(table, &sought)
    }
}

/// The needed columns that the text of a sheet lacks.
///
/// # Errors
/// A text without a header.
pub(crate) fn lacking(table: TableText<'_>, door: &Door<'_>) -> Result<Vec<String>, LoadError> {
    let split = door.header(table)?;
    let lacking = door.lacking(&split.header);
    Ok(lacking.into_iter().map(String::from).collect())
}

pub(super) fn refuse(
    columns: &Columns,
    settings: &WideSettings,
    split: &Split<'_>,
) -> Result<(), LoadError> {
    if let Some((one, two)) = &columns.twice {
        return Err(LoadError::new(
            split.shown,
            format!("the columns \"{one}\" and \"{two}\" state the same of the same date or point"),
            "Rename or take out one of them.",
        ));
    }
    if !columns.checks.is_empty() {
        return Ok(());
    }
    let format = match settings.date_format.as_str() {
        "" => "ISO 8601 (2021-03-04)".to_string(),
        format => format!("date_format = \"{format}\""),
    };
    let what = match settings.by_points() {
        _ if settings.by_numbers() => {
            "no header has a number beside what [checks.wide] names".to_string()
        }
        true if settings.by_instruments() => format!(
            "no header names an instrument of [checks.wide] ({}) beside what it names",
            settings.instruments.join(", ")
        ),
        true => format!(
            "no header states a point of [checks.wide] ({}) beside what it names",
            settings.points.join(", ")
        ),
        false => format!("no header states a date as [checks.wide] says, by {format}"),
    };
    let headers = quoted_list(split.header.iter().take(30));
    let mend = format!("The headers are {headers}.");
    Err(LoadError::new(split.shown, what, mend))
}
