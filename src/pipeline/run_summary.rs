/*! What a run found, for the few lines on the terminal. */

use super::run_record::count_actions;
use crate::decisions::policy::{Action, Decision, leading};
use crate::ledger::standing::StandingReport;
use crate::records::{Item, Loaded, RowCounts, once};
use crate::report::compose::levelled::{pending_words, waiting};
use crate::report::gathered::{gathered, names};
use crate::settings::plan::Plan;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What a run found, for the few lines on the terminal.
#[derive(Debug, Clone, Default)]
pub(crate) struct RunSummary {
    /// Where the report stands.
    pub folder: PathBuf,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
    /// Row accounts.
    pub rows: RowCounts,
    /// Number of histories.
    pub histories: usize,
    /// Histories with each action.
    pub actions: BTreeMap<String, usize>,
    /// Findings that nobody has closed, those of retired and lost items too.
    pub open_cases: usize,
    /// The most urgent histories, those of which the same is said together: names, action and reason.
    pub urgent: Vec<(String, &'static str, String)>,
    /// Reasons of rejected rows with their counts, the most frequent first.
    pub rejects: Vec<(String, usize)>,
    /// Warnings, in words.
    pub warnings: Vec<String>,
    /// Proposals that nobody has decided yet, in words.
    pub pending: Option<String>,
    /// Jobs in doubt, in words, where the plan names jobs.
    pub work: Option<String>,
    /// Failures that no book of cases closes, in words.
    pub unkept: Option<String>,
    /// True where the very same report stood already and nothing was made anew.
    pub stood: bool,
    /// What a person should know of earlier runs: a broken ledger line, a clock gone backwards.
    pub notes: Vec<String>,
}

impl RunSummary {
    /// The summary of a report that stood already, from its own record.
    pub(crate) fn of_standing(report: StandingReport, folder: &Path, notes: Vec<String>) -> Self {
        Self {
            folder: folder.to_path_buf(),
            as_of: report.day(),
            rows: report.rows,
            histories: report.histories,
            actions: report.actions,
            open_cases: report.open_cases,
            stood: true,
            notes,
            ..Self::default()
        }
    }

    /// True where some history needs a person: `withdraw`, `review` or a case
    /// that nobody closed, or where there is none at all.
    pub(crate) fn needs_person(&self) -> bool {
        let of = |action: Action| self.actions.get(action.word()).copied().unwrap_or(0);
        of(Action::Withdraw) + of(Action::Review) + self.open_cases > 0 || self.histories == 0
    }
}

/// What was decided, for the lines on the terminal; parts of a fleet add up.
#[derive(Debug, Default)]
pub(crate) struct Decided {
    histories: usize,
    actions: BTreeMap<String, usize>,
    open_cases: usize,
    urgent: Vec<(String, &'static str, String)>,
    /// Proposals that wait, and the day of the oldest.
    waiting: Option<(usize, f64)>,
}

/// Where a history stands among all, and how urgent it is.
#[derive(Debug)]
struct Pressing {
    rank: usize,
    act_on: f64,
    place: usize,
}

/// What is said of the most urgent histories of a fleet in parts, by their place: action, first
/// words, name.
#[derive(Debug, Default)]
pub(crate) struct Said {
    /// In order, no more than are looked at.
    order: Vec<Pressing>,
    words: BTreeMap<usize, (Action, String, String)>,
}

impl Decided {
    /// All decisions of a fleet at once.
    pub(crate) fn of(items: &[Item], decisions: &[Decision]) -> Self {
        let mut all = Self::default();
        all.count(decisions);
        let said = |index: usize| (decisions[index].action, leading(&decisions[index].reason));
        let name = |index: usize| items[index].name();
        all.urgent = urgent(pressing(decisions, &|index| index).collect(), said, name);
        all
    }

    /// Adds the decisions of one part, whose history `index` stands at `place(index)` among all.
    pub(crate) fn add(
        &mut self,
        (items, decisions): (&[Item], &[Decision]),
        place: &dyn Fn(usize) -> usize,
        said: &mut Said,
    ) {
        self.count(decisions);
        said.order.extend(pressing(decisions, place));
        most_pressing(&mut said.order);
        let told: BTreeSet<usize> = said.order.iter().map(|own| own.place).collect();
        said.words.retain(|place, _| told.contains(place));
        let own = items.iter().zip(decisions).enumerate();
        for (index, (item, decision)) in own.filter(|(index, _)| told.contains(&place(*index))) {
            let words = leading(&decision.reason).to_string();
            let said_of_it = (decision.action, words, item.name());
            said.words.insert(place(index), said_of_it);
        }
    }

