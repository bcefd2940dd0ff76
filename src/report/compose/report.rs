/*! Everything the pages are made of. */

use super::cases::Cases;
use super::doubts::Doubts;
use super::results::Results;
use crate::decisions::conformity_record::Record;
use crate::decisions::instrument::Instrument;
use crate::decisions::policy::Decision;
use crate::decisions::stage::DecisionStage;
use crate::drift::diagnostics::tests::Diagnostics;
use crate::records::Warning;
use crate::report::SectionView;
use crate::settings::plan::Plan;
use std::collections::{BTreeMap, HashMap};
use std::sync::OnceLock;

/// Everything the pages are made of.
pub(crate) struct Report<'a> {
    pub plan: &'a Plan,
    /// Records, fits, groups.
    pub results: &'a Results,
    /// The decision stage, to make proposals again where a page lists them.
    pub stage: &'a DecisionStage<'a>,
    /// The decisions, in the histories' order.
    pub decisions: &'a [Decision],
    /// The instruments made of them.
    pub instruments: &'a [Instrument<'a>],
    /// Tests of each fit; empty where the tables left them out.
    pub tests: &'a [Diagnostics],
    /// Past work in doubt.
    pub doubts: &'a Doubts,
    /// Findings and what became of them.
    pub cases: &'a Cases<'a>,
    /// Failures that nobody can close, since no book of cases is kept.
    pub unclosed: Option<&'a Warning>,
    /// Failures of items whose checks are all gone, that nobody has closed.
    pub vanished: Option<&'a Warning>,
    /// Intervals in use that nobody states and the record contradicts.
    pub unstated: Option<&'a Warning>,
    /// How it would have done on these records, where that was asked.
    pub replay: Option<SectionView>,
    /// Warnings of the screening by the history they name.
    pub warnings: HashMap<&'a str, Vec<&'a str>>,
    /// Records of conformity by history, of those that have a page; made when first asked for.
    pub conformity: OnceLock<BTreeMap<usize, Record>>,
}
