/*! What a first look left open is asked, and what a trial refuses is mended where the numbers decide,
or asked where two readings fit. */

use super::draft::{self, table};
use super::kept::StandingForm;
use super::look::Form;
use super::person::{Person, StartError};
use super::trial::Trial;
use super::{accounts, open_cells, tables, words};
use crate::records::cells::column::Column;
use crate::records::cells::limits::open::{BRACKETS, FOOTNOTE_MARKS, PER_CENT_OF};
use crate::records::cells::number::power_of_ten::POWER_OF_TEN;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::headers::names_points;
use crate::records::screening::sums::SUMS_ARE;
use crate::records::{LoadError, Loaded};
use crate::settings::toml_text::quoted;
use crate::words::quoted_list;

/// Headers that are offered as an answer, at the most.
const OFFERED: usize = 8;

impl Form {
    /// Asks what the first look left open, then reads the files by the draft until they read in
    /// one way, or nobody says in which.
    pub(crate) fn settle(
        &mut self,
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
        person: &mut dyn Person,
    ) -> Result<Option<Loaded>, StartError> {
        if self.guess.is_unread() {
            return Ok(None);
        }
        person.tell(&words::looked(self));
        self.ask_columns();
        self.ask(standing, person);
        if !self.guess.missing().is_empty() {
            let missing = words::missing(&self.guess);
            if !missing.is_empty() {
                person.tell(&missing);
            }
            return Ok(None);
        }
        let checked_before = self.guess.to_check.len();
        self.tell_points_apart(trial, standing)?;
        let loaded = loop {
            let read = self.read(trial, standing)?;
            let open = self.open();
            match read {
                Ok(loaded) => {
                    self.ask_of_numbers(&loaded);
                    let answered = self.open() != open && self.ask(standing, person);
                    if !answered && !self.draft_open_cells() {
                        break Some(loaded);
                    }
                }
                Err(why) => {
                    let mended = self.mend(&why, trial, standing)?;
                    if !mended && !self.ask(standing, person) && !self.draft_open_cells() {
                        break None;
                    }
                }
            }
        };
        let limited = |loaded: &Loaded| {
            let mut items = loaded.histories.items.iter();
            items.any(|item| item.tolerance.is_some())
        };
        let no_limits = match loaded.as_ref().is_some_and(limited) {
            true => None,
            false => words::no_limits(&self.guess),
        };
        let own = [no_limits, words::shared_part(&self.guess)];
        self.guess.to_check.extend(own.into_iter().flatten());
        person.tell(&words::under(
            "Worth knowing",
            &self.guess.to_check[checked_before..],
        ));
        Ok(loaded)
    }

    /// Nominal values that nothing is subtracted from tell points apart all the same: a column that is switched
    /// off would leave readings of several of them in one history.
    fn tell_points_apart(
        &mut self,
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
    ) -> Result<(), StartError> {
        if !self.guess.off.contains(&Column::Nominal) {
            return Ok(());
        }
        let mut with = self.clone();
        with.guess.off.retain(|column| *column != Column::Nominal);
        with.guess
            .take(&Answer::State("as_found_is", "\"error\"".into()));
        if let Err(why) = with.read(trial, standing)?
            && why.setting == "point_from"
        {
            self.mend(&why, trial, standing)?;
        }
        Ok(())
    }

    /// True where it is still asked whether a history mixes points: its checks lie closer then than those of one.
    pub(super) fn leaves_points_open(&self) -> bool {
        let open = |doubt: &Doubt| {
            doubt.answer.is_none() && ["points", "more_readings"].contains(&doubt.name)
        };
        self.guess.doubts.iter().any(open)
    }

    pub(super) fn read(
        &self,
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
    ) -> Result<Result<Loaded, LoadError>, StartError> {
        let (text, number) = match standing {
            Some(standing) => (standing.merged(self, &[])?.text, standing.number),
            None => (draft::tables(self, table(0)), 0),
        };
        let forms = vec![number; self.files.len()];
        trial.read(&(text + trial.beside), &self.files, &forms)
    }

    /// Doubts without an answer.
    fn open(&self) -> usize {
        self.guess
            .doubts
            .iter()
            .filter(|doubt| doubt.answer.is_none())
            .count()
    }

    /// Asks every open doubt; true where an answer changed how the files are read.
    fn ask(&mut self, standing: Option<StandingForm<'_>>, person: &mut dyn Person) -> bool {
        let mut changed = false;
        let mut doubts = std::mem::take(&mut self.guess.doubts);
        for doubt in doubts
            .iter_mut()
            .filter(|doubt| doubt.answer.is_none() && !doubt.asked)
        {
            doubt.asked = true;
            if let Some(said) = standing.and_then(|standing| standing.answer(doubt)) {
                doubt.answer = Some(said);
            } else if let Some((answer, words)) = person.ask(doubt) {
                changed |= answer != Answer::AsTaken;
                self.guess.take(&answer);
                doubt.answer = Some(words);
            }
        }
        self.guess.doubts.splice(0..0, doubts);
        changed
    }

