/*! The pipeline file: one TOML text becomes one complete [`Settings`].

Each table is declared in its own room with `settings!`; the list below is the
only place that knows them all. A table is cut out of the file by its path, so
that `[intervals.staircase]` can belong to another room than `[intervals]`.
*/

use super::file_error::Problem;
use super::file_keys::{KnownKeys, collect_places};
use super::output::OutputSettings;
use super::run::RunSettings;
use super::sections::{Sections, a_type};
use crate::conformity::ConformitySettings;
use crate::control::ControlSettings;
use crate::decisions::DecisionTables;
use crate::decisions::approvals::ApprovalsSettings;
use crate::decisions::cases::closings::CasesSettings;
use crate::decisions::policy::PolicySettings;
use crate::drift::DriftSettings;
use crate::impact::jobs::{JobColumns, JobsSettings};
use crate::intervals::{IntervalSettings, MethodTables};
use crate::records::{
    CheckColumns, ChecksSettings, RegisterColumns, RegisterSettings, WideSettings,
};
use crate::reliability::ReliabilitySettings;
use crate::settings::{SettingError, SettingRow, SettingsTable};
use crate::simulate::replay::ReplaySettings;
use crate::thermometry::ThermometrySettings;
use crate::thermometry::advice::AdviceSettings;
use crate::thermometry::closure::AroundWorkSettings;
use crate::thermometry::iec60751::ClassRanges;
use crate::thermometry::its90::PlatinumSettings;
use crate::thermometry::reduction::BudgetSettings;
use crate::thermometry::session::SessionSettings;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// Declares every table of the pipeline file. In brackets: tables that are a field
/// of the one before and only need to be listed.
macro_rules! tables {
    ($( $(#[$about:meta])* $field:ident : $table:ty $([ $($inner:ty),* ])? ),* $(,)?) => {
        /// Every setting of a run, defaults filled in.
        #[derive(Debug, Clone, Default, PartialEq, serde::Serialize)]
        pub struct Settings {
            /// The as-of date as written; `None` where the file leaves it out.
            pub as_of: Option<String>,
            $( $(#[$about])* pub $field: $table, )*
        }

        impl Settings {
            /// The reference of all settings, in the order of the tables.
            pub(crate) fn rows() -> Vec<SettingRow> {
                let mut rows = vec![as_of_row()];
                $( rows.extend(<$table>::rows()); $( $( rows.extend(<$inner>::rows()); )* )? )*
                rows
            }

            /// Paths of all tables.
            pub(crate) fn paths() -> Vec<&'static str> {
                [ $( <$table>::paths(), $( $( <$inner>::paths(), )* )? )* ].concat()
            }

            /// Values that cannot be used.
            fn check(&self) -> Vec<SettingError> {
                let mut errors = Vec::new();
                $( errors.extend(self.$field.check()); )*
                errors
            }

            fn from_tree(tree: &DeTable<'_>, problems: &mut Vec<Problem>) -> Self {
                let as_of = as_of(tree, problems);
                let own = [ $( <$table>::paths() ),* ].concat();
                let mut sections = Sections { tree, own, problems };
                Settings { as_of, $( $field: <$table>::cut(&mut sections), )* }
            }
        }
    };
}

tables! {
    /// Where the checks are and how they are written.
    checks: ChecksSettings [CheckColumns, WideSettings],
    /// The register.
    register: RegisterSettings [RegisterColumns],
    /// Drift model and bands.
    drift: DriftSettings,
    /// Work done with the instruments.
    jobs: JobsSettings [JobColumns],
    /// What a person put in force.
    approvals: ApprovalsSettings,
    /// Findings and their closings.
    cases: CasesSettings,
    /// Raw readings of thermometers.
    thermometry: ThermometrySettings [
        BudgetSettings, SessionSettings, AdviceSettings, AroundWorkSettings, PlatinumSettings, ClassRanges
    ],
    /// Methods, target and bounds.
    intervals: IntervalSettings,
    /// The methods' own tables.
    #[serde(flatten)]
    methods: MethodTables,
    /// From proposals to one decision.
    policy: PolicySettings,
    /// Reliability from in/out outcomes.
    reliability: ReliabilitySettings,
    /// Walking forward through past records.
    replay: ReplaySettings,
    /// Control charts of check standards.
    control: ControlSettings,
    /// Decision rule for statements of conformity.
    conformity: ConformitySettings,
    /// What is written.
    output: OutputSettings,
    /// How the machine is used: no part of the record, since it changes nothing in it.
    #[serde(skip_serializing)]
    run: RunSettings,
}

impl Settings {
    /// The methods' and the policy's tables, as the intervals room takes them.
    pub(crate) fn interval_tables(&self) -> DecisionTables {
        DecisionTables {
            intervals: self.intervals.clone(),
            methods: self.methods.clone(),
            policy: self.policy.clone(),
            conformity: self.conformity.clone(),
        }
    }
}

/// A parsed pipeline file that still knows where its values stand.
#[derive(Debug)]
pub(crate) struct PipelineFile {
    /// The settings.
    pub settings: Settings,
    /// Where each value stands, by table and key.
    places: Vec<(String, String, Range<usize>)>,
}

impl PipelineFile {
    /// Parses and checks `text`; every problem found is returned.
    ///
    /// # Errors
    /// Bad TOML, unknown keys, wrong types, impossible values.
    pub(crate) fn parse(text: &str) -> Result<PipelineFile, Vec<Problem>> {
        let tree = DeTable::parse(text).map_err(|e| vec![Problem::from_toml(&e, None)])?;
        let tree = tree.get_ref();
        let mut problems = Vec::new();
        let known = KnownKeys {
            rows: Settings::rows(),
            tables: Settings::paths(),
        };
        known.unknown("", tree, &mut problems);
        if !problems.is_empty() {
            return Err(problems);
        }
        let settings = Settings::from_tree(tree, &mut problems);
        let mut places = Vec::new();
        collect_places("", tree, &mut places);
        let file = PipelineFile { settings, places };
        problems.extend(file.settings.check().into_iter().map(|error| Problem {
            span: file.place(error.table, error.key),
            title: format!("[{}] {} cannot be used", error.table, error.key),
            label: error.message,
            help: None,
        }));
        if problems.is_empty() {
            Ok(file)
        } else {
            Err(problems)
        }
    }

    /// Where the value of a key stands; the table where it is left out.
    pub(crate) fn place(&self, table: &str, key: &str) -> Option<Range<usize>> {
        let find = |t: &str, k: &str| {
            let found = self
                .places
                .iter()
                .find(|(table, key, _)| table == t && key == k);
            found.map(|(_, _, range)| range.clone())
        };
        let (parent, name) = table.rsplit_once('.').unwrap_or(("", table));
        find(table, key).or_else(|| find(parent, name))
    }
}

fn as_of_row() -> SettingRow {
    SettingRow {
        table: "",
        key: "as_of",
        default: String::new(),
        allowed: String::new(),
        about: "Date for which the decisions are made, YYYY-MM-DD; absent = today.".to_string(),
    }
}

/// The as-of date as text, from a string or a TOML date.
fn as_of(tree: &DeTable<'_>, problems: &mut Vec<Problem>) -> Option<String> {
    let value = tree.get("as_of")?;
    match value.get_ref() {
        DeValue::String(text) => Some(text.to_string()),
        DeValue::Datetime(date) => Some(date.to_string()),
        other => {
            problems.push(Problem {
                span: Some(value.span()),
                title: "as_of cannot be used".to_string(),
                label: format!(
                    "expected a date such as \"2026-06-30\", found {}",
                    a_type(other)
                ),
                help: None,
            });
            None
        }
    }
}

#[cfg(test)]
#[path = "file_tests.rs"]
mod tests;
