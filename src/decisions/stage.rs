/*! The decision stage: the one procedure over every history of a fleet. */

use super::cases::closings::Closings;
use super::controls::Controls;
use super::explain::{Chain, Part};
use super::failed_points::{places_beside, points_beside};
use super::policy::smoothing::level_decisions;
use super::policy::{Decision, PastDecision};
use super::procedure::{Procedure, Subject};
use super::small_class::{KnownClasses, NoneKnown, SmallClass};
use crate::decisions::DecisionTables;
use crate::drift::class::fits::Fits;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::diagnostics::unconfirmed::LastReading;
use crate::drift::{DriftSettings, Fit, fit_model};
use crate::intervals::{Evidence, EvidenceByGroup, GroupEvidence, Method, Proposal};
use crate::records::{Histories, History};
use crate::section::SectionView;
use crate::thermometry::advice::Advice;
use crate::thermometry::session_findings::SessionFindings;
use rayon::prelude::*;
use std::ops::Range;

/// What is asked of a history with its fit and what its class lends.
pub(crate) type AskPoint<'f> = dyn FnMut(&History<'_>, &Fit, &ClassParameters) + 'f;

/// The other points of the one instrument that a verdict is on.
#[derive(Clone, Copy)]
pub(crate) struct PointsBeside<'a> {
    /// Those that are not among the histories of the stage.
    pub elsewhere: &'a Histories,
    /// Fits all of them and asks of each.
    pub each: &'a (dyn Fn(&mut AskPoint<'_>) + Sync),
}

/// All that the decision stage looks at.
pub(crate) struct DecisionStage<'a> {
    pub histories: &'a Histories,
    /// The other points of an instrument, where a verdict on one group leaves them out or unfitted.
    pub beside: Option<PointsBeside<'a>>,
    /// Their fits.
    pub fits: &'a Fits,
    /// What the groups lend.
    pub groups: &'a EvidenceByGroup,
    /// The methods, in the order of the proposals table.
    pub methods: &'a [Box<dyn Method>],
    /// Settings of the methods and the policy.
    pub tables: &'a DecisionTables,
    /// Settings of the drift.
    pub drift: &'a DriftSettings,
    /// Earlier decisions of each history; empty where there is no log.
    pub past: &'a [Vec<PastDecision>],
    /// Sessions of thermometers, whose advice a decision heeds.
    pub thermometry: Option<&'a SessionFindings>,
    /// The book of closings; `None` where no cases are kept.
    pub closings: Option<&'a Closings>,
    /// The control charts.
    pub controls: &'a Controls,
    /// Classes known from earlier runs.
    pub known: &'a dyn KnownClasses,
    /// Whether the forecast table is filled.
    pub forecast: bool,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
}

