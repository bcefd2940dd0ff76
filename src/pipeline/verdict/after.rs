/*! The fits a verdict compares: of the earlier checks, and with the new check in place.

With the check in place, fit and decision are those that a run would come to on the
records with this check, as of its date: group and class are computed anew, but for a class
that an earlier run knows and the check does not touch.
*/

use super::control::{Control, Limits};
use super::stored::Stored;
use crate::decisions::controls::{ChartedBy, Controls, speaking_of_unit};
use crate::decisions::failed_points::places_beside;
use crate::decisions::policy::{Action, Decision, PastDecision};
use crate::decisions::processes::OutOfControl;
use crate::decisions::small_class::one_reading_sways;
use crate::decisions::stage::{AskPoint, DecisionStage, PointsBeside};
use crate::decisions::with_reading::{add_check, group_of, selected};
use crate::drift::class::basis::Basis;
use crate::drift::class::classes::{Classes, LazyClasses, basis_of, class_members};
use crate::drift::class::fits::Fits;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::{Fit, fit_model};
use crate::pipeline::fits::recall_class;
use crate::pipeline::groups::groups_for_methods;
use crate::records::append::check::NewCheck;
use crate::records::{Histories, History, Item};
use crate::settings::plan::Plan;
use crate::thermometry::advice::Advice;
use std::borrow::Cow;

/// Histories of the group with the check, and what they say of it.
pub(crate) struct After {
    pub histories: Histories,
    pub class: ClassParameters,
    pub fit: Fit,
    pub decision: Decision,
    /// What is advised on the thermometer that it was made with.
    pub advice: Option<Advice>,
    /// True where that advice is on this check, false where it is on the thermometer's sessions.
    pub of_check: bool,
    /// Why the check carries no statement of conformity yet.
    pub against: Option<String>,
    /// Why the earlier checks predict nothing yet.
    pub unsettled: Option<String>,
}

impl After {
    /// True where nothing keeps a reading among these limits from confirming the value.
    pub(crate) fn confirms(&self, limits: Option<&Limits>) -> bool {
        limits.is_none_or(|limits| limits.control != Control::Action)
            && self.decision.action != Action::Withdraw
            && self.against.is_none()
            && self.unsettled.is_none()
    }
}

/// Fit of the checks before the new one, and what follows once it is in place.
///
/// In a class that one reading does not sway, the fit of the earlier checks borrows the class
/// with the new one, rather than fit the same class twice.
pub(crate) fn before_and_after(
    plan: &Plan,
    group: &Histories,
    place: usize,
    check: &NewCheck,
    (stored, past): (&Stored, &[PastDecision]),
) -> (Fit, After) {
    let drift = &plan.settings.drift;
    let own = group.get(place);
    let after = || after(plan, group, place, check, (stored, past));
    if !one_reading_sways(group, &class_members(group, place)) {
        let after = after();
        return (fit_model(&own, &after.class, drift), after);
    }
    rayon::join(
        || {
            let class = recall_class(&basis_of(group, place), drift, &stored.memory);
            fit_model(&own, &class, drift)
        },
        after,
    )
}

/// Fit and decision with `check` as the newest of history `place`, as of its date.
fn after(
    plan: &Plan,
    group: &Histories,
    place: usize,
    check: &NewCheck,
    (stored, past): (&Stored, &[PastDecision]),
) -> After {
    let mut histories = group.clone();
    add_check(&mut histories, place, check);
    let before = &group.get(place);
    decided(
        plan,
        (histories, place, before),
        check.date.floor(),
        (stored, past),
    )
}

