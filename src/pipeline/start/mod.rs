/*! From a person's own files to a commented pipeline file: a first look at each (`look`), a register and
jobs set apart from the checks (`beside`), a trial
reading (`trial`) that mends or asks (`settle`), the draft (`draft`) or what is added (`merge`) to one that a person has
changed (`kept`), and the accounts of how it all reads (`accounts`), and what is said of a form (`words`). */

mod accounts;
mod adopted;
mod asked_of_numbers;
mod beside;
mod draft;
mod entries;
mod events_before;
mod examples;
mod kept;
mod limits_of_values;
mod lines;
mod look;
mod mend;
mod merge;
mod one_tolerance;
mod open_cells;
mod open_sheets;
mod person;
mod places;
mod readings;
mod settle;
mod stated;
mod tables;
mod thermometers;
mod trial;
mod words;

use crate::files::whole_file::write_whole;
use crate::records::Loaded;
use crate::records::date::days_of;
use crate::records::reading::files::resolved;
use crate::settings::planning::is_pipeline_file;
use adopted::{Adopted, has_register};
use chrono::NaiveDate;
use kept::Standing;
use look::Form;
use person::Once;
pub(crate) use person::{Person, StartError};
use readings::Draft;
use std::cell::RefCell;
use std::path::{Path, PathBuf};
use trial::Trial;

/// What `start` made.
#[derive(Debug, Clone)]
pub(crate) struct Started {
    /// The pipeline file.
    pub file: PathBuf,
    /// Names of the doubts that stop a run until they are answered.
    pub open: Vec<String>,
    /// What keeps the records from being read by it; `None` where they read.
    pub not_read: Option<String>,
    /// True where the file stands as it was.
    pub unchanged: bool,
}

/// Looks at files and folders of records, tells and asks `person`, and writes a pipeline file of
/// the first one's name beside it. One that is there keeps what it says; only what it lacks is
/// added. `today` is the as-of date of the trial reading.
///
/// # Errors
/// A path without records, a pipeline file that cannot be read or written.
pub(crate) fn start(
    inputs: &[PathBuf],
    today: NaiveDate,
    person: &mut dyn Person,
) -> Result<Started, StartError> {
    let file = pipeline_file(inputs)?;
    let folder = file.parent().unwrap_or(Path::new("")).to_path_buf();
    let standing = Standing::read(&file)?;
    let files = look::files(inputs, person)?;
    if let [only] = files.as_slice()
        && let Some(draft) = readings::draft(only)
    {
        return drafted(file, draft, standing.is_some(), (today, person));
    }
    let person: &mut dyn Person = &mut Once::new(person);
    let (checks, mut beside) = beside::apart(files, days_of(today), standing.as_ref(), person);
    settle_beside(&mut beside, standing.as_ref(), person);
    let mut forms = look::forms(checks, &beside, (inputs, &folder), person);
    if let Some(doubt) = tables::quantities_in_forms(&forms) {
        forms[0].guess.doubts.push(doubt);
    }
    let before = standing.as_ref().map(|s| s.stated.text.clone());
    let standing = standing.map(|standing| standing.with_beside(&mut beside, person));
    let standing = standing.transpose()?.map(|s| s.of_forms(&forms));
    let tables: String = beside.iter().map(|table| table.tables(&folder)).collect();
    let of_checks = standing.as_ref().is_some_and(|s| !s.reads_raw());
    if let ([form], false) = (forms.as_mut_slice(), of_checks)
        && let Some(draft) = thermometers::draft(form, (&beside, &tables), &file, person)
    {
        return drafted(file, draft, before.is_some(), (today, person));
    }
    let trial = Trial {
        folder: &folder,
        today,
        beside: &tables,
        failed: RefCell::new(None),
    };
    let read = settle_forms(&mut forms, &trial, standing.as_ref(), person)?;
    if let ([form], None) = (forms.as_mut_slice(), &standing) {
        form.leave_sheets_open(&beside, &trial, person)?;
    }
    let (text, read) = match &standing {
        None => new_text(&file, &forms, (&beside, read), &trial, person)?,
        Some(standing) => (standing.with(&forms, (&beside, &tables), person)?, None),
    };
    let unchanged = before.is_some_and(|before| before == text);
    write_unless(unchanged, &file, &text)?;
    let alone = match forms.as_slice() {
        [form] => Some(&form.guess),
        _ => None,
    };
    let (open, not_read) = accounts::accounts(&text, &trial, (read, alone), person)?;
    Ok(Started {
        file,
        open,
        not_read,
        unchanged,
    })
}

