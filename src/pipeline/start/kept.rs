/*! A pipeline file that is there already: what it says is kept, and only what it lacks is added. */

use super::adopted::Adopted;
use super::draft::{doubt_name, own_lines, tables};
use super::look::Form;
use super::merge::{Draft, Merged};
use super::person::{Person, StartError, parsed};
use super::places::{form_table, with_lines};
use super::stated::Stated;
use crate::records::Encoding;
use crate::records::guess::beside::Kind;
use crate::records::guess::doubt::Doubt;
use crate::records::reading::files::resolved;
use crate::settings::file::PipelineFile;
use crate::settings::named_files;
use crate::settings::pipeline_text::read;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A pipeline file that stands, and where what in it stands.
pub(super) struct Standing {
    /// What it states.
    pub stated: Stated,
    /// Its name, for messages.
    shown: String,
    file: PipelineFile,
    /// The folder in which it stands.
    folder: PathBuf,
    /// The files of checks that it names, with their forms.
    covered: Vec<(PathBuf, usize)>,
    /// Files in its folders that are written in another way than it says of them.
    apart: BTreeSet<PathBuf>,
}

impl Standing {
    /// The pipeline file at `file`; `None` where there is none.
    ///
    /// # Errors
    /// One that cannot be read, or is no pipeline file.
    pub(crate) fn read(file: &Path) -> Result<Option<Self>, StartError> {
        if std::fs::symlink_metadata(file).is_err() {
            return Ok(None);
        }
        let text = read(file).map_err(|why| StartError(why.to_string()))?;
        let folder = file.parent().unwrap_or(Path::new("")).to_path_buf();
        Self::of(text, &file.to_string_lossy(), folder).map(Some)
    }

    fn of(text: String, shown: &str, folder: PathBuf) -> Result<Self, StartError> {
        let file = PipelineFile::parse(&text).map_err(|problems| {
            let words = problems.iter().map(|problem| problem.render(shown, &text));
            let words: Vec<String> = words.collect();
            StartError(format!(
                "{}\nhelp: this file is there already and nothing was written; mend it, or move it away",
                words.join("\n\n")
            ))
        })?;
        let (covered, _) = named_files::resolve_checks(&file, &folder, &mut Vec::new());
        Ok(Standing {
            covered: covered
                .into_iter()
                .map(|(path, form)| (resolved(&path), form))
                .collect(),
            stated: Stated::of(text, &file.settings.checks.doubts),
            apart: BTreeSet::new(),
            shown: shown.to_string(),
            folder,
            file,
        })
    }

    /// The same of another text.
    fn renewed(&self, text: String) -> Result<Self, StartError> {
        let new = Self::of(text, &self.shown, self.folder.clone())?;
        Ok(new.without(self.apart.clone()))
    }

    fn without(mut self, apart: BTreeSet<PathBuf>) -> Self {
        self.covered.retain(|(path, _)| !apart.contains(path));
        Self { apart, ..self }
    }

    /// The same, of these forms: where a folder that it names holds files in several, it is about those that have the
    /// headers which it states, or about the first; the others are named by themselves.
    pub(crate) fn of_forms(self, forms: &[Form]) -> Self {
        let mut owners: BTreeMap<usize, usize> = BTreeMap::new();
        let numbers: Vec<Option<usize>> = forms
            .iter()
            .map(|form| Some(self.of_form(form)?.number))
            .collect();
        let named = numbers.iter().enumerate();
        for (place, number) in named.filter_map(|(place, number)| Some((place, (*number)?))) {
            let owner = owners.entry(number).or_insert(place);
            if !self.fits(number, &forms[*owner]) && self.fits(number, &forms[place]) {
                *owner = place;
            }
        }
        let others = forms.iter().zip(&numbers).enumerate();
        let others = others.filter(|(place, (form, number))| {
            number.is_some_and(|number| owners.get(&number) != Some(place))
                && form.guess.sheets.is_empty()
        });
        let files = others.flat_map(|(_, (form, _))| &form.files);
        let apart = files.map(|path| resolved(path));
        let apart = apart.collect();
        self.without(apart)
    }

