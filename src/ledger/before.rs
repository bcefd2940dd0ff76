/*! What a run finds when it starts: the ledger, the report that stands, the run to compare with. */

use super::build::build;
use super::gone::Gone;
use super::known_failures::KnownFailure;
pub(crate) use super::previous::Previous;
use super::relative::relative;
use super::runs::{DONE, Entry, LEDGER, Ledger};
use super::standing::StandingReport;
use super::state;
use super::state::{KeptHistory, NotRead};
use super::{KEPT, settings_sha256};
use crate::decisions::policy::{Action, PastDecision};
use crate::files::run_error::RunError;
use crate::records::{DAYS_PER_YEAR, Histories, date};
use crate::settings::demo::DEMO_NAME;
use crate::settings::plan::Plan;
use crate::words::neutralised as neutralise;
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Copy of the compared run's state inside the kept folder, so that a run made anew for the
/// same date compares with the same one.
pub(super) const PREVIOUS: &str = "previous";

/// Copy of the state of the first run of the same date inside the kept folder, where its records
/// read otherwise.
const FIRST_OF_DATE: &str = "first-of-date";

/// What a run finds when it starts.
#[derive(Debug, Clone)]
pub(crate) struct Before {
    pub ledger: Ledger,
    /// The report that stands in the run folder.
    pub standing: Option<StandingReport>,
    /// The run to compare with; `None` for the first.
    pub previous: Option<Previous>,
    /// The first run of the same date, where it still stands or its state was kept.
    pub first_of_date: Option<Previous>,
    /// Failures that earlier runs knew; of this date's own report only where it had the same settings.
    pub failures: Vec<KnownFailure>,
    /// Those of them that runs of earlier dates knew.
    pub(super) earlier_failures: Vec<KnownFailure>,
    /// Those of them that the records lack.
    pub gone: Gone,
    /// What a person should know, in words: for the terminal and the log.
    pub notes: Vec<String>,
    /// The run folder and the pipeline as the ledger names them.
    names: (String, String),
}

impl Before {
    /// Looks at the ledger and the report that stand; reads nothing else.
    pub(crate) fn look(plan: &Plan, target: &Path) -> Self {
        let place = target.parent().unwrap_or(Path::new("."));
        let ledger = Ledger::read(&place.join(LEDGER));
        let source = plan.pipeline_file.as_ref().or(plan.checks.first());
        let pipeline = match (&plan.demo, source) {
            (Some(_), _) => DEMO_NAME.to_string(),
            (None, source) => source.map_or(String::new(), |path| relative(path, place)),
        };
        let names = (relative(target, place), pipeline);
        let standing = StandingReport::read(target);
        let mut notes = ledger.problems.clone();
        notes.extend(standing.as_ref().and_then(StandingReport::version_words));
        let mut before = Self {
            ledger,
            standing,
            previous: None,
            first_of_date: None,
            failures: Vec::new(),
            earlier_failures: Vec::new(),
            gone: Gone::default(),
            notes,
            names,
        };
        before.notes.extend(before.backwards(plan.as_of));
        before
    }

    /// The other pipeline whose report stands in the run folder, where it is still there. One of
    /// the same name in another form, such as the records themselves, is none.
    pub(crate) fn made_by_other(&self, target: &Path) -> Option<String> {
        self.standing.as_ref()?;
        let place = target.parent().unwrap_or(Path::new("."));
        let of_folder = |entry: &&Entry| entry.result == DONE && entry.folder == self.names.0;
        let other = &self.ledger.entries.iter().rev().find(of_folder)?.pipeline;
        let stem = |path: &str| Path::new(path).with_extension("");
        let stands = place.join(other).is_file();
        (stands && stem(other) != stem(&self.names.1)).then(|| other.clone())
    }

    /// Words where the as-of date lies before that of the pipeline's latest run.
    fn backwards(&self, as_of: f64) -> Option<String> {
        let days = self.own_runs().map(Entry::day);
        let latest = days.fold(f64::NAN, f64::max);
        (as_of < latest).then(|| {
            format!(
                "The as-of date {} lies before that of the latest run in {}, {}. If nobody asked for \
                 a past date, look at the computer's clock.",
                date::iso(as_of),
                self.ledger.path.display(),
                date::iso(latest)
            )
        })
    }

    /// The finished runs of the pipeline, oldest first.
    pub(super) fn own_runs(&self) -> impl DoubleEndedIterator<Item = &Entry> {
        let own = |entry: &&Entry| entry.result == DONE && entry.pipeline == self.names.1;
        self.ledger.entries.iter().filter(own)
    }