/// Asks and tells of the tables beside the checks, but for those instead of which another file is named.
fn settle_beside(beside: &mut [Adopted], standing: Option<&Standing>, person: &mut dyn Person) {
    let passed_over =
        |table: &Adopted| standing.is_some_and(|s| s.names_other(table.table.kind, &table.path));
    for table in beside.iter_mut().filter(|table| !passed_over(table)) {
        table.settle(standing.map(|s| &s.stated), person);
        person.tell(&table.listing());
    }
}

/// Settles all forms by trial readings; the records that the last one reads.
fn settle_forms(
    forms: &mut [Form],
    trial: &Trial<'_>,
    standing: Option<&Standing>,
    person: &mut dyn Person,
) -> Result<Option<Loaded>, StartError> {
    let mut read = None;
    for form in forms {
        let stands = standing.and_then(|s| s.of_form(form));
        read = form.settle(trial, stands, person)?;
    }
    Ok(read)
}

/// The text of a new pipeline file, with the records that it reads where they are known. Those of one form are
/// `read` by its last trial; of several forms each may hold a part of a history.
fn new_text(
    file: &Path,
    forms: &[Form],
    (beside, read): (&[Adopted], Option<Loaded>),
    trial: &Trial<'_>,
    person: &mut dyn Person,
) -> Result<(String, Option<Loaded>), StartError> {
    let report = words::report_folder(file);
    let text = |told| draft::whole(forms, (beside, trial.beside), &report, told);
    let read = match forms {
        [_] => read,
        _ => trial.read_all(&text((None, None)))?.ok(),
    };
    let points_stand = !forms.iter().any(Form::leaves_points_open);
    let usual = read.as_ref().filter(|_| points_stand);
    let usual = usual.and_then(words::usual_distance);
    let lacking = !has_register(beside) && forms.iter().all(one_tolerance::lacks_limits);
    let unit = forms.first().map_or("", |form| form.guess.unit.as_str());
    let tolerance = lacking
        .then(|| one_tolerance::asked(unit, person))
        .flatten();
    person.tell(&words::interval_in_use(usual));
    let text = text((usual, tolerance.as_deref()));
    Ok((text, read.filter(|_| tolerance.is_none())))
}

/// Tells what raw readings were taken for, and writes their file where none stands.
fn drafted(
    file: PathBuf,
    draft: Draft,
    unchanged: bool,
    (today, person): (NaiveDate, &mut dyn Person),
) -> Result<Started, StartError> {
    person.tell(&draft.words);
    write_unless(unchanged, &file, &draft.text)?;
    let read = readings::read(&file, today);
    let not_read = match &read {
        Ok((thermometry, loaded)) => {
            person.tell(&accounts::accounts_of_readings(thermometry, loaded));
            None
        }
        Err(why) => {
            person.tell(&format!("\nNot read yet: {why}"));
            Some(why.clone())
        }
    };
    Ok(Started {
        file,
        open: draft.open.into_iter().map(str::to_string).collect(),
        not_read,
        unchanged,
    })
}

fn write_unless(unchanged: bool, file: &Path, text: &str) -> Result<(), StartError> {
    if unchanged {
        return Ok(());
    }
    write_whole(file, text).map_err(|why| StartError(format!("error: {}: {why}", file.display())))
}

/// The pipeline file of these inputs: beside the first, with its name.
fn pipeline_file(inputs: &[PathBuf]) -> Result<PathBuf, StartError> {
    let first = inputs
        .first()
        .ok_or_else(|| StartError("error: no records are named".into()))?;
    for path in inputs {
        let named = path.file_name().is_none_or(|name| name.to_str().is_some());
        if !named {
            return Err(StartError(format!(
                "error: the name of {} is not UTF-8, so that no pipeline file can state it\nhelp: rename the file",
                path.display()
            )));
        }
    }
    // To read it as records would write a form of its own lines into it.
    if let Some(path) = inputs.iter().find(|path| is_pipeline_file(path)) {
        let path = path.display();
        return Err(StartError(format!(
            "error: {path} is a pipeline file, not records\nhelp: driftbook run {path} makes its report; driftbook start takes the records that it names"
        )));
    }
    // A folder such as . has a name only where it really is.
    match (first.is_dir(), first.file_name()) {
        (true, Some(name)) => Ok(first.with_file_name(format!("{}.toml", name.to_string_lossy()))),
        (true, None) => Ok(resolved(first).with_extension("toml")),
        (false, _) => Ok(first.with_extension("toml")),
    }
}

#[cfg(test)]
#[path = "tests.rs"]
mod tests;
