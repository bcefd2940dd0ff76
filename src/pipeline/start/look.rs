/*! The files that a person named, and the forms in which they are written. */

use super::adopted::{Adopted, Looked};
use super::entries::{entries, entry};
use super::person::{Person, StartError};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::reading::files;
use crate::records::{Encoding, LoadError};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Headers that are offered as an answer, at the most.
pub(super) const OFFERED: usize = 8;

/// Files that are written alike.
#[derive(Debug, Clone)]
pub(super) struct Form {
    /// What they seem to be.
    pub guess: Guess,
    pub files: Vec<PathBuf>,
    /// How the pipeline file names them.
    pub entries: Vec<String>,
    /// How it differs from the first form; empty for that one.
    pub differs: Vec<String>,
}

/// The files of the inputs, each once.
pub(super) fn files(
    inputs: &[PathBuf],
    person: &mut dyn Person,
) -> Result<Vec<PathBuf>, StartError> {
    let mut all: Vec<PathBuf> = Vec::new();
    for input in inputs {
        let found = files::find_path(input)
            .map_err(|what| StartError(format!("error: {}: {what}", input.display())))?;
        for left_out in found.left_out {
            person.tell(&format!("Not read: {left_out}."));
        }
        all.extend(found.files);
    }
    let mut seen = std::collections::HashSet::new();
    all.retain(|path| seen.insert(path.clone()));
    Ok(all)
}

/// The forms of the files: those with the same columns and formats share one.
///
/// Where none can be read as a table, one form says so, which a person must answer.
pub(super) fn forms(
    checks: Vec<Looked>,
    beside: &[Adopted],
    (inputs, folder): (&[PathBuf], &Path),
    person: &mut dyn Person,
) -> Vec<Form> {
    let several = checks.len() + beside.len() > 1;
    let files: Vec<PathBuf> = checks.iter().map(|(path, _)| path.clone()).collect();
    let (mut forms, left) = by_form(checks, several);
    if several {
        left.tell(person);
    }
    let none = forms.is_empty();
    if none {
        forms.push(Form {
            guess: Guess::unread(&left.why_nothing()),
            files: files.clone(),
            entries: Vec::new(),
            differs: Vec::new(),
        });
    }
    // A folder stays a folder, so that next month's file is read too, where all files are alike.
    let apart = beside.iter().any(|table| !files.contains(&table.path));
    let all_read = left.lacking.is_empty() && (none || left.unread.is_empty());
    let alike = forms.len() == 1 && all_read && !apart;
    // The form of the most files stands first.
    forms.sort_by_key(|form| std::cmp::Reverse(form.files.len()));
    name_entries(&mut forms, alike, inputs, folder);
    if let (true, Some(first), Some(words)) = (several, forms.first_mut(), left.words()) {
        let doubt = Doubt::new("files_not_read", words);
        let doubt = doubt.or("they hold no checks, and the others count", Answer::AsTaken);
        first.guess.doubts.push(doubt);
    }
    if let Some((first, others)) = forms.split_first_mut() {
        for form in others {
            form.differs = form.guess.differs_from(&first.guess);
        }
    }
    forms
}

/// How the pipeline file names the files of each form: as they were `inputs`, where all files are `alike`. A pattern
/// of the first form may fit files of the others, which go by what is stated of them apart.
fn name_entries(forms: &mut [Form], alike: bool, inputs: &[PathBuf], folder: &Path) {
    if let ([form], true) = (&mut *forms, alike) {
        form.entries = inputs.iter().map(|path| entry(path, folder)).collect();
        return;
    }
    // Forms of sheets may share a workbook.
    let of_sheets = forms.iter().any(|form| !form.guess.sheets.is_empty());
    let Some((first, others)) = forms.split_first_mut() else {
        return;
    };
    let named_apart = others.iter().flat_map(|form| form.files.clone());
    let apart: Vec<PathBuf> = named_apart.filter(|_| !of_sheets).collect();
    first.name_entries(&apart, inputs, folder);
    for form in others {
        form.name_entries(&[], inputs, folder);
    }
}