    /// Asks one doubt, and none of the others.
    pub(crate) fn ask_alone(&mut self, name: &str, person: &mut dyn Person) {
        let mut doubts = self.guess.doubts.iter();
        let Some(doubt) = doubts.find(|doubt| doubt.name == name).cloned() else {
            return;
        };
        if let Some((answer, _)) = person.ask(&doubt) {
            self.guess.take(&answer);
            self.guess.doubts.retain(|other| other.name != name);
        }
    }

    /// Drafts the first meaning of cells with two readings where nobody says, so that the rest of the file
    /// is looked at with their values; the doubts stay open. True where one is new.
    fn draft_open_cells(&mut self) -> bool {
        let mut drafted = Vec::new();
        for (setting, meaning) in open_cells::open_settings() {
            let open =
                |doubt: &&mut Doubt| doubt.name == setting && doubt.answer.is_none() && doubt.asked;
            if self.guess.to_state.get(setting).is_some() {
                continue;
            }
            let Some(doubt) = self.guess.doubts.iter_mut().find(open) else {
                continue;
            };
            let Some(first) = doubt.choices.first().map(|choice| choice.answer.clone()) else {
                continue;
            };
            doubt.words += &format!(" The draft takes it so until that is answered: {meaning}.");
            drafted.push(first);
        }
        drafted.iter().for_each(|first| self.guess.take(first));
        !drafted.is_empty()
    }

    /// Asks for the needed columns that no header names.
    fn ask_columns(&mut self) {
        for column in self.guess.missing() {
            let words = format!(
                "No column was found for {}: state it under columns. The headers not read are {}.",
                column.name(),
                quoted_list(&self.guess.ignored)
            );
            let doubt = self
                .guess
                .ignored
                .iter()
                .take(OFFERED)
                .fold(Doubt::about_column(column, words), |doubt, header| {
                    doubt.or(header, Answer::Map(column, header.clone()))
                });
            self.guess.doubts.push(Doubt {
                marked: false,
                ..doubt
            });
        }
    }

    /// Mends what the numbers decide, and says so; makes a doubt of what they do not. True where
    /// the files can be read again at once.
    fn mend(
        &mut self,
        why: &LoadError,
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
    ) -> Result<bool, StartError> {
        let stated = |form: &Form, key: &str| form.guess.to_state.get(key).is_some();
        let asks_limits = why.setting == "limits_are" && !stated(self, "limits_are");
        let values_alone = asks_limits && self.limits_hold_values_alone(trial, standing)?;
        let (mended, answer) = match why.setting {
            "nominal" if !self.guess.off.contains(&Column::Nominal) => (
                format!(
                    "nominal = false: {}. The nominal values are not subtracted.",
                    why.what
                ),
                Answer::Off(Column::Nominal),
            ),
            "correction" if !stated(self, "as_found_is") => (
                format!(
                    "as_found_is = \"correction\": {}. The sign is turned.",
                    why.what
                ),
                Answer::State("as_found_is", "\"correction\"".into()),
            ),
            "limits_are" if values_alone => (
                format!(
                    "limits_are = \"value\": {}; only so do readings lie within them.",
                    why.what
                ),
                Answer::State("limits_are", "\"value\"".into()),
            ),
            "point_from" if !stated(self, "point_from") => {
                let answer = self.all_that_name_points();
                let words = "Add the other columns that tell points apart.";
                (
                    format!("{}: {}. {words}", answer.stated(), why.what),
                    answer,
                )
            }
            _ => {
                let doubt = self.doubt_of(why, trial, standing)?;
                let known = |other: &Doubt| other.name == doubt.name;
                if !self.guess.doubts.iter().any(known) {
                    self.guess.doubts.push(doubt);
                }
                return Ok(false);
            }
        };
        self.guess.to_check.push(mended);
        self.guess.take(&answer);
        Ok(true)
    }

    /// Every column that may tell points apart: function and range do it together, whichever of them
    /// was taken. Which of them do is then no question any more.
    pub(super) fn all_that_name_points(&mut self) -> Answer {
        let others = self.guess.ignored.iter();
        let others: Vec<String> = others.filter(|h| names_points(h)).cloned().collect();
        let told = |doubt: &Doubt| {
            let quoted = |header: &String| format!("\"{header}\"");
            doubt.name == "points" && others.iter().any(|h| doubt.words.contains(&quoted(h)))
        };
        self.guess.doubts.retain(|doubt| !told(doubt));
        let plain = |column| {
            let found = self.guess.columns.iter().find(|g| g.column == column);
            found.map(|g| g.header.clone())
        };
        let nominal = plain(Column::Nominal).unwrap_or("nominal".into());
        let all = others.iter().cloned().chain(plain(Column::Point));
        let headers: Vec<String> = all.chain([nominal]).collect();
        Answer::Points(headers, self.guess.set_points.clone())
    }

