/*! What the page of a group shows: drift rates, out-of-tolerance by month, reliability. */

use super::super::conformity::risk_section;
use super::super::report::Report;
use super::by_month::by_month;
use super::rates::standout_sentences;
use crate::decisions::conformity_record::Record;
use crate::drift::class::rates::ClassScale;
use crate::drift::series::readings::Axis;
use crate::intervals::{MethodName, Proposal, group_proposals};
use crate::records::{DAYS_PER_YEAR, Item};
use crate::reliability::models::reliability;
use crate::reliability::{Bin, GroupReliability, Step, TargetKind};
use crate::report::text::as_sentence;
use crate::report::{DriftRate, GroupView, ReliabilityCurve, ReliabilityPoint, SectionView, slugs};
use crate::words::{not_applicable, percent};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Histories of every stated group, by name.
pub(crate) fn members(items: &[Item]) -> BTreeMap<&str, Vec<usize>> {
    let mut members: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, item) in items.iter().enumerate() {
        if !item.group.is_empty() {
            members.entry(&item.group).or_default().push(index);
        }
    }
    members
}

/// One view a stated group, sorted by name.
pub(crate) fn group_views(report: &Report<'_>) -> Vec<GroupView> {
    let histories = &report.results.loaded.histories;
    let members: Vec<(&str, Vec<usize>)> = members(&histories.items).into_iter().collect();
    let names = slugs(members.iter().map(|(name, _)| (*name, "")));
    let standing = standout_sentences(histories, &report.plan.settings.reliability);
    let view = |((name, members), slug): (&(&str, Vec<usize>), String)| {
        let mut view = group_view(report, name, slug, members);
        let stand_out = standing.get(*name).into_iter().flatten();
        view.sentences.extend(stand_out.cloned());
        view.sentences
            .iter_mut()
            .for_each(|sentence| *sentence = as_sentence(sentence));
        view
    };
    members.par_iter().zip(names).map(view).collect()
}

fn group_view(report: &Report<'_>, name: &str, slug: String, members: &[usize]) -> GroupView {
    let results = report.results;
    let items = &results.loaded.histories.items;
    let unit = &items[members[0]].unit;
    let shared = members.iter().all(|i| items[*i].unit == *unit);
    let reliability = results.groups.reliability.iter().find(|r| r.group == name);
    let records = members
        .iter()
        .filter_map(|index| report.conformity().get(index));
    let records: Vec<&Record> = records.collect();
    let risks = risk_section(&results.loaded.histories, report.decisions, &records);
    let target = report.plan.settings.intervals.reliability_target;
    GroupView {
        as_of: report.stage.as_of,
        name: name.into(),
        slug,
        unit: if shared { unit.clone() } else { String::new() },
        histories: members.len(),
        sentences: reliability.map_or_else(Vec::new, |r| r.sentences.clone()),
        bins: reliability.map_or_else(Vec::new, |r| r.bins.iter().map(point).collect()),
        longest_days: Some(report.plan.settings.intervals.cap_days).filter(|days| days.is_finite()),
        without_model: reliability.map_or_else(Vec::new, corners),
        reliability: reliability.map_or_else(Vec::new, |r| curves(r, target)),
        target: Some(target),
        drift_rates: members
            .par_iter()
            .filter_map(|i| drift_rate(report, *i))
            .collect(),
        class_drift: class_drift(report, members),
        out_of_tolerance: by_month(members.iter().map(|i| results.loaded.histories.get(*i))),
        cost: None,
        sections: proposals(report, name).into_iter().chain(risks).collect(),
    }
}

/// What the methods on outcomes propose for the group as a whole, and what R(t) does.
fn proposals(report: &Report<'_>, name: &str) -> Option<SectionView> {
    let group = report.results.groups.groups.by_name.get(name)?;
    let tables = report.stage.tables;
    let target = tables.intervals.reliability_target;
    let (interval, all) = group_proposals(group, &tables.methods, target)?;
    let interval_of =
        |days: Option<f64>| days.map_or("none".into(), |d| format!("{:.0}", d.floor()));
    let fitted = group.reliability.as_ref().map(|fitted| {
        let words = MethodName::Reliability.words();
        let why = match fitted.interval_days {
            Some(_) => fitted.why.clone(),
            None => not_applicable(&fitted.why),
        };
        vec![words.into(), interval_of(fitted.interval_days), why]
    });
    let row = |p: Proposal| {
        vec![
            p.method.words().into(),
            interval_of(p.interval_days),
            p.reason(),
        ]
    };
    let words = format!(
        "By the outcomes of all its instruments, at its typical interval of {interval:.0} d and a target of {}. \
             Each instrument's own decision is on its page.",
        percent(target)
    );
    Some(
        SectionView::of("Proposals for the group as a whole", [words]).table(
            "method | interval, d | reason",
            all.into_iter().map(row).chain(fitted),
        ),
    )
}

