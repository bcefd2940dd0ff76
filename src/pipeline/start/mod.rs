/*! From a person's own files to a commented pipeline file: a first look at each (`look`), a register and
jobs set apart from the checks (`beside`), a trial
reading (`trial`) that mends or asks (`settle`), the draft (`draft`) or what is added (`merge`) to one that a person has
changed (`kept`), and the accounts of how it all reads (`accounts`), and what is said of a form (`words`). */

mod accounts;
mod adopted;
mod beside;
mod draft;
mod entries;
mod events_before;
mod kept;
mod limits_of_values;
mod lines;
mod look;
mod merge;
mod one_tolerance;
mod open_cells;
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
use crate::records::date::days_of;
use crate::records::guess::beside::Kind;
use adopted::Adopted;
use chrono::NaiveDate;
use person::Once;
pub(crate) use person::{Person, StartError};
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
    let standing = kept::Standing::read(&file)?;
    let files = look::files(inputs, person)?;
    if let [only] = files.as_slice()
        && let Some((text, words)) = readings::draft(only)
    {
        return drafted(
            file,
            (&text, &words),
            (standing.is_some(), None),
            (today, person),
        );
    }
    let person: &mut dyn Person = &mut Once::new(person);
    let (checks, mut beside) = beside::apart(files, days_of(today), standing.as_ref(), person);
    let passed_over = |table: &Adopted| {
        let standing = standing.as_ref();
        standing.is_some_and(|s| s.names_other(table.table.kind, &table.path))
    };
    for table in beside.iter_mut().filter(|table| !passed_over(table)) {
        table.settle(standing.as_ref().map(|s| &s.stated), person);
        person.tell(&table.listing());
    }
    let mut forms = look::forms(checks, &beside, (inputs, &folder), person);
    if let Some(doubt) = tables::quantities_in_forms(&forms) {
        forms[0].guess.doubts.push(doubt);
    }
    let before = standing.as_ref().map(|s| s.stated.text.clone());
    let standing = standing.map(|standing| standing.with_beside(&mut beside, person));
    let standing = standing.transpose()?;
    let tables: String = beside.iter().map(|table| table.tables(&folder)).collect();
    let of_checks = |text: &String| !text.contains("[thermometry]");
    let other = before.as_ref().is_some_and(of_checks);
    if let ([form], false) = (forms.as_mut_slice(), other)
        && let Some((text, words, open)) =
            thermometers::draft(form, (&tables, &words::report_folder(&file)), person)
    {
        return drafted(
            file,
            (&text, &words),
            (before.is_some(), open),
            (today, person),
        );
    }
    let trial = Trial {
        folder: &folder,
        today,
        beside: &tables,
    };
    let mut read = None;
    for form in &mut forms {
        let stands = standing.as_ref().and_then(|s| s.of_form(form));
        read = form.settle(&trial, stands, person)?;
    }
    // Several forms may each hold a part of a history.
    let usual = match (forms.as_slice(), &read) {
        ([form], Some(loaded)) if !form.leaves_points_open() => words::usual_distance(loaded),
        _ => None,
    };
    let mut others = beside.iter();
    let register = others.any(|table| table.table.kind == Kind::Register);
    let lacking = !register && forms.iter().all(one_tolerance::lacks_limits);
    let tolerance = match (lacking, &standing) {
        (true, None) => {
            let unit = forms.first().map_or("", |form| form.guess.unit.as_str());
            one_tolerance::asked(unit, person)
        }
        _ => None,
    };
    let text = match &standing {
        None => {
            person.tell(&words::interval_in_use(usual));
            let report = words::report_folder(&file);
            draft::whole(
                &forms,
                (&beside, &tables),
                &report,
                (usual, tolerance.as_deref()),
            )
        }
        Some(standing) => standing.with(&forms, (&beside, &tables), person)?,
    };
    let unchanged = before.is_some_and(|before| before == text);
    if !unchanged {
        write(&file, &text)?;
    }
    // Of one new form the trial has read everything already.
    let known = match (forms.as_slice(), &standing) {
        ([form], None) if tolerance.is_none() => read.map(|loaded| (loaded, &form.guess)),
        _ => None,
    };
    let (open, not_read) = accounts::accounts(&text, &trial, known, person)?;
    Ok(Started {
        file,
        open,
        not_read,
        unchanged,
    })
}

/// Tells what raw readings were taken for, and writes their file where none stands.
fn drafted(
    file: PathBuf,
    (text, words): (&str, &str),
    (unchanged, open): (bool, Option<&str>),
    (today, person): (NaiveDate, &mut dyn Person),
) -> Result<Started, StartError> {
    person.tell(words);
    if !unchanged {
        write(&file, text)?;
    }
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
        open: open.into_iter().map(str::to_string).collect(),
        not_read,
        unchanged,
    })
}

fn write(file: &Path, text: &str) -> Result<(), StartError> {
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
    let pipeline = |path: &&PathBuf| {
        let extension = path.extension();
        extension.is_some_and(|extension| extension.eq_ignore_ascii_case("toml"))
    };
    // To read it as records would write a form of its own lines into it.
    if let Some(path) = inputs.iter().find(pipeline) {
        let path = path.display();
        return Err(StartError(format!(
            "error: {path} is a pipeline file, not records\nhelp: driftbook run {path} makes its report; driftbook start takes the records that it names"
        )));
    }
    // A folder such as . has a name only where it really is.
    let whole = || first.canonicalize().unwrap_or_else(|_| first.clone());
    match (first.is_dir(), first.file_name()) {
        (true, Some(name)) => Ok(first.with_file_name(format!("{}.toml", name.to_string_lossy()))),
        (true, None) => Ok(whole().with_extension("toml")),
        (false, _) => Ok(first.with_extension("toml")),
    }
}

#[cfg(test)]
#[path = "tests.rs"]
mod tests;
