/*! The decision stage: proposals of every method asked for, and the policy's decision. */

use super::approvals;
use super::both_ways::{both_ways_words, full_stop};
use super::cases::closings::Closings;
use super::cases::{self, open_findings};
use super::conformity_now;
use super::contradiction;
use super::controls::Controls;
use super::explain::{Chain, Section, explain};
use super::policy::guardrails::within_forecast;
use super::policy::smoothing::level_decisions;
use super::policy::{Decision, PastDecision, decide, end_with_due};
use super::waiting::Waiting;
use super::with_reading::only;
use crate::drift::class::classes::class_parameters;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::diagnostics::suspects::without;
use crate::drift::diagnostics::unconfirmed::{LastReading, last_reading};
use crate::drift::{DriftSettings, fit_model};
use crate::intervals::{Evidence, Groups, IntervalTables, Method, Proposal, proposals};
use crate::ledger::memory::{Memory, key_of};
use crate::pipeline::fits::Fits;
use crate::pipeline::season::SeasonResults;
use crate::records::{Histories, History};
use rayon::prelude::*;
use std::borrow::Cow;
use std::ops::Range;

/// The target beside every decision, for work that must hardly ever be in doubt.
const NEARLY_SURE: f64 = 0.99;

/// Classes up to this many histories are fitted anew without a suspect reading.
const SMALL_CLASS: usize = 60;

/// Readings of a class among which one does not show: without the farthest of so many, five
/// standard deviations off, their scatter is 2.5 % less. In a smaller class a last reading
/// is judged by the class without it.
const LARGE_CLASS: usize = 500;

/// A last reading beyond this share of its band may lie outside once its own part in a small
/// class is taken out: of ten readings, one three standard deviations off raises their
/// scatter by a third.
const WORTH_A_REFIT: f64 = 0.6;

/// True where one reading among those of the histories `mates` may sway their class.
pub(crate) fn sways(histories: &Histories, mates: &[usize]) -> bool {
    let readings = mates.iter().map(|&i| histories.get(i).len()).sum::<usize>();
    mates.len() <= SMALL_CLASS && readings < LARGE_CLASS
}

/// All that the decision stage looks at.
pub struct Bench<'a> {
    /// The histories.
    pub histories: &'a Histories,
    /// Their fits.
    pub fits: &'a Fits,
    /// What the groups lend.
    pub groups: &'a Groups,
    /// The methods, in the order of the proposals table.
    pub methods: &'a [Box<dyn Method>],
    /// Settings of the methods and the policy.
    pub tables: &'a IntervalTables,
    /// Settings of the drift.
    pub drift: &'a DriftSettings,
    /// Earlier decisions of each history; empty where there is no log.
    pub past: &'a [Vec<PastDecision>],
    /// Sessions of thermometers, whose advice a decision heeds.
    pub season: Option<&'a SeasonResults>,
    /// The book of closings; `None` where no cases are kept.
    pub closings: Option<&'a Closings>,
    /// The control charts.
    pub controls: &'a Controls,
    /// Classes known from earlier runs.
    pub memory: &'a Memory,
    /// Whether the forecast table is filled.
    pub forecast: bool,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
}