fn point(bin: &Bin) -> ReliabilityPoint {
    ReliabilityPoint {
        x: bin.mean_days,
        share: bin.proportion,
        limits: bin.limits,
        outcomes: bin.outcomes,
        at_risk: bin.at_risk,
    }
}

/// Corners of the line without a model where lives have several checks: flat where the records
/// tell it, straight where they do not tell how it falls. Where lives have one check each the
/// points say the same better.
fn corners(result: &GroupReliability) -> Vec<(f64, f64)> {
    if result.outcomes.is_current_status() {
        return Vec::new();
    }
    let ends = |step: &Step| {
        [
            (step.days, step.reliability),
            (step.last_days, step.reliability),
        ]
    };
    let mut corners = vec![(0.0, 1.0)];
    corners.extend(result.steps.iter().flat_map(ends));
    corners.dedup();
    corners
}

/// The chosen model with its limits, and a corner where it meets `target`, so that the picture and the
/// interval say one age; the others that the records do not tell from it, without.
fn curves(result: &GroupReliability, target: f64) -> Vec<ReliabilityCurve> {
    let Some(chosen) = result.chosen else {
        return Vec::new();
    };
    let days: Vec<f64> = result.curve.iter().map(|p| p.days).collect();
    let others = result.tied.iter().filter(|i| **i != chosen).map(|i| {
        let fit = &result.fits[*i];
        let at = |day: &f64| {
            (
                *day,
                reliability(fit.name.model(), *day / DAYS_PER_YEAR, &fit.theta),
            )
        };
        ReliabilityCurve {
            model: fit.name.words().into(),
            short: fit.name.short_words(),
            points: days.iter().map(at).collect(),
            limits: Vec::new(),
            leads: false,
        }
    });
    let fit = &result.fits[chosen];
    let met = TargetKind::EndOfPeriod.interval(fit.name.model(), &fit.theta, target);
    let met = met * DAYS_PER_YEAR;
    let mut points: Vec<(f64, f64)> = (result.curve.iter())
        .map(|p| (p.days, p.reliability))
        .collect();
    let place = points.partition_point(|(age, _)| *age < met);
    if (1..points.len()).contains(&place) {
        points.insert(place, (met, target));
    }
    let lead = ReliabilityCurve {
        model: fit.name.words().into(),
        short: fit.name.short_words(),
        points,
        limits: result
            .curve
            .iter()
            .map(|p| (p.days, p.lower, p.upper))
            .collect(),
        leads: true,
    };
    std::iter::once(lead).chain(others).collect()
}

fn drift_rate(report: &Report<'_>, index: usize) -> Option<DriftRate> {
    let fit = &report.results.fits.fits[index];
    let own = fit.own_drift();
    (fit.drift_per_year.is_finite() && fit.u_drift_per_year.is_finite()).then(|| DriftRate {
        name: report.results.loaded.histories.items[index].name(),
        own: own.map(|(drift, _)| drift),
        u_own: own.map(|(_, u)| u),
        shrunken: fit.drift_per_year,
        u_shrunken: fit.u_drift_per_year,
    })
}

/// Mean drift of the class and its deviation between items, where one pair of numbers holds for
/// all members: one class, one scale, drifts of time that neither fade nor grow.
fn class_drift(report: &Report<'_>, members: &[usize]) -> Option<(f64, f64)> {
    let classes = &report.results.fits.classes;
    let class = *classes.of.get(members[0])?;
    let others = members.iter().any(|i| classes.of[*i] != class);
    if others || report.stage.drift.axis == Axis::Usage {
        return None;
    }
    let parameters = &classes.parameters[class as usize];
    if parameters
        .quadrature_points
        .iter()
        .any(|node| node.rates.damping != 0.0)
    {
        return None;
    }
    let items = &report.results.loaded.histories.items;
    let scale = parameters.scale_of(&items[members[0]]);
    let one_scale = matches!(parameters.scale, ClassScale::Fixed(_))
        || members
            .iter()
            .all(|i| parameters.scale_of(&items[*i]) == scale);
    let (mean, variance) = match &parameters.pooled {
        Some(pooled) => (pooled.mean(), pooled.variance()),
        None => parameters.drift_after(0.0),
    };
    one_scale.then(|| (mean * scale, variance.sqrt() * scale))
}
