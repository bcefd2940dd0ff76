/*! Small histories and fits for this room's tests. */

use super::{Evidence, IntervalSettings};
use crate::drift::class::rates::Rates;
use crate::drift::series::readings::Axis;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::forecast::StateForecast;
use crate::drift::{Fit, ModelName, Status};
use crate::records::{
    CheckKind, Columns, DAYS_PER_YEAR, Event, Histories, Item, Outcome, Tolerance,
};
use std::sync::Arc;

/// A history in the making: checks in order, tolerance ±1 unless changed.
pub(crate) struct Record {
    pub item: Item,
    pub columns: Columns,
}

impl Record {
    pub fn new() -> Self {
        let item = Item {
            instrument: "TH-1".into(),
            unit: "mK".into(),
            tolerance: Tolerance::new(-1.0, 1.0),
            ..Item::default()
        };
        Self {
            item,
            columns: Columns::default(),
        }
    }

    /// Adds a check without event: day and error as found.
    pub fn check(mut self, day: f64, as_found: f64) -> Self {
        let c = &mut self.columns;
        c.date.push(day);
        c.as_found.push(as_found);
        c.as_left.push(f64::NAN);
        c.nominal.push(0.0);
        c.u.push(0.1);
        c.u_common.push(0.0);
        c.lower.push(f64::NAN);
        c.upper.push(f64::NAN);
        c.usage.push(f64::NAN);
        c.outcome.push(Outcome::Unknown);
        c.event.push(Event::None);
        c.kind.push(CheckKind::Unstated);
        c.source.push((0, c.date.len() as u32));
        self
    }

    /// Adds a check of which only the outcome was kept.
    pub fn outcome(self, day: f64, inside: bool) -> Self {
        let mut record = self.check(day, f64::NAN);
        if let Some(last) = record.columns.outcome.last_mut() {
            *last = if inside { Outcome::In } else { Outcome::Out };
        }
        record
    }

    /// States the last check's value as left.
    pub fn left(mut self, as_left: f64) -> Self {
        if let Some(last) = self.columns.as_left.last_mut() {
            *last = as_left;
        }
        self
    }

    /// States the last check's kind.
    pub fn kind(mut self, kind: CheckKind) -> Self {
        if let Some(last) = self.columns.kind.last_mut() {
            *last = kind;
        }
        self
    }

    /// States the last check's usage.
    pub fn usage(mut self, usage: f64) -> Self {
        if let Some(last) = self.columns.usage.last_mut() {
            *last = usage;
        }
        self
    }

    pub fn histories(self) -> Histories {
        Histories {
            offsets: vec![0, self.columns.date.len()],
            items: vec![self.item],
            columns: self.columns,
        }
    }
}

/// One history from several.
pub(crate) fn fleet(records: impl IntoIterator<Item = Record>) -> Histories {
    let mut all = Histories {
        offsets: vec![0],
        ..Histories::default()
    };
    for record in records {
        let (c, r) = (&mut all.columns, record.columns);
        c.date.extend(r.date);
        c.as_found.extend(r.as_found);
        c.as_left.extend(r.as_left);
        c.nominal.extend(r.nominal);
        c.u.extend(r.u);
        c.u_common.extend(r.u_common);
        c.lower.extend(r.lower);
        c.upper.extend(r.upper);
        c.usage.extend(r.usage);
        c.outcome.extend(r.outcome);
        c.event.extend(r.event);
        c.kind.extend(r.kind);
        c.source.extend(r.source);
        all.items.push(record.item);
        all.offsets.push(c.date.len());
    }
    all
}

/// Level and drift at the last reading, as a state forecast knows them.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Known {
    pub error: f64,
    pub u_error: f64,
    pub drift: f64,
    pub u_drift: f64,
    pub wander: f64,
    pub step_rate: f64,
}

impl Known {
    /// A fit whose last reading lies on `day`.
    pub fn fit(self, day: f64, readings: u32) -> Fit {
        let origin = day / DAYS_PER_YEAR;
        Fit {
            model: ModelName::State,
            status: Status::Estimated,
            readings,
            degrees_of_freedom: f64::INFINITY,
            residual_deviation: 0.1,
            excess_u: 0.0,
            chi_squared: f64::from(readings),
            drift_per_year: self.drift,
            u_drift_per_year: self.u_drift,
            drift_per_use: (f64::NAN, f64::NAN),
            wander_per_sqrt_year: self.wander,
            shrinkage_weight: 1.0,
            class_drift_per_year: f64::NAN,
            u_common: 0.0,
            shared_u: 0.0,
            last_x: origin,
            origin,
            coefficients: Vec::new(),
            choice: None,
            suspects: Vec::new(),
            stepped: None,
            steps: Vec::new(),
            notes: Vec::new(),
            motion: Some(Arc::new(StateForecast {
                origin,
                estimate: StateEstimate {
                    error: self.error,
                    drift: self.drift,
                    error_variance: self.u_error * self.u_error,
                    covariance: 0.0,
                    drift_variance: self.u_drift * self.u_drift,
                },
                rates: Rates {
                    drift: 0.0,
                    drift_variance: 0.0,
                    wander: self.wander * self.wander,
                    turning: 0.0,
                    excess: 0.0,
                    common: 0.0,
                    damping: 0.0,
                },
                noise: 0.01,
                step_rate: self.step_rate,
                step_time: f64::INFINITY,
                u_common: 0.0,
                degrees_of_freedom: f64::INFINITY,
            })),
        }
    }
}

/// A fit of nothing, with a status.
pub(crate) fn unfitted(status: Status) -> Fit {
    Fit {
        status,
        motion: None,
        ..Known::default().fit(0.0, 0)
    }
}

/// Evidence on the last day of the history, with the default settings.
pub(crate) fn evidence<'a>(histories: &'a Histories, fit: &'a Fit) -> Evidence<'a> {
    let history = histories.get(0);
    let as_of = history.date.last().copied().unwrap_or(0.0);
    let settings = IntervalSettings::default();
    Evidence::new(history, fit, &settings, (Axis::Time, 0.95), as_of)
}