impl<'a> Bench<'a> {
    /// Evidence of history `index`.
    pub fn evidence(&self, index: usize) -> Evidence<'a> {
        let drift = (self.drift.axis, self.drift.level);
        let history = self.histories.get(index);
        Evidence::new(
            history,
            &self.fits.fits[index],
            &self.tables.intervals,
            drift,
            self.as_of,
        )
    }

    fn past_of(&self, index: usize) -> &'a [PastDecision] {
        self.past.get(index).map_or(&[], Vec::as_slice)
    }

    /// Proposals and decision of history `index`, and in words how the decision would differ
    /// without readings that lie far off the others.
    pub fn decide(&self, index: usize) -> (Vec<Proposal>, Decision) {
        let evidence = self.evidence(index);
        let (proposals, mut decision) = self.decide_on(&evidence, index);
        let without = self.without_suspects(index);
        let both_ways = without
            .as_ref()
            .and_then(|without| both_ways_words(&evidence, &decision, without));
        let missing = self.fits.classes.of_history(index).missing;
        if let Some(missing) = &missing {
            Waiting::of_missing(missing).hold(&evidence, &mut decision);
        }
        if decision.interval_days > evidence.current_interval
            && let Some(waiting) = self.waiting(&evidence, index, without.as_ref())
        {
            waiting.hold(&evidence, &mut decision);
        }
        if let Some(sentence) = both_ways {
            decision.reason = format!("{} {sentence}", full_stop(&decision.reason));
        }
        let item = &self.histories.items[index];
        if let Some(season) = self.season {
            season.heeded(item, &evidence, &mut decision);
        }
        self.controls.heed(index, &evidence, &mut decision);
        let rule = self.tables.conformity.decision_rule();
        conformity_now::heed(&evidence, &rule, &mut decision);
        contradiction::heed(&evidence, &mut decision);
        let open = open_findings(&evidence.history, &rule, self.closings, self.as_of);
        decision.open_cases = self.closings.map(|_| open.len());
        cases::heed(&evidence, &open, &mut decision);
        approvals::heed(&evidence, self.tables.policy.smallest_change, &mut decision);
        end_with_due(&evidence, &mut decision);
        decision.interval_99_days = within_forecast(&evidence, NEARLY_SURE).unwrap_or(f64::NAN);
        (proposals, decision)
    }

    /// Proposals and decision on `evidence` of history `index`.
    fn decide_on(&self, evidence: &Evidence<'_>, index: usize) -> (Vec<Proposal>, Decision) {
        let group = self.groups.lent_to(&evidence.history);
        let proposals = proposals(self.methods, evidence, group);
        let past = self.past_of(index);
        let decision = decide(evidence, &proposals, group, &self.tables.policy, past);
        (proposals, decision)
    }

    /// What would be decided without the suspect readings; `None` where there are none.
    fn without_suspects(&self, index: usize) -> Option<Decision> {
        let fit = &self.fits.fits[index];
        if fit.suspects.is_empty() {
            return None;
        }
        let history = self.histories.get(index);
        let others = without(&history, &fit.suspects);
        let rest = others.get(0);
        let class = self.class_with(index, &others, &self.classmates(index));
        let again = fit_model(&rest, &class, self.drift);
        let drift = (self.drift.axis, self.drift.level);
        let evidence = Evidence::new(rest, &again, &self.tables.intervals, drift, self.as_of);
        Some(self.decide_on(&evidence, index).1)
    }

    /// What a longer interval has to wait for, where it rests on a reading that no other
    /// confirms; `without` is the decision without the suspect readings.
    fn waiting(
        &self,
        evidence: &Evidence<'_>,
        index: usize,
        without: Option<&Decision>,
    ) -> Option<Waiting> {
        let last = self.last_reading(index).filter(LastReading::is_outside);
        if let Some(waiting) = Waiting::of_last(&evidence.history, evidence.fit, last) {
            return Some(waiting);
        }
        let longer = without?.interval_days > evidence.current_interval;
        (!longer).then(|| Waiting::of_suspects(&evidence.history, evidence.fit))
    }

    /// The last reading against the band that those before it predict.
    pub(super) fn last_reading(&self, index: usize) -> Option<LastReading> {
        let history = self.histories.get(index);
        let class = self.fits.classes.of_history(index);
        let far_off = self.tables.policy.far_off;
        let last = last_reading(&history, class, self.drift, far_off)?;
        if last.share_of_band < WORTH_A_REFIT || last.is_outside() {
            return Some(last);
        }
        let mates = self.classmates(index);
        if !sways(self.histories, &mates) {
            return Some(last);
        }
        let mut others = only(self.histories, &[index]);
        others.columns.as_found[last.row] = f64::NAN;
        others.columns.as_left[last.row] = f64::NAN;
        let class = self.class_with(index, &others, &mates);
        last_reading(&history, &class, self.drift, far_off)
    }

    /// The histories of the class of history `index`; one more than is asked for of a large class.
    fn classmates(&self, index: usize) -> Vec<usize> {
        let of = &self.fits.classes.of;
        let class = of.get(index).copied();
        (0..of.len())
            .filter(|i| of.get(*i).copied() == class)
            .take(SMALL_CLASS + 1)
            .collect()
    }

    /// Class parameters with `others` in the place of history `index`: a small class knows
    /// its steps and its wander from few readings, a large one is as good as unchanged.
    fn class_with(
        &self,
        index: usize,
        others: &Histories,
        mates: &[usize],
    ) -> Cow<'_, ClassParameters> {
        let place = mates.iter().position(|i| *i == index);
        let (Some(place), true) = (place, mates.len() <= SMALL_CLASS) else {
            return Cow::Borrowed(self.fits.classes.of_history(index));
        };
        let mut group = only(self.histories, mates);
        let rows = group.offsets[place]..group.offsets[place + 1];
        group.columns.as_found[rows.clone()].copy_from_slice(&others.columns.as_found);
        group.columns.as_left[rows].copy_from_slice(&others.columns.as_left);
        let key = || key_of("class without", &(self.drift, place), group.iter());
        let find = || {
            let again = class_parameters(&group, self.drift);
            again.of_history(place).clone()
        };
        Cow::Owned(self.memory.recall(key, find))
    }

    /// Proposals and decisions of a range of histories, in order, on all cores.
    pub fn decide_range(&self, range: Range<usize>) -> Vec<(Vec<Proposal>, Decision)> {
        range
            .into_par_iter()
            .map(|index| self.decide(index))
            .collect()
    }

    /// True where due dates are brought forward to level the workload.
    pub fn levels(&self) -> bool {
        self.tables.policy.smoothing_days > 0.0
    }

    /// Assigns every decision of the fleet its date in the levelled workload; changes
    /// nothing where the policy does not ask for it.
    pub fn level(&self, decisions: &mut [Decision]) {
        if !self.levels() {
            return;
        }
        let items = &self.histories.items;
        let same = |i: usize| i > 0 && items[i].instrument == items[i - 1].instrument;
        let window = self.tables.policy.smoothing_days;
        level_decisions(decisions, same, self.as_of, window);
    }

    /// Assigned dates of the whole fleet; empty where nothing is levelled.
    pub fn assigned_dates(&self) -> Vec<f64> {
        if !self.levels() {
            return Vec::new();
        }
        let all = self.decide_range(0..self.histories.len());
        let mut decisions: Vec<Decision> = all.into_iter().map(|(_, made)| made).collect();
        self.level(&mut decisions);
        decisions.iter().map(|made| made.assigned_date).collect()
    }

    /// The chain from data to decision of history `index`, in words.
    pub fn explain(
        &self,
        index: usize,
        proposals: &[Proposal],
        decision: &Decision,
    ) -> Vec<Section> {
        let evidence = self.evidence(index);
        let refit = |history: &History<'_>| {
            fit_model(history, self.fits.classes.of_history(index), self.drift)
        };
        explain(&Chain {
            evidence: &evidence,
            class: self.fits.classes.of_history(index),
            group: self.groups.lent_to(&evidence.history),
            proposals,
            decision,
            past: self.past_of(index),
            methods: self.methods,
            tables: self.tables,
            refit: &refit,
        })
    }
}
