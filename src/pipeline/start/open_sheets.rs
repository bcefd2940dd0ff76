/*! Workbooks of which every table of checks is of one form: next year's sheet is read like a further file of a folder. */

use super::adopted::Adopted;
use super::draft::{table, tables};
use super::look::Form;
use super::person::{Person, StartError, parsed};
use super::trial::Trial;
use crate::records::cells::row::rules::Rules;
use crate::records::date::days_of;
use crate::records::guess::beside::Kind;
use crate::records::guess::doubt::{Doubt, SHEETS_NOT_READ};
use crate::records::reading::workbook::is_workbook;
use crate::records::sheets_read;
use std::path::Path;

impl Form {
    /// Leaves the sheets unnamed where a run then reads the same ones; jobs in a sheet of the same workbook would be told
    /// as a sheet that nothing reads.
    pub(super) fn leave_sheets_open(
        &mut self,
        beside: &[Adopted],
        trial: &Trial<'_>,
        person: &mut dyn Person,
    ) -> Result<(), StartError> {
        let jobs = |of: &Adopted| of.table.kind == Kind::Jobs && self.files.contains(&of.path);
        let other_headers = |doubt: &Doubt| doubt.name == SHEETS_NOT_READ;
        if self.guess.sheets.is_empty()
            || beside.iter().any(jobs)
            || self.guess.doubts.iter().any(other_headers)
        {
            return Ok(());
        }
        let mut open = self.clone();
        open.guess.sheets.clear();
        let file = parsed(&tables(&open, table(0)))?;
        let rules = Rules::new(&file.settings.checks, days_of(trial.today));
        let mut books = self.files.iter().filter(|path| is_workbook(path));
        let all_read = |path: &Path| {
            let read = sheets_read(path, &rules);
            read.is_some_and(|read| read.iter().all(|sheet| self.guess.sheets.contains(sheet)))
        };
        let same = books.all(|path| all_read(path));
        if same {
            self.guess.sheets.clear();
            person.tell("\nSheets: every sheet with the columns of checks is read, and so is one that is added later with the same header.");
        }
        Ok(())
    }
}
