/*! The control charts of a run, and the check standards that are out of control.

A check standard is measured beside other items: one that is out of control says that the process
was, on the days it was measured from the first open signal on. It protects the checks of its group
and unit on such a day; where it is alone in its group, or has none, those of its unit. What that
holds back is in [`super::held_by_controls`].
*/

use super::cases::closings::Closings;
use super::processes::{OutOfControl, Processes, Protected};
use crate::control::{
    ControlSettings, ItemChart, RunLengths, SharedBy, SharedShifts, is_charted, item_chart,
};
use crate::drift::DriftSettings;
use crate::drift::class::parameters::ClassParameters;
use crate::records::{Histories, History, Item, Role};
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// What the charts are made by.
#[derive(Clone, Copy)]
pub(crate) struct ChartedBy<'a> {
    /// Settings of the charts.
    pub control: &'a ControlSettings,
    /// Settings of the drift.
    pub drift: &'a DriftSettings,
    /// The book of closings; `None` where no cases are kept.
    pub closings: Option<&'a Closings>,
    /// What the class of a history lends.
    pub class: &'a (dyn Fn(usize) -> Cow<'a, ClassParameters> + Sync),
    /// The one history whose decision is asked for; `None` for all.
    pub only: Option<usize>,
}

impl<'a> ChartedBy<'a> {
    fn shared(&self, histories: &Histories) -> SharedBy<'a> {
        let key = |index: usize| {
            let item = &histories.items[index];
            (item.group.clone(), item.unit.clone())
        };
        SharedBy {
            class: self.class,
            axis: self.drift.axis,
            judged_until: self.control.judged_until(),
            only: self.only.map(key),
        }
    }
}

/// The control charts of a run.
#[derive(Debug, Default)]
pub(crate) struct Controls {
    /// The chart of each charted history, by its index.
    pub charts: BTreeMap<usize, ItemChart>,
    /// What a chart of these settings is worth; `None` where nothing is charted.
    pub lengths: Option<RunLengths>,
    out_of_control: Vec<OutOfControl>,
    /// Whom they protect, then the day: the check standards that were out of control.
    pub(super) suspect: BTreeMap<Protected, BTreeMap<i64, Vec<String>>>,
    /// What many items show at one time.
    pub shared: SharedShifts,
}

impl Controls {
    /// The charts of the check standards, and of the other charted histories whose items are `asked`
    /// for.
    pub(crate) fn of(
        histories: &Histories,
        by: &ChartedBy<'_>,
        asked: &(dyn Fn(&Item) -> bool + Sync),
    ) -> Self {
        let charts = charts(histories, by, asked);
        let standards = charts
            .iter()
            .filter(|(index, _)| histories.items[**index].role == Role::CheckStandard);
        let found =
            standards.filter_map(|(index, chart)| OutOfControl::of(histories, *index, chart));
        let found = found.collect();
        let shared = SharedShifts::of(histories, &by.shared(histories));
        Self::with(charts, found, shared, by)
    }

    /// As [`Controls::of`] for some histories of a fleet, of which `known` says what all of them say
    /// together.
    pub(crate) fn of_part(histories: &Histories, by: &ChartedBy<'_>, known: &Processes) -> Self {
        let shared = SharedShifts::known(histories, &by.shared(histories), &known.shifts);
        let charts = charts(histories, by, &|_| false);
        Self::with(charts, known.out_of_control.clone(), shared, by)
    }

    /// The same, with what check standards of other groups say of everything in their unit.
    pub(crate) fn beside(self, others: Vec<OutOfControl>) -> Self {
        let out_of_control = [self.out_of_control, others].concat();
        Self {
            suspect: suspect(&out_of_control),
            out_of_control,
            ..self
        }
    }

    fn with(
        charts: BTreeMap<usize, ItemChart>,
        out_of_control: Vec<OutOfControl>,
        shared: SharedShifts,
        by: &ChartedBy<'_>,
    ) -> Self {
        let suspect = suspect(&out_of_control);
        Self {
            lengths: match charts.is_empty() {
                true => None,
                false => RunLengths::of(by.control),
            },
            charts,
            out_of_control,
            suspect,
            shared,
        }
    }

    /// What the histories say together, for parts of the fleet.
    pub(crate) fn processes(&self) -> Processes {
        Processes {
            out_of_control: self.out_of_control.clone(),
            shifts: self.shared.shifts.clone(),
        }
    }

    /// What is told of a fleet of which nothing is charted.
    pub(crate) fn of_shared(shared: SharedShifts) -> Self {
        Self {
            shared,
            ..Self::default()
        }
    }

    /// Days of the signals of history `index`, each of which a person can close.
    pub(crate) fn signal_days(&self, index: usize) -> Vec<f64> {
        self.charts
            .get(&index)
            .map_or_else(Vec::new, ItemChart::signal_days)
    }

    /// The check standards with their charts, in the histories' order.
    pub(crate) fn check_standards<'a>(
        &'a self,
        items: &'a [Item],
    ) -> impl Iterator<Item = (usize, &'a ItemChart)> {
        let charts = self.charts.iter().map(|(index, chart)| (*index, chart));
        charts.filter(|(index, _)| items[*index].role == Role::CheckStandard)
    }
}

/// Whom the check standards out of control protect, and on which days they were it.
fn suspect(out_of_control: &[OutOfControl]) -> BTreeMap<Protected, BTreeMap<i64, Vec<String>>> {
    let mut suspect: BTreeMap<Protected, BTreeMap<i64, Vec<String>>> = BTreeMap::new();
    for found in out_of_control {
        let days = suspect.entry(found.protects.clone()).or_default();
        for day in &found.days {
            days.entry(*day).or_default().push(found.name.clone());
        }
    }
    suspect
}

/// The check standards out of control whose own group has nothing to protect, so that they speak of
/// every item of their `unit`; those of `group` are left out.
pub(crate) fn speaking_of_unit(
    histories: &Histories,
    (group, unit): (&str, &str),
    by: &ChartedBy<'_>,
) -> Vec<OutOfControl> {
    let found = (0..histories.len()).into_par_iter().filter(|index| {
        let item = &histories.items[*index];
        item.role == Role::CheckStandard && item.unit == unit && item.group != group
    });
    found
        .filter(|index| is_charted(&histories.get(*index), by.control))
        .filter_map(|index| OutOfControl::of(histories, index, &chart(histories, index, by)))
        .filter(|found| found.protects.0.is_none())
        .collect()
}

fn chart(histories: &Histories, index: usize, by: &ChartedBy<'_>) -> ItemChart {
    let history = histories.get(index);
    let item = history.item;
    let closed = by
        .closings
        .map(|book| book.closed(&item.instrument, &item.point));
    let class = (by.class)(index);
    item_chart(&history, &class, (by.control, by.drift), closed.as_deref())
}

/// The charts of the check standards, and of the other charted histories whose items are `asked` for.
fn charts(
    histories: &Histories,
    by: &ChartedBy<'_>,
    asked: &(dyn Fn(&Item) -> bool + Sync),
) -> BTreeMap<usize, ItemChart> {
    let wanted = |history: &History<'_>| {
        let asked = history.item.role == Role::CheckStandard || asked(history.item);
        asked && is_charted(history, by.control)
    };
    (0..histories.len())
        .into_par_iter()
        .filter(|index| wanted(&histories.get(*index)))
        .map(|index| (index, chart(histories, index, by)))
        .collect()
}