    /// Why the files cannot be read, with the answers that would let them be, each with examples.
    fn doubt_of(
        &mut self,
        why: &LoadError,
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
    ) -> Result<Doubt, StartError> {
        let key = why.setting;
        let Some(values) = meanings(key) else {
            let doubt = Doubt::new("reading", why.to_string()).of_form();
            return Ok(Doubt {
                marked: false,
                ..doubt
            });
        };
        let mut doubt =
            Doubt::new(key, format!("{}: {}. {}", why.place, why.what, why.mend)).settled_by(key);
        for (value, meaning) in values {
            let answer = Answer::State(key, value.to_string());
            let mut other = self.clone();
            other.guess.take(&answer);
            let examples = match other.read(trial, standing)? {
                Ok(loaded) => accounts::examples(&loaded, &other.guess),
                Err(why) => vec![why.what],
            };
            let words = format!("{meaning} ({key} = {value}): {}", examples.join("; "));
            doubt = doubt.or(words, answer);
        }
        let either: Vec<&str> = values.iter().map(|(value, _)| *value).collect();
        self.guess.to_state.leave_open(key, &either);
        Ok(doubt)
    }

    /// What only the numbers that were read can put in doubt.
    fn ask_of_numbers(&mut self, loaded: &Loaded) {
        let found = [
            words::values_for_errors(&self.guess, loaded),
            words::several_a_day(&self.guess, loaded),
            words::several_set_points(&self.guess, loaded),
            words::points_of_one_check(&self.guess, loaded),
            words::values_not_read(loaded),
            words::outcomes_contradict(loaded),
            words::interval_not_read(&self.guess, loaded),
            words::due_too_soon(&self.guess, loaded),
            tables::register_of_others(loaded),
            tables::quantities_in_tables(loaded),
        ];
        let found = found.into_iter().flatten();
        for doubt in found.chain(open_cells::open_cells(loaded)) {
            if !self
                .guess
                .doubts
                .iter()
                .any(|other| other.name == doubt.name)
            {
                let doubt = self.offering(doubt);
                self.guess.doubts.push(doubt);
            }
        }
    }

    /// The doubt with the headers that are not read as answers.
    fn offering(&self, doubt: Doubt) -> Doubt {
        let headers = self.guess.ignored.iter().take(OFFERED);
        match doubt.name {
            "values" => headers.fold(doubt, |doubt, header| {
                let words = format!("values; the nominal value stands in \"{header}\"");
                doubt.or(words, Answer::Map(Column::Nominal, header.clone()))
            }),
            "points" => {
                let stated = self.guess.to_state.get("point_from");
                let stated = stated.and_then(|list| list.strip_prefix('['));
                let own = stated.unwrap_or("\"nominal\"]");
                headers.fold(doubt, |doubt, header| {
                    let value = format!("[{}, {own}", quoted(header));
                    let words = format!("points that \"{header}\" tells apart too");
                    doubt.or(words, Answer::State("point_from", value))
                })
            }
            _ => doubt,
        }
    }
}

/// The values of a setting that an unread file leaves open, each with what it means.
fn meanings(setting: &str) -> Option<&'static [(&'static str, &'static str)]> {
    Some(match setting {
        "as_found_is" => &[("\"value\"", "values"), ("\"error\"", "errors")],
        "limits_are" => &[
            ("\"value\"", "limits of the value"),
            ("\"error\"", "limits of the error"),
        ],
        SUMS_ARE => &[
            ("\"aside\"", "such rows are no checks"),
            ("\"records\"", "they are checks"),
        ],
        POWER_OF_TEN => &[
            ("\"unit\"", "the unit is so many times larger"),
            ("\"numbers\"", "the numbers were multiplied by it"),
            ("\"none\"", "no power of what is measured"),
        ],
        PER_CENT_OF => &[
            ("\"reading\"", "of the reading"),
            ("\"range\"", "of the range"),
        ],
        BRACKETS => &[
            ("\"negative\"", "a minus"),
            ("\"plain\"", "no sign of the number"),
        ],
        FOOTNOTE_MARKS => &[("\"ignored\"", "the numbers count as they stand")],
        "decimal_comma" => &[
            ("false", "the comma groups thousands"),
            ("true", "the comma separates decimals"),
        ],
        _ => return None,
    })
}
