/*! The files that a person named, and the forms in which they are written. */

use super::person::{Person, StartError};
use crate::records::Encoding;
use crate::records::guess::draft::Guess;
use crate::records::guess::file::guess;
use crate::records::reading::files;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Files that are written alike.
#[derive(Debug, Clone)]
pub(super) struct Form {
    /// What they seem to be.
    pub guess: Guess,
    /// The files.
    pub files: Vec<PathBuf>,
    /// How the pipeline file names them.
    pub entries: Vec<String>,
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
    files: Vec<PathBuf>,
    (inputs, folder): (&[PathBuf], &Path),
    today: f64,
    person: &mut dyn Person,
) -> Vec<Form> {
    let mut forms: Vec<Form> = Vec::new();
    let several = files.len() > 1;
    let mut first_error = None;
    let mut left_out: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut unread: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for path in files.iter().cloned() {
        let mut own = match guess(&path, today) {
            Ok(own) => own,
            Err(why) => {
                let same = (why.what.clone(), why.mend.clone());
                unread.entry(same).or_default().push(why.place.clone());
                first_error.get_or_insert(why);
                continue;
            }
        };
        // Notes beside the records, and the like: as sheets that lack most of what checks need.
        let missing: Vec<&str> = own.missing().iter().map(|column| column.name()).collect();
        if several && missing.len() > 1 {
            let missing = missing.join(", ");
            let shown = path.display().to_string();
            left_out.entry(missing).or_default().push(shown);
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
            }),
        }
    }
    for ((what, mend), files) in unread.iter().filter(|_| several) {
        person.tell(&format!("Not read: {}: {what}\n  {mend}\n", named(files)));
    }
    for (missing, files) in &left_out {
        person.tell(&format!(
            "Not read: {}: no column was found for {missing}.\n",
            named(files)
        ));
    }
    if forms.is_empty() {
        let why = match first_error.take() {
            Some(why) => format!("{}: {}. {}", why.place, why.what, why.mend),
            None => "none of the files is a table of checks. Name one of them alone to see what is missing.".into(),
        };
        forms.push(Form {
            guess: Guess::unread(&why),
            files,
            entries: Vec::new(),
        });
    }
    let left_out = !left_out.is_empty();
    // A folder stays a folder, so that next month's file is read too, where all files are alike.
    let alike = forms.len() == 1 && first_error.is_none() && !left_out;
    for form in &mut forms {
        let stated = if alike { inputs } else { &form.files };
        form.entries = stated.iter().map(|path| entry(path, folder)).collect();
    }
    // The form of the most files stands first.
    forms.sort_by_key(|form| std::cmp::Reverse(form.files.len()));
    if let Some((first, others)) = forms.split_first_mut() {
        for form in others {
            let differs = form.guess.differs_from(&first.guess);
            let note = format!("A form of its own: {}.", differs.join("; "));
            form.guess.notes.insert(0, note);
        }
    }
    forms
}

impl Form {
    /// Its files, as they are told.
    pub fn named(&self) -> String {
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

    /// Takes in another file that is written alike.
    fn join(&mut self, guess: Guess, path: PathBuf) {
        if self.guess.encoding != guess.encoding {
            self.guess.encoding = Encoding::Auto;
            let of_others = |note: &String| !note.starts_with("Encoding:");
            self.guess.notes.retain(of_others);
            let note = "Encoding: the files differ, each is read by its own.".to_string();
            self.guess.notes.insert(0, note);
        }
        for told in guess.told {
            if !self.guess.told.contains(&told) {
                self.guess.told.push(told);
            }
        }
        for line in guess.to_state {
            if !self.guess.to_state.contains(&line) {
                self.guess.to_state.push(line);
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

/// How a pipeline file in `folder` names the file at `path`.
fn entry(path: &Path, folder: &Path) -> String {
    let near = path.strip_prefix(folder).map(Path::to_path_buf);
    let near = near.or_else(|_| path.canonicalize());
    let near = near.unwrap_or_else(|_| path.to_path_buf());
    glob::Pattern::escape(&near.to_string_lossy().replace('\\', "/"))
}