    /// True where a form has every header that is stated of the form `number`.
    fn fits(&self, number: usize, form: &Form) -> bool {
        let columns = format!("{}.columns", form_table(number));
        let guess = &form.guess;
        let headers: BTreeSet<&str> = guess
            .columns
            .iter()
            .map(|guessed| &guessed.header)
            .chain(&guess.ignored)
            .map(String::as_str)
            .collect();
        let mut stated = self.stated.places.texts_of(&columns);
        stated.all(|header| headers.contains(header))
    }

    /// True where it reads the raw readings of thermometers.
    pub(crate) fn reads_raw(&self) -> bool {
        self.file.settings.thermometry.is_used()
    }

    /// The form by which it reads a file; `None` where it does not name it.
    pub(crate) fn form_of(&self, path: &Path) -> Option<usize> {
        let own = resolved(path);
        let found = self.covered.iter().find(|(path, _)| *path == own);
        found.map(|(_, form)| *form)
    }

    /// The encoding that it states of a file of checks; `None` where that goes by the file.
    pub(crate) fn encoding(&self, path: &Path) -> Option<Encoding> {
        let form = self.file.settings.checks.form(self.form_of(path)?);
        Some(form.encoding).filter(|encoding| matches!(encoding, Encoding::Named(_)))
    }