    /// Folders whose results this run may take over: the one it writes, and that of the
    /// pipeline's latest run.
    pub(crate) fn known_folders(&self, target: &Path) -> Vec<PathBuf> {
        let place = target.parent().unwrap_or(Path::new("."));
        let latest = self.own_runs().next_back();
        let latest = latest.map(|entry| place.join(&entry.folder));
        let mut folders = vec![target.to_path_buf()];
        folders.extend(latest.filter(|folder| folder != target));
        folders
    }

    /// Looks for the failures that earlier runs knew, and for the run to compare with, where the plan asks for one.
    pub(crate) fn look_back(&mut self, plan: &Plan, target: &Path) {
        self.find_failures(plan, target);
        if plan.keeps_state() {
            self.find_previous(plan, target);
        }
    }

    /// What `read` finds in the kept folder of the newest earlier run that still stands and left the file `name` there.
    pub(super) fn newest_earlier<T>(
        &mut self,
        plan: &Plan,
        target: &Path,
        name: &str,
        read: impl Fn(&Path) -> Result<T, NotRead>,
    ) -> Option<T> {
        let place = target.parent().unwrap_or(Path::new("."));
        let mut earlier: Vec<(f64, PathBuf)> = self
            .own_runs()
            .rev()
            .map(|entry| (entry.day(), place.join(&entry.folder)))
            .collect();
        if let Some(standing) = &self.standing {
            earlier.push((standing.day(), target.to_path_buf()));
        }
        earlier.retain(|(day, _)| *day < plan.as_of);
        // Stable: of two runs for one date the later line of the ledger comes first.
        earlier.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (day, folder) in earlier {
            // The folder may hold a later run by now.
            let stands = StandingReport::read(&folder).filter(|standing| standing.day() == day);
            let left = stands.is_some_and(|run| !run.files.lacks(KEPT, name));
            let kept = folder.join(KEPT);
            if !left || !kept.is_dir() {
                continue;
            }
            match read(&kept) {
                Ok(found) => return Some(found),
                Err(why) => self.notes.push(format!(
                    "The run of {} cannot be compared with: {why}. It may be from an older or newer version.",
                    date::iso(day)
                )),
            }
        }
        None
    }

    /// Reads the state of the newest earlier run that still stands; where this date's own
    /// report stands, that of the run it was compared with.
    fn find_previous(&mut self, plan: &Plan, target: &Path) {
        // A run without charts has no digest, and keeps nothing that one could start from.
        let read = |kept: &Path| Previous::read(&kept.with_file_name("run.json"), kept);
        self.previous = self.newest_earlier(plan, target, state::HISTORIES, read);
        if self.previous.is_none() {
            let kept = target.join(KEPT).join(PREVIOUS);
            let own_date = self
                .standing
                .as_ref()
                .is_some_and(|s| s.day() == plan.as_of);
            let found = own_date.then(|| Previous::read(&kept.join("run.json"), &kept));
            self.previous = found.and_then(Result::ok);
        }
        self.first_of_date = self.find_first_of_date(plan, target);
    }

    fn find_first_of_date(&self, plan: &Plan, target: &Path) -> Option<Previous> {
        let place = target.parent().unwrap_or(Path::new("."));
        let others = self.own_runs().filter(|run| run.day() == plan.as_of);
        let others = others.map(|run| place.join(&run.folder));
        let stands = |folder: &PathBuf| {
            StandingReport::read(folder).is_some_and(|standing| standing.day() == plan.as_of)
        };
        let mut folders = std::iter::once(target.to_path_buf()).chain(others);
        let folder = folders.find(stands)?;
        let (kept, record) = (folder.join(KEPT), folder.join("run.json"));
        let first = kept.join(FIRST_OF_DATE);
        let found = Previous::read(&first.join("run.json"), &first);
        found.or_else(|_| Previous::read(&record, &kept)).ok()
    }

    /// The first run of the same date, where `states` rest on other checks.
    pub(crate) fn edited_since(&self, states: &[KeptHistory]) -> Option<&Previous> {
        let rests_on = |histories: &[KeptHistory]| -> Vec<(String, String, String)> {
            let each = histories.iter().map(|h| {
                (
                    h.instrument.clone(),
                    h.point.clone(),
                    h.check_hashes.clone(),
                )
            });
            each.collect()
        };
        let first = self.first_of_date.as_ref()?;
        (rests_on(&first.histories) != rests_on(states)).then_some(first)
    }

    /// Extensions of each history that were decided by earlier runs and followed since.
    pub(crate) fn past(&self, histories: &Histories, otherwise: f64) -> Vec<Vec<PastDecision>> {
        let Some(previous) = &self.previous else {
            return Vec::new();
        };
        let by_key: HashMap<_, _> = previous.histories.iter().map(|h| (h.key(), h)).collect();
        let of = |item: &crate::records::Item| {
            let key = (&*neutralise(&item.instrument), &*neutralise(&item.point));
            by_key.get(&key).map_or(Vec::new(), |kept| {
                followed(kept, previous.day, item.interval_days.unwrap_or(otherwise))
            })
        };
        histories.items.iter().map(of).collect()
    }

