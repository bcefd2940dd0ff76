/*! What the histories of a fleet say together of the processes behind them, for parts of the fleet. */

use crate::control::{ItemChart, SharedShift};
use crate::records::{Histories, Item, Role};
use serde::{Deserialize, Serialize};

/// Whom a check standard protects: the checks of a group, or of any, and of one unit.
pub(crate) type Protected = (Option<String>, String);

/// A check standard that is out of control, and since when.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct OutOfControl {
    /// Its instrument and point.
    of: (String, String),
    /// Its name in sentences.
    pub name: String,
    /// Whom it protects.
    pub protects: Protected,
    /// The days on which it was measured since.
    pub days: Vec<i64>,
}

/// What the histories of a fleet say together of the processes behind them.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Processes {
    /// Its check standards out of control, in order.
    pub out_of_control: Vec<OutOfControl>,
    /// Shifts that its items share.
    pub shifts: Vec<SharedShift>,
}

impl Processes {
    /// Takes over what another part of the fleet says, which shares no group with this one.
    pub(crate) fn join(&mut self, other: Self) {
        self.shifts.extend(other.shifts);
        self.out_of_control.extend(other.out_of_control);
        self.out_of_control.sort_by(|a, b| a.of.cmp(&b.of));
    }
}

impl OutOfControl {
    /// The days on which the check standard of history `index` was measured out of control; `None` where
    /// its process is in control.
    pub(crate) fn of(histories: &Histories, index: usize, chart: &ItemChart) -> Option<Self> {
        let (first, stretch) = (chart.first_open()?, chart.current()?);
        let points = stretch.result.points[first.index..].iter();
        let mut days: Vec<i64> = points.map(|point| point.date.floor() as i64).collect();
        days.dedup();
        let item = &histories.items[index];
        Some(Self {
            of: (item.instrument.clone(), item.point.clone()),
            name: item.name(),
            protects: protected(histories, index),
            days,
        })
    }
}

/// Whom the check standard of history `index` protects.
fn protected(histories: &Histories, index: usize) -> Protected {
    let own = &histories.items[index];
    let mate = |item: &Item| {
        item.role != Role::CheckStandard && item.group == own.group && item.unit == own.unit
    };
    let in_group = !own.group.is_empty() && histories.items.iter().any(mate);
    (in_group.then(|| own.group.clone()), own.unit.clone())
}