    /// What it says of a form; `None` where it does not read all its files in one way.
    pub(crate) fn of_form(&self, form: &Form) -> Option<StandingForm<'_>> {
        let number = self.form_of(form.files.first()?)?;
        let mut files = form.files.iter();
        let alike = files.all(|path| self.form_of(path) == Some(number));
        alike.then_some(StandingForm {
            standing: self,
            number,
        })
    }

    /// What it answers to a doubt about a file that is read as checks, or may be.
    pub(crate) fn answer_of_file(&self, path: &Path, doubt: &Doubt) -> Option<String> {
        let number = self.form_of(path).unwrap_or(0);
        let stands = StandingForm {
            standing: self,
            number,
        };
        stands.answer(doubt)
    }

    /// True where it names another file for a table of that kind.
    pub(crate) fn names_other(&self, kind: Kind, path: &Path) -> bool {
        self.states_file(kind) && !self.names(kind, path)
    }

    /// True where it names a file of that kind.
    fn states_file(&self, kind: Kind) -> bool {
        self.stated.states(kind.name(), "file")
    }

    /// True where it names the file at `path` for a table of that kind.
    pub(crate) fn names(&self, kind: Kind, path: &Path) -> bool {
        let file = match kind {
            Kind::Register => &self.file.settings.register.file,
            Kind::Jobs => &self.file.settings.jobs.file,
        };
        let named = file.as_ref().map(|file| resolved(&self.folder.join(file)));
        named.is_some_and(|named| named == resolved(path))
    }

    /// True where it reads the file, or of a workbook that sheet, as checks.
    pub(crate) fn reads(&self, path: &Path, sheet: &str) -> bool {
        self.sheets(path)
            .any(|(_, sheets)| sheet.is_empty() || sheets.iter().any(|own| own == sheet))
    }

    /// The sheets of a workbook that are read in other forms than its first.
    pub(crate) fn sheets_of_others(&self, path: &Path) -> Vec<String> {
        let first = self.form_of(path);
        let others = self.sheets(path).filter(|(form, _)| Some(*form) != first);
        others.flat_map(|(_, sheets)| sheets.to_vec()).collect()
    }

    /// The forms by which it reads a file, each with the sheets that it names.
    fn sheets(&self, path: &Path) -> impl Iterator<Item = (usize, &[String])> {
        let own = resolved(path);
        let forms = self.covered.iter().filter(move |(path, _)| *path == own);
        forms.map(|(_, form)| (*form, &*self.file.settings.checks.form(*form).sheets))
    }

    /// The text with what it lacks for these forms.
    ///
    /// # Errors
    /// A file to which nothing can be added.
    pub(crate) fn with(
        &self,
        forms: &[Form],
        (adopted, beside): (&[Adopted], &str),
        person: &mut dyn Person,
    ) -> Result<String, StartError> {
        let mut standing = self.renewed(self.stated.text.clone())?;
        // A question that forms share stands with the first of them: its answer is written last.
        for (number, form) in forms.iter().enumerate().rev() {
            let Some(stands) = standing.of_form(form) else {
                continue;
            };
            let merged = stands.merged(form, &forms[..number])?;
            person.tell(&merged.words.join("\n"));
            standing = self.renewed(merged.text)?;
        }
        let mut text = standing.stated.text;
        let mut others = self.file.settings.checks.other.len();
        for (number, form) in forms.iter().enumerate() {
            let uncovered: Vec<usize> = (0..form.files.len())
                .filter(|i| self.form_of(&form.files[*i]).is_none())
                .collect();
            if uncovered.is_empty() {
                continue;
            }
            others += 1;
            let mut own = form.clone();
            own.entries = match form.entries.len() == form.files.len() {
                true => uncovered.iter().map(|i| form.entries[*i].clone()).collect(),
                false => form.entries.clone(),
            };
            person.tell(&format!(
                "Added as a form of its own: {}.",
                own.entries.join(", ")
            ));
            let doubts: Vec<String> = own_lines(&own, (&forms[..number], &[]), others).collect();
            text = with_lines(&text, "checks.doubts", &doubts);
            text.push_str(&tables(&own, "[[checks.other]]"));
        }
        let doubts: Vec<String> = adopted.iter().flat_map(Adopted::doubt_lines).collect();
        text = with_lines(&text, "checks.doubts", &doubts);
        text.push_str(beside);
        parsed(&text)?;
        Ok(text)
    }

    /// The file with what it lacks of the tables beside the checks that it names, and with what a
    /// person answered about them; the tables that it does not name stay in the list.
    ///
    /// # Errors
    /// A file to which nothing can be added.
    pub(crate) fn with_beside(
        self,
        tables: &mut Vec<Adopted>,
        person: &mut dyn Person,
    ) -> Result<Self, StartError> {
        let mut standing = self;
        let stated = |table: &mut Adopted| standing.states_file(table.table.kind);
        let known: Vec<Adopted> = tables.extract_if(.., stated).collect();
        for table in &known {
            if standing.names_other(table.table.kind, &table.path) {
                person.tell(&format!(
                    "Kept: another file under [{}]; {} is not read.",
                    table.table.kind.name(),
                    table.shown()
                ));
                continue;
            }
            let merged = standing.merge(&Draft::of_beside(table, &standing.folder))?;
            person.tell(&merged.words.join("\n"));
            standing = standing.renewed(merged.text)?;
        }
        Ok(standing)
    }

    fn merge(&self, draft: &Draft<'_>) -> Result<Merged, StartError> {
        let merged = draft.merged(&self.stated);
        parsed(&merged.text)?;
        Ok(merged)
    }
}

/// What a pipeline file that stands says of one form of files.
#[derive(Clone, Copy)]
pub(super) struct StandingForm<'a> {
    standing: &'a Standing,
    /// The number of the form, see `ChecksSettings::form`.
    pub number: usize,
}

impl StandingForm<'_> {
    /// What it answers to a doubt, or states in spite of it.
    pub(crate) fn answer(&self, doubt: &Doubt) -> Option<String> {
        let name = doubt_name(doubt, self.number);
        self.standing
            .stated
            .answer(&form_table(self.number), &name, doubt)
    }

    /// The text with what it lacks for the form, which stands behind the forms `before`.
    ///
    /// # Errors
    /// A file to which nothing can be added.
    pub(crate) fn merged(&self, form: &Form, before: &[Form]) -> Result<Merged, StartError> {
        self.standing
            .merge(&Draft::of_form(form, before, self.number))
    }
}
