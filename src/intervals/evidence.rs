/*! All that a method may look at for one history, with every bound filled in. */

pub(super) mod outcomes;
pub(super) mod own_line;

use super::IntervalSettings;
use crate::drift::Fit;
use crate::drift::series::readings::Axis;
use crate::records::{CheckKind, DAYS_PER_YEAR, Event, History, Outcome, Tolerance};

/// All that a method may look at for one history.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Evidence<'a> {
    /// The checks.
    pub history: History<'a>,
    /// The fitted drift.
    pub fit: &'a Fit,
    /// Axis on which the drift was fitted.
    pub axis: Axis,
    /// Level of the bands, above 0 and below 1.
    pub level: f64,
    /// Tolerance in force, where there is one.
    pub tolerance: Option<Tolerance>,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
    /// Day the interval counts from.
    pub last_calibration: f64,
    /// Interval in use, days.
    pub current_interval: f64,
    /// Longest interval allowed, days.
    pub cap: f64,
    /// Shortest interval allowed, days; never above the cap.
    pub floor: f64,
    /// Reliability target, 0 to 1.
    pub target: f64,
    /// True while a person has yet to judge what puts the item's level in doubt: no probability of it is stated.
    pub level_in_doubt: bool,
}

impl<'a> Evidence<'a> {
    /// Evidence for `history`: the register's facts first, else the settings.
    ///
    /// A register's cap counts only where it is the shorter one; a floor above
    /// the cap gives way to the cap. Values that are not positive are passed over.
    pub(crate) fn new(
        history: History<'a>,
        fit: &'a Fit,
        settings: &IntervalSettings,
        drift: (Axis, f64),
        as_of: f64,
    ) -> Self {
        let item = history.item;
        let usable = |days: Option<f64>| days.filter(|d| d.is_finite() && *d > 0.0);
        let cap = usable(item.cap_days).map_or(settings.cap_days, |d| d.min(settings.cap_days));
        let floor = usable(item.floor_days).unwrap_or(settings.floor_days);
        let target = item.reliability_target.filter(|p| *p > 0.0 && *p < 1.0);
        Self {
            history,
            fit,
            axis: drift.0,
            level: drift.1,
            tolerance: item.tolerance,
            as_of,
            last_calibration: history.last_calibration(),
            current_interval: usable(item.interval_days).unwrap_or(settings.current_interval_days),
            cap,
            floor: floor.min(cap),
            target: target.unwrap_or(settings.reliability_target),
            level_in_doubt: false,
        }
    }

    /// Day on which the item is due by the interval in use. One that a person put in force makes no
    /// item due before that day, save where it was by the interval before.
    pub(crate) fn due_in_use(&self) -> f64 {
        let due = self.last_calibration + self.current_interval;
        let signed = self.history.item.signed.as_deref();
        let line = signed.and_then(|signed| signed.in_force.as_ref());
        let Some(line) = line.filter(|line| line.on <= self.as_of) else {
            return due;
        };
        let before = signed.map_or(f64::INFINITY, |signed| {
            signed.due_before(self.last_calibration)
        });
        due.max(line.on.min(before))
    }

    /// True where the cap in force is the register's (legal or contractual).
    pub(crate) fn cap_is_the_registers(&self) -> bool {
        self.history.item.cap_days == Some(self.cap)
    }

    /// Interval brought between floor and cap, days.
    pub(crate) fn bounded(&self, days: f64) -> f64 {
        days.max(self.floor).min(self.cap)
    }

    /// Outcome of check `i`: as recorded, else from its value and the tolerance then.
    pub(crate) fn outcome(&self, i: usize) -> Outcome {
        self.history.outcome_at(i)
    }

    /// Rows that count as calibrations: those so marked, or all where the record marks none.
    pub(crate) fn calibrations(&self) -> impl Iterator<Item = usize> + use<'a> {
        Self::calibration_rows(&self.history)
    }

    /// Calibration rows of any history.
    pub(super) fn calibration_rows<'h>(
        history: &History<'h>,
    ) -> impl Iterator<Item = usize> + use<'h> {
        let kind = history.kind;
        let marked = kind.contains(&CheckKind::Calibration);
        (0..kind.len()).filter(move |&i| !marked || kind[i] != CheckKind::Check)
    }

    /// Calibrations whose outcome is known, oldest first.
    pub(crate) fn judged(&self) -> impl Iterator<Item = (usize, Outcome)> {
        self.calibrations()
            .map(|i| (i, self.outcome(i)))
            .filter(|(_, outcome)| *outcome != Outcome::Unknown)
    }

    /// The last check of any kind whose outcome is known.
    pub(crate) fn last_judged(&self) -> Option<(usize, Outcome)> {
        (0..self.history.len())
            .rev()
            .map(|i| (i, self.outcome(i)))
            .find(|(_, outcome)| *outcome != Outcome::Unknown)
    }

    /// True where nothing says what in tolerance means for this item: no tolerance was
    /// given, and no outcome recorded.
    pub(crate) fn in_or_out_unknown(&self) -> bool {
        self.tolerance.is_none() && self.last_judged().is_none()
    }

    /// True where check `i` left the item in tolerance: its as-left value says so, or, where
    /// no value or no tolerance is kept, an adjustment, repair or replacement does.
    pub(crate) fn restored(&self, i: usize) -> bool {
        let left = self.history.left(i);
        if left.is_finite()
            && let Some(tolerance) = self.history.tolerance_at(i)
        {
            return tolerance.contains(left);
        }
        matches!(
            self.history.happened(i),
            Event::Adjusted | Event::Repaired | Event::Replaced
        )
    }

    /// Years from the first to the last check.
    pub(crate) fn years(&self) -> f64 {
        match (self.history.date.first(), self.history.date.last()) {
            (Some(first), Some(last)) => (last - first) / DAYS_PER_YEAR,
            _ => 0.0,
        }
    }
}
