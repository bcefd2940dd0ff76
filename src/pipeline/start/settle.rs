/*! What a first look left open is asked, and what a trial refuses is mended where the numbers decide,
or asked where two readings fit. */

use super::draft::{self, table};
use super::kept::StandingForm;
use super::look::{Form, OFFERED};
use super::person::{Person, StartError};
use super::trial::Trial;
use super::{open_cells, words};
use crate::records::cells::column::Column;
use crate::records::cells::remarks::EVENTS_IN_REMARKS;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::{LoadError, Loaded};
use crate::words::quoted_list;

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
            None => (draft::tables(self, table(0)) + &self.asked_of_remarks(), 0),
        };
        let forms = vec![number; self.files.len()];
        trial.read(&(text + trial.beside), &self.files, &forms)
    }

    /// What is asked of remarks is not told beside it.
    fn asked_of_remarks(&self) -> String {
        let mut doubts = self.guess.doubts.iter();
        match doubts.find(|doubt| doubt.name.starts_with(EVENTS_IN_REMARKS)) {
            Some(doubt) => format!("\n[checks.doubts]\n{} = \"asked\"\n", doubt.name),
            None => String::new(),
        }
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
}
