/*! The decision stage: proposals of every method asked for, and the policy's decision. */

use super::both_ways::{both_ways_words, full_stop};
use super::fits::Fits;
use super::season::SeasonResults;
use super::season_advice::heed;
use crate::drift::{DriftSettings, fit_model, without};
use crate::intervals::{
    Chain, Decision, Evidence, Groups, IntervalTables, Method, PastDecision, Proposal, Section,
    decide, explain,
};
use crate::records::{Histories, History};
use rayon::prelude::*;
use std::ops::Range;

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

    /// Proposals and decision of history `index`, and in words how the decision would differ
    /// without readings that lie far off the others.
    pub fn decide(&self, index: usize) -> (Vec<Proposal>, Decision) {
        let (proposals, mut decision) = self.decide_on(&self.evidence(index), index);
        if let Some(sentence) = self.both_ways(index, &decision) {
            decision.reason = format!("{} {sentence}", full_stop(&decision.reason));
        }
        let item = &self.histories.items[index];
        if let Some(advice) = self.season.and_then(|season| season.advice(item)) {
            heed(advice, &mut decision);
        }
        (proposals, decision)
    }

    /// Proposals and decision on `evidence` of history `index`.
    fn decide_on(&self, evidence: &Evidence<'_>, index: usize) -> (Vec<Proposal>, Decision) {
        let group = self.groups.of(evidence.history.item);
        let proposals: Vec<Proposal> = self
            .methods
            .iter()
            .map(|method| method.propose(evidence, group))
            .collect();
        let past = self.past.get(index).map_or(&[][..], Vec::as_slice);
        let decision = decide(evidence, &proposals, group, &self.tables.policy, past);
        (proposals, decision)
    }

    /// What would be decided without the suspect readings, where that differs.
    fn both_ways(&self, index: usize, with: &Decision) -> Option<String> {
        let fit = &self.fits.fits[index];
        if fit.suspects.is_empty() {
            return None;
        }
        let history = self.histories.get(index);
        let others = without(&history, &fit.suspects);
        let rest = others.get(0);
        let again = fit_model(&rest, self.fits.classes.of_history(index), self.drift);
        let drift = (self.drift.axis, self.drift.level);
        let evidence = Evidence::new(rest, &again, &self.tables.intervals, drift, self.as_of);
        let (_, without) = self.decide_on(&evidence, index);
        let same_days = with.interval_days.floor() == without.interval_days.floor();
        let same = same_days && with.action == without.action;
        (!same).then(|| both_ways_words(&history, &fit.suspects, with, &without))
    }

    /// Proposals and decisions of a range of histories, in order, on all cores.
    pub fn decide_range(&self, range: Range<usize>) -> Vec<(Vec<Proposal>, Decision)> {
        range
            .into_par_iter()
            .map(|index| self.decide(index))
            .collect()
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
            group: self.groups.of(evidence.history.item),
            proposals,
            decision,
            methods: self.methods,
            tables: self.tables,
            refit: &refit,
        })
    }
}