/// Fit and decision of history `place` of its group, as of a day; `before` has the checks that predict.
pub(super) fn decided(
    plan: &Plan,
    (histories, place, before): (Histories, usize, &History<'_>),
    as_of: f64,
    (stored, past): (&Stored, &[PastDecision]),
) -> After {
    let drift = &plan.settings.drift;
    let class = recall_class(&basis_of(&histories, place), drift, &stored.memory);
    let fit = fit_model(&histories.get(place), &class, drift);
    let mut fits = vec![Fit::default(); histories.len()];
    fits[place] = fit.clone();
    let fits = Fits {
        classes: own_class(&histories, place, &class),
        fits,
    };
    let groups = groups_for_methods(plan, &histories);
    let mut log = vec![Vec::new(); histories.len()];
    log[place] = past.to_vec();
    let tables = plan.interval_tables();
    let methods = tables.methods();
    let classes = LazyClasses::of(&histories);
    let recall = |basis: &Basis<'_>| recall_class(basis, drift, &stored.memory);
    let class_of = |index| Cow::Borrowed(classes.of_history(index, &recall));
    let by = charted_by(plan, stored, &class_of, Some(place));
    let others = out_of_control_beside(plan, stored, &histories.items[place]);
    let controls = Controls::of(&histories, &by, &|_| false).beside(others);
    let elsewhere = places_elsewhere(&stored.histories, &histories, &histories.items[place]);
    let outside = selected(&stored.histories, &elsewhere);
    let own = (&histories, place);
    let each = |ask: &mut AskPoint<'_>| ask_points(plan, stored, own, &elsewhere, ask);
    let stage = DecisionStage {
        histories: &histories,
        beside: Some(PointsBeside {
            elsewhere: &outside,
            each: &each,
        }),
        fits: &fits,
        groups: &groups,
        methods: &methods,
        tables: &tables,
        drift,
        past: &log,
        thermometry: stored.thermometry.as_ref().map(|results| &results.findings),
        closings: stored.closings.as_ref(),
        controls: &controls,
        known: &stored.memory,
        forecast: false,
        as_of,
    };
    let (_, decision) = stage.decide(place);
    let advice = stage.advice(place);
    let own = histories.get(place);
    let thermometry = stored.thermometry.as_ref();
    let of_check = thermometry.is_none_or(|s| s.findings.of(&own.item.instrument).is_none());
    After {
        against: controls.against_check(place, &own, own.len().saturating_sub(1)),
        unsettled: controls.against_level(place, before),
        histories,
        class,
        fit,
        decision,
        advice,
        of_check,
    }
}

/// Asks of the other points of the instrument of history `place`, fitted: those of its group as `histories` has them, and
/// those `elsewhere` among what is stored.
fn ask_points(
    plan: &Plan,
    stored: &Stored,
    (histories, place): (&Histories, usize),
    elsewhere: &[usize],
    ask: &mut AskPoint<'_>,
) {
    let drift = &plan.settings.drift;
    let mut fitted = |group: &Histories, at: usize| {
        let (history, basis) = (group.get(at), basis_of(group, at));
        let class = recall_class(&basis, drift, &stored.memory);
        ask(&history, &fit_model(&history, &class, drift), &class);
    };
    for other in places_beside(histories, place) {
        fitted(histories, other);
    }
    for &other in elsewhere {
        let (group, at) = group_of(&stored.histories, other);
        fitted(&group, at);
    }
}

/// Places among `all` of the points of the instrument of `item` that are not in its own group.
fn places_elsewhere(all: &Histories, group: &Histories, item: &Item) -> Vec<usize> {
    let points = (0..all.len()).filter(|i| all.items[*i].instrument == item.instrument);
    let grouped = |i: &usize| {
        group
            .items
            .iter()
            .any(|other| other.names() == all.items[*i].names())
    };
    points.filter(|i| !grouped(i)).collect()
}

/// The check standards out of control that speak of every item of the unit of `item`, whose own group
/// its charts show already.
fn out_of_control_beside(plan: &Plan, stored: &Stored, item: &Item) -> Vec<OutOfControl> {
    let drift = &plan.settings.drift;
    let classes = LazyClasses::of(&stored.histories);
    let recall = |basis: &Basis<'_>| recall_class(basis, drift, &stored.memory);
    let class = |index| Cow::Borrowed(classes.of_history(index, &recall));
    let by = charted_by(plan, stored, &class, None);
    speaking_of_unit(&stored.histories, (&item.group, &item.unit), &by)
}

fn charted_by<'a>(
    plan: &'a Plan,
    stored: &'a Stored,
    class: &'a (dyn Fn(usize) -> Cow<'a, ClassParameters> + Sync),
    only: Option<usize>,
) -> ChartedBy<'a> {
    ChartedBy {
        control: &plan.settings.control,
        drift: &plan.settings.drift,
        closings: stored.closings.as_ref(),
        class,
        only,
    }
}

/// The class of history `place`; the other classes of its group, of other points, are not
/// looked at.
fn own_class(histories: &Histories, place: usize, class: &ClassParameters) -> Classes {
    let mut of = vec![1; histories.len()];
    for member in class_members(histories, place) {
        of[member] = 0;
    }
    Classes {
        of,
        parameters: vec![class.clone(); 2],
    }
}