impl<'a> DecisionStage<'a> {
    fn procedure(&self) -> Procedure<'a> {
        Procedure {
            methods: self.methods,
            tables: self.tables,
            drift: self.drift,
            thermometry: self.thermometry,
            closings: self.closings,
            controls: Some(self.controls),
            known: self.known,
            as_of: self.as_of,
        }
    }

    /// Evidence of history `index`.
    pub(crate) fn evidence(&self, index: usize) -> Evidence<'a> {
        self.procedure()
            .evidence(self.histories.get(index), &self.fits.fits[index])
    }

    fn past_of(&self, index: usize) -> &'a [PastDecision] {
        self.past.get(index).map_or(&[], Vec::as_slice)
    }

    fn small_class(&self, index: usize) -> Option<SmallClass> {
        let elsewhere = self.known.small_class(&self.histories.get(index), index);
        let here = || SmallClass::of(self.histories, &self.fits.classes.of, index, f64::INFINITY);
        elsewhere.unwrap_or_else(here)
    }

    /// Proposals and decision of history `index`.
    pub(crate) fn decide(&self, index: usize) -> (Vec<Proposal>, Decision) {
        let small_class = || self.small_class(index);
        let (points, withdrawn) = (|| self.points(index), || self.withdrawn(index));
        let subject = self.subject(index, &small_class, &points, &withdrawn);
        self.procedure().decide(&subject)
    }

    /// The last reading of history `index` against the band that those before it predict.
    pub(super) fn last_reading(&self, index: usize) -> Option<LastReading> {
        let small_class = || self.small_class(index);
        let (points, withdrawn) = (|| self.points(index), || self.withdrawn(index));
        let subject = self.subject(index, &small_class, &points, &withdrawn);
        self.procedure().last_reading(&subject)
    }

    /// What is advised on the thermometer of history `index`, where it is one.
    pub(crate) fn advice(&self, index: usize) -> Option<Advice> {
        let small_class = || self.small_class(index);
        let (points, withdrawn) = (|| self.points(index), || self.withdrawn(index));
        let subject = self.subject(index, &small_class, &points, &withdrawn);
        self.procedure().advice(&subject)
    }

    fn subject<'s>(
        &'s self,
        index: usize,
        small_class: &'s dyn Fn() -> Option<SmallClass>,
        points: &'s dyn Fn() -> Vec<History<'s>>,
        withdrawn: &'s dyn Fn() -> Option<String>,
    ) -> Subject<'s> {
        let history = self.histories.get(index);
        Subject {
            index,
            history,
            fit: &self.fits.fits[index],
            class: self.fits.classes.of_history(index),
            group: self.groups.lent_to(&history),
            past: self.past_of(index),
            small_class,
            points,
            withdrawn,
        }
    }

    /// The other points of the instrument of history `index`.
    fn points(&self, index: usize) -> Vec<History<'_>> {
        let own = &self.histories.items[index].instrument;
        let beside = self.beside.into_iter();
        let elsewhere = beside.flat_map(|beside| beside.elsewhere.iter());
        let elsewhere = elsewhere.filter(|history| history.item.instrument == *own);
        points_beside(self.histories, index)
            .into_iter()
            .chain(elsewhere)
            .collect()
    }

    /// Another point of the instrument of history `index` that must not be used.
    fn withdrawn(&self, index: usize) -> Option<String> {
        let procedure = self.procedure();
        let name = |history: &History<'_>| history.item.point_name().to_string();
        if let Some(beside) = self.beside {
            let mut found = None;
            (beside.each)(&mut |history, fit, class| {
                if found.is_none() && procedure.withdraws(history, fit, class) {
                    found = Some(name(history));
                }
            });
            return found;
        }
        let mut others = places_beside(self.histories, index).into_iter();
        let (fits, classes) = (&self.fits.fits, &self.fits.classes);
        others
            .find(|&other| {
                let (history, class) = (self.histories.get(other), classes.of_history(other));
                procedure.withdraws(&history, &fits[other], class)
            })
            .map(|other| name(&self.histories.get(other)))
    }

    /// Proposals and decisions of a range of histories, in order, on all cores.
    pub(crate) fn decide_range(&self, range: Range<usize>) -> Vec<(Vec<Proposal>, Decision)> {
        range
            .into_par_iter()
            .map(|index| self.decide(index))
            .collect()
    }

    /// True where due dates are brought forward to level the workload.
    pub(crate) fn levels_workload(&self) -> bool {
        self.tables.policy.smoothing_days > 0.0
    }

    /// Assigns every decision of the fleet its date in the levelled workload; changes
    /// nothing where the policy does not ask for it.
    pub(crate) fn level_workload(&self, decisions: &mut [Decision]) {
        if !self.levels_workload() {
            return;
        }
        let items = &self.histories.items;
        let same = |i: usize| i > 0 && items[i].instrument == items[i - 1].instrument;
        let window = self.tables.policy.smoothing_days;
        level_decisions(decisions, same, self.as_of, window);
    }

    /// Assigned dates of the whole fleet; empty where nothing is levelled.
    pub(crate) fn assigned_dates(&self) -> Vec<f64> {
        if !self.levels_workload() {
            return Vec::new();
        }
        let all = self.decide_range(0..self.histories.len());
        let mut decisions: Vec<Decision> = all.into_iter().map(|(_, made)| made).collect();
        self.level_workload(&mut decisions);
        decisions.iter().map(|made| made.assigned_date).collect()
    }

    /// Parts of the chain from data to decision of history `index`, in words.
    pub(crate) fn explain(
        &self,
        index: usize,
        proposals: &[Proposal],
        decision: &Decision,
        parts: &[Part],
    ) -> Vec<SectionView> {
        let evidence = self.evidence(index);
        let class = self.fits.classes.of_history(index);
        let again = |history: &History<'_>, group: &GroupEvidence, past: &[PastDecision], day| {
            // A check that nobody made leaves nothing to the next run: only pages that are drawn
            // ask for it, and a page taken over must leave the same as one drawn anew.
            let procedure = Procedure {
                as_of: day,
                known: &NoneKnown,
                ..self.procedure()
            };
            let subject = Subject {
                index,
                history: *history,
                fit: &fit_model(history, class, self.drift),
                class,
                group,
                past,
                small_class: &|| self.small_class(index),
                points: &|| self.points(index),
                // The check is one of the whole instrument, after which its other points are judged anew.
                withdrawn: &|| None,
            };
            procedure.decide(&subject).1
        };
        let chain = Chain {
            evidence: &evidence,
            class,
            group: self.groups.lent_to(&evidence.history),
            proposals,
            decision,
            past: self.past_of(index),
            tables: self.tables,
            again: &again,
        };
        parts.iter().map(|part| part.section(&chain)).collect()
    }
}
