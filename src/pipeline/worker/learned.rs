/*! What was learned of a fleet: all that the decision on one of its histories takes from the others. */

use super::WorkerError;
use super::classes::LearnedClasses;
use crate::decisions::processes::Processes;
use crate::drift::source::settle::Sources;
use crate::intervals::EvidenceByGroup;
use crate::ledger::{build, settings_sha256};
use crate::records::reading::columnar::arrow_stream::ArrowTable;
use crate::records::reading::source::input_of;
use crate::records::screening::resolution::Steps;
use crate::records::{LoadError, date};
use crate::settings::plan::Plan;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::path::Path;

/// The column of the bytes of what was learned.
pub(crate) const COLUMN: &str = "learned";

const LEARN_ANEW: &str = "run driftbook worker learn with the same program, pipeline file and date, and give --learned what it writes";

/// What was learned of a fleet, or of a part of it with whole groups.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Learned {
    ground: Ground,
    /// Number of its histories.
    pub histories: u64,
    /// Number of their checks.
    pub checks: u64,
    pub(super) steps: Steps,
    pub(super) sources: Sources,
    pub(super) classes: LearnedClasses,
    pub(super) groups: EvidenceByGroup,
    pub(super) processes: Processes,
}

/// What learning and deciding must have alike.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Ground {
    settings: String,
    as_of: f64,
    /// SHA-256 of each file beside the checks that is there, by the key that names it.
    files: Vec<(String, String)>,
}

impl Ground {
    /// The ground of a plan.
    ///
    /// # Errors
    /// A file that cannot be read.
    pub(crate) fn of(plan: &Plan) -> Result<Self, LoadError> {
        let settings = &plan.settings;
        let named = [
            ("register", plan.register.clone()),
            ("approvals", plan.approvals.clone()),
            ("cases", plan.place_of(&settings.cases.file)),
            ("revaluations", plan.place_of(&settings.checks.revaluations)),
        ];
        let mut files = Vec::new();
        for (name, path) in named {
            let Some(path) = path.filter(|path| path.exists()) else {
                continue;
            };
            let input = input_of(&path, &path.display().to_string())?;
            files.push((name.to_string(), input.sha256));
        }
        Ok(Self {
            settings: settings_sha256(&plan.settings),
            as_of: plan.as_of,
            files,
        })
    }

    /// What differs from another, in words; `None` where nothing does.
    fn differs(&self, other: &Self) -> Option<String> {
        if self.as_of.to_bits() != other.as_of.to_bits() {
            let (one, two) = (date::iso(self.as_of), date::iso(other.as_of));
            return Some(format!(
                "it was learned as of {one}, and the decisions are asked as of {two}"
            ));
        }
        if self.settings != other.settings {
            return Some("it was learned with other settings".into());
        }
        let file = |all: &Self, of: &Self| {
            let differs = |file: &&(String, String)| !of.files.contains(file);
            all.files.iter().find(differs).map(|(name, _)| name.clone())
        };
        let name = file(self, other).or_else(|| file(other, self))?;
        Some(format!(
            "the {name} that it was learned with is not the one that is there"
        ))
    }
}

impl Learned {
    /// Nothing learned yet, on this ground.
    pub(super) fn nothing(ground: Ground) -> Self {
        Self {
            ground,
            histories: 0,
            checks: 0,
            steps: Steps::default(),
            sources: Sources::default(),
            classes: LearnedClasses::default(),
            groups: EvidenceByGroup::default(),
            processes: Processes::default(),
        }
    }

    /// All of what was learned that the Arrow stream in `file` holds.
    ///
    /// # Errors
    /// A file that cannot be read, or that another build, other settings or another date wrote.
    pub(super) fn read(file: &Path, ground: Ground) -> Result<Self, WorkerError> {
        let shown = file.display().to_string();
        let bytes = crate::records::reading::source::read(file, &shown)?;
        let mut all = Self::nothing(ground);
        for one in ArrowTable::read(&bytes, &shown)?.bytes(COLUMN)? {
            let one = Self::of_bytes(&one)
                .map_err(|why| WorkerError::unfit(format!("{shown}: {why}"), LEARN_ANEW))?;
            if let Some(why) = one.ground.differs(&all.ground) {
                return Err(WorkerError::unfit(format!("{shown}: {why}"), LEARN_ANEW));
            }
            all.join(one)?;
        }
        Ok(all)
    }

    fn join(&mut self, other: Self) -> Result<(), WorkerError> {
        self.classes.join(other.classes)?;
        self.groups.join(other.groups).map_err(|twice| {
            let mend = "send all checks of a group to one call of driftbook worker learn";
            WorkerError::unfit(twice, mend)
        })?;
        self.histories += other.histories;
        self.checks += other.checks;
        self.steps.join(other.steps);
        self.sources.join(other.sources);
        self.processes.join(other.processes);
        Ok(())
    }

    /// As bytes, with the build that wrote them and their sum.
    ///
    /// # Errors
    /// In words, why it cannot be written.
    pub(crate) fn bytes(&self) -> Result<Vec<u8>, WorkerError> {
        let body = rmp_serde::to_vec(&(build(), self));
        let body = body.map_err(|why| WorkerError::Output(why.to_string()))?;
        Ok([&Sha256::digest(&body)[..], &body].concat())
    }

    fn of_bytes(bytes: &[u8]) -> Result<Self, &'static str> {
        const BROKEN: &str = "what was learned is broken";
        const OTHER: &str = "another build of driftbook wrote what was learned";
        let (sum, body) = bytes.split_first_chunk::<32>().ok_or(BROKEN)?;
        if *sum != <[u8; 32]>::from(Sha256::digest(body)) {
            return Err(BROKEN);
        }
        // The first of the two tells the build, whatever form another build gives the second.
        let mut rest = rmp_serde::Deserializer::from_read_ref(body);
        let (wrote, learned) = <(String, Self)>::deserialize(&mut rest).map_err(|_| OTHER)?;
        match wrote == build() {
            true => Ok(learned),
            false => Err(OTHER),
        }
    }
}
