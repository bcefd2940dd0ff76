/*! Which certificate or calibration a value rests on: its date, what it states, its u and who gave it. */

use crate::records::{CheckKind, Given, History};
use crate::words::{count, date, figure, resolved};

/// How a row stands to what is assigned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stands {
    /// A certificate's value that is the reading of its row.
    Certificate,
    /// A certificate's value beside a reading of the same row: the forecast starts from the reading.
    Beside,
    /// A calibration whose value, as left, is the reading of its row.
    Calibration,
    /// A check that nothing marks as a calibration.
    Check,
}

/// A row that assigns a value, in the history's unit.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Assignment {
    /// Its date.
    pub day: f64,
    /// What it states.
    pub value: f64,
    /// Its standard uncertainty; NaN where not stated.
    pub u: f64,
    /// Who stated it; empty where nobody did.
    pub by: String,
    /// How the row stands to it.
    pub stands: Stands,
    /// What was added to it to bring it to the level of the item's latest source.
    pub moved: f64,
    /// Readings since, which the forecast rests on too.
    pub readings_since: usize,
}

/// What a row states of the value, before anything is counted.
struct ValueOfRow {
    value: f64,
    u: f64,
    moved: f64,
    stands: Stands,
}

impl ValueOfRow {
    fn of_row(history: &History<'_>, given: Option<(&Given, usize)>, row: usize) -> Self {
        let column = |get: fn(&Given) -> &[f64]| {
            let cell = given.and_then(|(given, first)| get(given).get(first + row));
            cell.copied().unwrap_or(f64::NAN)
        };
        let (value, u) = (column(|g| &g.assigned), column(|g| &g.u_assigned));
        let moved = Some(column(|g| &g.moved)).filter(|moved| moved.is_finite());
        let moved = moved.unwrap_or(0.0);
        let by_register = history.item.last_calibration;
        let calibrated = history.kind[row] == CheckKind::Calibration
            || by_register.is_some_and(|day| day.floor() == history.date[row].floor());
        let stands = match (value.is_finite(), calibrated) {
            (true, _) if history.as_found[row] == value + moved => Stands::Certificate,
            (true, _) => Stands::Beside,
            (false, true) => Stands::Calibration,
            (false, false) => Stands::Check,
        };
        let (value, u) = match value.is_finite() {
            true => (value, u),
            false => (history.left(row) - moved, history.u[row]),
        };
        Self {
            value,
            u,
            moved,
            stands,
        }
    }
}

impl Assignment {
    /// What row `row` of `history` assigns; `given` is who gave the readings, with the place of the
    /// history's first row in it.
    pub(crate) fn of_row(
        history: &History<'_>,
        given: Option<(&Given, usize)>,
        row: usize,
    ) -> Self {
        let ValueOfRow {
            value,
            u,
            moved,
            stands,
        } = ValueOfRow::of_row(history, given, row);
        let by = given.and_then(|(given, first)| given.givers.get(given.giver(first + row)));
        Self {
            day: history.date[row],
            value,
            u,
            by: by.cloned().unwrap_or_default(),
            stands,
            moved,
            readings_since: (history.as_found[row + 1..].iter())
                .filter(|value| value.is_finite())
                .count(),
        }
    }

    /// The last certificate or calibration of `history`; `None` where no row is one.
    pub(crate) fn last(history: &History<'_>, given: Option<(&Given, usize)>) -> Option<Self> {
        let row = (0..history.len()).rev().find(|row| {
            let stated = ValueOfRow::of_row(history, given, *row);
            stated.stands != Stands::Check && stated.value.is_finite()
        })?;
        Some(Self::of_row(history, given, row))
    }

    /// "certificate of 2024-03-05 by NL-1: 0.150 mK, u = 0.010 mK".
    pub(crate) fn named(&self, unit: &str) -> String {
        let kind = match self.stands {
            Stands::Certificate | Stands::Beside => "certificate",
            Stands::Calibration => "calibration",
            Stands::Check => "check",
        };
        let with_unit = |number: String| match unit {
            "" => number,
            unit => format!("{number} {unit}"),
        };
        let stated = match (self.value.is_finite(), self.u.is_finite()) {
            (false, _) => "without a value as left".into(),
            (true, false) => format!("{}, without u", figure(self.value, unit)),
            (true, true) => format!(
                "{}, u = {}",
                with_unit(resolved(self.value, self.u)),
                with_unit(resolved(self.u, self.u))
            ),
        };
        let by = match self.by.as_str() {
            "" => String::new(),
            name => format!(" by {name}"),
        };
        let moved = match (self.moved == 0.0, self.stands) {
            (true, _) => String::new(),
            // The u of a reading that was moved has that of the move in it.
            (false, Stands::Calibration | Stands::Check) => format!(
                " after it was moved by {} to the level of its latest source",
                figure(self.moved, unit)
            ),
            (false, _) => format!(
                ", moved by {} to the level of its latest source",
                figure(self.moved, unit)
            ),
        };
        format!("{kind} of {}{by}: {stated}{moved}", date(self.day))
    }

    /// What a value of today owes to it, as a sentence.
    pub(crate) fn rests(&self, unit: &str) -> String {
        let named = self.named(unit);
        let since = match self.readings_since {
            0 => "no reading has been made since".into(),
            several => format!("{} since weigh too", count(several, "reading")),
        };
        match self.stands {
            Stands::Certificate => format!("Started from the {named}; {since}."),
            Stands::Beside => format!(
                "Started from the readings, not from the {named}; its row has a reading of its own."
            ),
            Stands::Calibration | Stands::Check => {
                format!("Rests on its readings, the last {named}; {since}.")
            }
        }
    }

    /// What a new value is held against, as a part of a sentence.
    pub(crate) fn assigned(&self, unit: &str) -> String {
        let named = self.named(unit);
        match self.stands {
            Stands::Check => {
                format!("assigned is the last {named} (no row is marked as its calibration)")
            }
            _ => format!("assigned by the {named}"),
        }
    }
}