    /// Keeps the states of the compared runs beside this run's own, which are `states`.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn keep_previous(
        &self,
        states: &[KeptHistory],
        kept: &Path,
    ) -> Result<(), RunError> {
        if let Some(previous) = &self.previous {
            previous.keep(&kept.join(PREVIOUS))?;
        }
        match self.edited_since(states) {
            Some(first) => first.keep(&kept.join(FIRST_OF_DATE)),
            None => Ok(()),
        }
    }

    /// Enters into the ledger a standing report that a killed run put in place but did not enter.
    pub(crate) fn enter_missing(&mut self) {
        let Some(standing) = self.standing.clone() else {
            return;
        };
        let entered = self.ledger.entries.iter().any(|entry| {
            entry.folder == self.names.0
                && entry.as_of == standing.as_of
                && entry.settings_sha256 == standing.settings_sha256
                && entry.inputs == inputs_of(&standing)
        });
        if !entered && !standing.settings_sha256.is_empty() {
            let entry = self.entry(&standing);
            self.enter(entry);
        }
    }

    /// Enters a finished run.
    pub(crate) fn enter_done(&mut self, target: &Path) {
        if let Some(standing) = StandingReport::read(target) {
            let entry = self.entry(&standing);
            self.enter(entry);
        }
    }

    pub(crate) fn enter_failed(&mut self, plan: &Plan, why: &RunError) {
        self.enter(Entry {
            as_of: date::iso(plan.as_of),
            result: format!("failed: {why}"),
            folder: self.names.0.clone(),
            pipeline: self.names.1.clone(),
            driftbook: env!("CARGO_PKG_VERSION").into(),
            build: build().into(),
            settings_sha256: settings_sha256(&plan.settings),
            ..Entry::default()
        });
    }

    fn entry(&self, run: &StandingReport) -> Entry {
        Entry {
            as_of: run.as_of.clone(),
            result: DONE.into(),
            folder: self.names.0.clone(),
            pipeline: self.names.1.clone(),
            driftbook: run.driftbook.clone(),
            build: run.build.clone(),
            histories: run.histories,
            actions: run.actions.clone(),
            settings_sha256: run.settings_sha256.clone(),
            inputs: inputs_of(run),
        }
    }

    fn enter(&mut self, entry: Entry) {
        if let Err(why) = self.ledger.append(&entry) {
            self.notes.push(format!(
                "The report stands, but the run cannot be entered into {}: {why}.",
                self.ledger.path.display()
            ));
        }
        self.ledger.entries.push(entry);
    }
}

fn inputs_of(run: &StandingReport) -> std::collections::BTreeMap<String, String> {
    let pairs = run.inputs.iter();
    pairs
        .map(|input| (input.path.clone(), input.sha256.clone()))
        .collect()
}

/// Earlier extensions, and that of the run of `day` where the interval in use has grown since:
/// an extension that is advised month after month and never followed counts as none.
fn followed(kept: &KeptHistory, day: f64, interval_days: f64) -> Vec<PastDecision> {
    /// Extensions are counted by the year; older ones need not be kept.
    const KEPT_DAYS: f64 = 2.0 * DAYS_PER_YEAR;
    let mut days = kept.extension_days();
    days.retain(|made| *made > day - KEPT_DAYS);
    let grew = kept
        .current_interval_days
        .is_some_and(|then| interval_days > then);
    if kept.action == Action::Extend.word() && grew {
        days.push(day);
    }
    let decision = |day| PastDecision {
        day,
        action: Action::Extend,
    };
    days.into_iter().map(decision).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept(action: &str, extensions: &str) -> KeptHistory {
        KeptHistory {
            action: action.into(),
            current_interval_days: Some(365.0),
            extensions: extensions.into(),
            ..KeptHistory::default()
        }
    }

    #[test]
    fn only_extensions_that_were_followed_count() {
        let day = date::parse_iso(b"2026-05-31").unwrap();
        let days = |kept: &KeptHistory, interval| -> Vec<f64> {
            let made = followed(kept, day, interval);
            made.iter().map(|past| past.day).collect()
        };
        assert!(
            days(&kept("extend", ""), 365.0).is_empty(),
            "advised, not followed"
        );
        assert_eq!(days(&kept("extend", ""), 730.0), [day]);
        assert!(
            days(&kept("keep", ""), 730.0).is_empty(),
            "a person's own extension"
        );
        let earlier = kept("extend", "2023-01-31 2026-01-31");
        let january = date::parse_iso(b"2026-01-31").unwrap();
        assert_eq!(
            days(&earlier, 730.0),
            [january, day],
            "the oldest is forgotten"
        );
    }
}
