/*! Values in use of a thermometer: its chart's steps, and a part of its page. */

use crate::records::{Item, date};
use crate::report::compose::results::ThermometryResults;
use crate::report::{HistoryView, OtherAxis, SectionView, ValueStep};
use crate::thermometry::ValueInUse;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::session::{CheckUnit, SessionResult};

/// Event of a check after which a new value is carried, as a chart and a page name it.
const NEW_VALUE: &str = "new value";

/// Checks keep their dates to the minute; moments this close are one, days.
const SAME_MOMENT: f64 = 1e-3;

/// A moment as the checks keep it.
fn to_the_minute(days: f64) -> f64 {
    const MINUTES: f64 = 1440.0;
    (days * MINUTES).round() / MINUTES
}

/// A value in use with the check after which it was adopted.
struct Adopted<'a> {
    value: ValueInUse,
    after: &'a SessionResult,
}

/// What sessions of raw readings add to a thermometer's chart.
#[derive(Debug)]
pub(crate) struct OnChart {
    values: Vec<ValueStep>,
    other_axis: Option<OtherAxis>,
}

impl OnChart {
    /// Puts it into the view of the thermometer, values as left where none was adopted.
    pub(crate) fn show(self, view: &mut HistoryView) {
        view.other_axis = self.other_axis;
        if self.values.is_empty() {
            return;
        }
        let adopted = self.values.iter().filter_map(|step| step.counted_from);
        for reading in &mut view.readings {
            let here = |moment: f64| (moment - reading.day).abs() < SAME_MOMENT;
            if reading.as_left.is_some() && adopted.clone().any(here) {
                reading.event = NEW_VALUE;
            }
        }
        view.values = self.values;
    }
}

impl ThermometryResults {
    /// Accepted sessions of a thermometer with a value in use at the triple point of water, by date.
    fn compared(&self, instrument: &str, point: &str) -> Vec<&SessionResult> {
        if FixedPoint::from_name(point) != Some(FixedPoint::Water) {
            return Vec::new();
        }
        let own = self.findings.results.iter().filter(|r| {
            r.instrument == instrument && r.point.name() == point && r.reference_in_use
        });
        own.filter(|r| r.is_accepted()).collect()
    }

    /// Values adopted between or after these sessions, oldest first.
    fn adopted<'a>(&self, own: &[&'a SessionResult]) -> Vec<Adopted<'a>> {
        let Some(facts) = own
            .first()
            .and_then(|first| self.facts.of(&first.instrument))
        else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for (place, after) in own.iter().enumerate() {
            let Some(last) = after.adopted else { continue };
            let next = own.get(place + 1).map_or(f64::INFINITY, |next| next.date);
            let since = facts
                .values()
                .filter(|v| v.from >= after.date.floor() && v.from < next.floor())
                .filter(|v| v.from <= last.from);
            found.extend(since.map(|value| Adopted { value, after }));
        }
        found
    }

    /// The values in use of a thermometer read in these sessions as steps of its chart; empty
    /// where they did not change.
    fn value_steps(&self, item: &Item) -> Vec<ValueStep> {
        let own = self.compared(&item.instrument, &item.point);
        let adopted = self.adopted(&own);
        let (Some(first), false) = (own.first(), adopted.is_empty()) else {
            return Vec::new();
        };
        let unit = match item.unit == CheckUnit::Milliohm.symbol() {
            true => CheckUnit::Milliohm,
            false => CheckUnit::Millikelvin,
        };
        let start = ValueStep {
            from: f64::NEG_INFINITY,
            until: adopted.first().map_or(f64::INFINITY, |a| a.value.from),
            counted_from: Some(f64::NEG_INFINITY),
            value: 0.0,
        };
        let step = |(place, this): (usize, &Adopted<'_>)| ValueStep {
            from: this.value.from,
            until: adopted
                .get(place + 1)
                .map_or(f64::INFINITY, |next| next.value.from),
            counted_from: Some(to_the_minute(this.after.date)),
            value: first.in_unit(
                first.reduced.in_mk(this.value.ohm - first.reference_ohm),
                unit,
            ),
        };
        let steps = adopted.iter().enumerate().map(step);
        std::iter::once(start).chain(steps).collect()
    }

    /// A second axis for the chart of a thermometer read in these sessions: resistance beside
    /// temperature, or the reverse, by dR/dT of the last session at the point.
    fn other_axis(&self, item: &Item) -> Option<OtherAxis> {
        let own = self
            .findings
            .results
            .iter()
            .filter(|r| r.instrument == item.instrument && r.point.name() == item.point);
        let last = own.max_by(|a, b| a.date.total_cmp(&b.date))?;
        let milliohm = last.in_unit(1.0, CheckUnit::Milliohm);
        let (unit, factor) = match item.unit.as_str() {
            unit if unit == CheckUnit::Millikelvin.symbol() => (CheckUnit::Milliohm, milliohm),
            unit if unit == CheckUnit::Milliohm.symbol() => {
                (CheckUnit::Millikelvin, 1.0 / milliohm)
            }
            _ => return None,
        };
        (factor > 0.0 && factor.is_finite()).then(|| OtherAxis {
            unit: unit.symbol().into(),
            factor,
        })
    }

    /// What the sessions add to the chart of `item`.
    pub(crate) fn on_chart(&self, item: &Item) -> OnChart {
        OnChart {
            values: self.value_steps(item),
            other_axis: self.other_axis(item),
        }
    }

    /// The part of the page that lists the values in use; `None` where there was only one.
    pub(crate) fn values_section(&self, instrument: &str, point: &str) -> Option<SectionView> {
        let own = self.compared(instrument, point);
        let adopted = self.adopted(&own);
        let first = own.first().filter(|_| !adopted.is_empty())?;
        let facts = self.facts.of(instrument)?;
        let row = |from: String, value: ValueInUse, change: String, after: &str| {
            let ohm = format!("{:.7}", value.ohm);
            vec![
                from,
                ohm,
                format!("{:.3}", value.u_mk()),
                change,
                after.to_string(),
            ]
        };
        let until = row(
            "until then".into(),
            facts.value_on(first.date),
            String::new(),
            "",
        );
        let mut before = first.reference_ohm;
        let later = adopted.iter().map(|a| {
            let change = a.after.reduced.in_mk(a.value.ohm - before);
            before = a.value.ohm;
            row(
                date::iso(a.value.from),
                a.value,
                format!("{change:+.3}"),
                &a.after.session,
            )
        });
        let words = "Each value serves from the day after its adoption; the sessions of that day are still compared with the one before it. \
                 The drift runs on through an adoption, the error starts anew from the new value.";
        Some(SectionView::of("Values in use", [words]).table(
            "adopted on | R/Ω | u/mK | change/mK | after session",
            std::iter::once(until).chain(later),
        ))
    }
}