    /// What is told of all parts.
    pub(crate) fn with_words(self, said: Said) -> Self {
        let Said { order, words } = said;
        let of = |place: usize| words.get(&place);
        let first = |place| {
            of(place).map_or((Action::NotDecided, ""), |(action, words, _)| {
                (*action, words.as_str())
            })
        };
        let name = |place| of(place).map_or_else(String::new, |(.., name)| name.clone());
        Self {
            urgent: urgent(order, first, name),
            ..self
        }
    }

    fn count(&mut self, decisions: &[Decision]) {
        self.histories += decisions.len();
        for (action, number) in count_actions(decisions.iter().map(|d| d.action)) {
            *self.actions.entry(action).or_insert(0) += number;
        }
        let open = decisions.iter().filter_map(|d| d.open_cases);
        self.open_cases += open.sum::<usize>();
        let (number, oldest) = waiting(decisions);
        let (before, since) = self.waiting.unwrap_or((0, f64::INFINITY));
        self.waiting = Some((before + number, since.min(oldest)));
    }
}

fn pressing<'d>(
    decisions: &'d [Decision],
    place: &'d dyn Fn(usize) -> usize,
) -> impl Iterator<Item = Pressing> + 'd {
    let decided = |own: &(usize, &Decision)| own.1.action != Action::NotDecided;
    let all = decisions.iter().enumerate().filter(decided);
    all.map(|(index, decision)| Pressing {
        rank: rank(decision.action),
        act_on: decision.act_on(),
        place: place(index),
    })
}

/// Keeps the most urgent, in order.
fn most_pressing(order: &mut Vec<Pressing>) {
    const LOOKED_AT: usize = 100;
    order.sort_by(|a, b| {
        let by_rank = a.rank.cmp(&b.rank);
        let by_day = by_rank.then(a.act_on.total_cmp(&b.act_on));
        by_day.then(a.place.cmp(&b.place))
    });
    order.truncate(LOOKED_AT);
}

/// The most urgent, those of which the same is said together.
fn urgent<'d>(
    mut order: Vec<Pressing>,
    said: impl Fn(usize) -> (Action, &'d str),
    name: impl Fn(usize) -> String,
) -> Vec<(String, &'static str, String)> {
    const SHOWN: usize = 5;
    most_pressing(&mut order);
    let lines = gathered(order, |own| said(own.place), SHOWN).into_iter();
    let line = |own: Vec<Pressing>| {
        let named: Vec<String> = own.iter().map(|own| name(own.place)).collect();
        let (action, reason) = said(own[0].place);
        (names(&named), action.word(), reason.to_string())
    };
    lines.map(line).collect()
}

/// Place of an action in the order of urgency.
fn rank(action: Action) -> usize {
    Action::ALL
        .iter()
        .position(|a| *a == action)
        .unwrap_or(Action::ALL.len())
}

/// Summarises a finished run.
pub(crate) fn summarise(
    plan: &Plan,
    loaded: &Loaded,
    decided: Decided,
    target: &Path,
) -> RunSummary {
    let mut reasons: BTreeMap<&str, usize> = BTreeMap::new();
    for reject in &loaded.rejects {
        *reasons.entry(reject.cause()).or_insert(0) += 1;
    }
    let mut rejects: Vec<_> = reasons
        .into_iter()
        .map(|(r, n)| (r.to_string(), n))
        .collect();
    rejects.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    let waiting = decided.waiting.unwrap_or_default();
    RunSummary {
        folder: target.to_path_buf(),
        as_of: plan.as_of,
        rows: loaded.rows,
        histories: decided.histories,
        actions: decided.actions,
        open_cases: decided.open_cases,
        urgent: decided.urgent,
        rejects,
        warnings: once(&loaded.warnings),
        pending: pending_words(waiting, plan.as_of),
        work: None,
        unkept: None,
        stood: false,
        notes: Vec::new(),
    }
}