/// The files by form, and those that are left out; of `several` also those without most of what
/// checks need.
fn by_form(checks: Vec<Looked>, several: bool) -> (Vec<Form>, LeftOut) {
    let mut forms: Vec<Form> = Vec::new();
    let mut left = LeftOut::default();
    for (path, look) in checks {
        let mut own = match look {
            Ok(own) => own,
            Err(why) => {
                left.add_unread(why);
                continue;
            }
        };
        // Notes beside the records, and the like: as sheets that lack most of what checks need.
        let missing: Vec<&str> = own.missing().iter().map(|column| column.name()).collect();
        if several && missing.len() > 1 {
            let shown = path.display().to_string();
            left.lacking
                .entry(missing.join(", "))
                .or_default()
                .push(shown);
            continue;
        }
        let same_headers = |form: &Form| form.guess.columns == own.columns;
        for form in forms.iter_mut().filter(|form| same_headers(form)) {
            form.guess.settle_dates_by(&own);
            form.guess.settle_decimals_by(&own);
        }
        for form in &forms {
            if form.guess.columns == own.columns {
                own.settle_dates_by(&form.guess);
                own.settle_decimals_by(&form.guess);
            }
        }
        match forms.iter_mut().find(|form| form.guess.columns_alike(&own)) {
            Some(form) => form.join(own, path),
            None => forms.push(Form {
                guess: own,
                files: vec![path],
                entries: Vec::new(),
                differs: Vec::new(),
            }),
        }
    }
    (forms, left)
}

/// Files that are left out.
#[derive(Default)]
struct LeftOut {
    /// Files that are no tables, by what is wrong and its mend.
    unread: BTreeMap<(String, String), Vec<String>>,
    /// Files without needed columns, by their names.
    lacking: BTreeMap<String, Vec<String>>,
    first_error: Option<LoadError>,
}

impl LeftOut {
    fn add_unread(&mut self, why: LoadError) {
        let same = (why.what.clone(), why.mend.clone());
        self.unread.entry(same).or_default().push(why.place.clone());
        self.first_error.get_or_insert(why);
    }

    /// Tells each with the reason.
    fn tell(&self, person: &mut dyn Person) {
        for ((what, mend), files) in &self.unread {
            person.tell(&format!("Not read: {}: {what}\n  {mend}\n", named(files)));
        }
        for (missing, files) in &self.lacking {
            person.tell(&format!(
                "Not read: {}: no column was found for {missing}.\n",
                named(files)
            ));
        }
    }

    /// Why no file is read.
    fn why_nothing(&self) -> String {
        match &self.first_error {
            Some(why) => format!("{}: {}. {}", why.place, why.what, why.mend),
            None => "none of the files is a table of checks. Name one of them alone to see what is missing.".into(),
        }
    }

    /// The files as a question: one sentence; `None` where all are read.
    fn words(&self) -> Option<String> {
        let unread = self.unread.iter();
        let unread = unread.map(|((what, _), files)| format!("{} ({what})", named(files)));
        let lacking = self.lacking.iter();
        let lacking =
            lacking.map(|(missing, files)| format!("{} (no column for {missing})", named(files)));
        let listed: Vec<String> = unread.chain(lacking).collect();
        (!listed.is_empty()).then(|| {
            format!(
                "Some of the files are no tables of checks, it seems, and are left out: {}. Where checks are in them, mend them and run driftbook start again.",
                listed.join("; ")
            )
        })
    }
}

impl Form {
    /// Its files, as they are told.
    pub(crate) fn named(&self) -> String {
        let name = |path: &PathBuf| {
            let name = path.file_name().unwrap_or(path.as_os_str());
            name.to_string_lossy().into_owned()
        };
        let names: Vec<String> = self.files.iter().map(name).collect();
        match names.as_slice() {
            [_] => self.entries.join(", "),
            names if self.entries.len() < names.len() => {
                format!("{}: {}, same header", self.entries.join(", "), named(names))
            }
            names => format!("{}, same header", named(names)),
        }
    }

    /// How the pipeline file names its files, where others are named `apart`.
    fn name_entries(&mut self, apart: &[PathBuf], inputs: &[PathBuf], folder: &Path) {
        self.entries = entries(&self.files, apart, inputs, folder);
        if self.entries.len() < self.files.len() {
            let patterns = self.entries.join(", ");
            let note = format!("Files: {patterns}; a further file of such a name is read too.");
            self.guess.notes.push(note);
        }
    }

    /// Takes in another file that is written alike.
    fn join(&mut self, guess: Guess, path: PathBuf) {
        if self.guess.encoding != guess.encoding {
            self.guess.encoding = Encoding::Auto;
            self.guess.letters = "Encoding: the files differ, each is read by its own.".to_string();
        }
        let place = path
            .file_name()
            .map_or(String::new(), |name| name.to_string_lossy().into());
        self.guess.join_settings(&guess, &place);
        for line in guess.to_check {
            if !self.guess.to_check.contains(&line) {
                self.guess.to_check.push(line);
            }
        }
        for sheet in guess.sheets {
            if !self.guess.sheets.contains(&sheet) {
                self.guess.sheets.push(sheet);
            }
        }
        self.files.push(path);
    }
}

/// Names of files in a row, the first and the last of many.
fn named(files: &[String]) -> String {
    const MOST_NAMED: usize = 3;
    match files {
        [first, .., last] if files.len() > MOST_NAMED => {
            format!("{} files ({first} … {last})", files.len())
        }
        files => files.join(", "),
    }
}
