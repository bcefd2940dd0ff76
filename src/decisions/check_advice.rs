/*! The advice on a thermometer's check that came without raw readings.

Only a thermometer that the file of thermometers states is advised on: the file says what value is in
use, so that the error of a check is the change from it, and which limits hold. Where the thermometer
was read in sessions they speak, and this rule is silent; so it is of any other item, whatever its
point is called: nobody has said that limits of thermometers hold for it.
*/

use crate::drift::Prediction;
use crate::records::{Event, History, date};
use crate::thermometry::advice::{Advice, AdviceInput, AdviceSettings, Expected, Total, advise};
use crate::thermometry::its90::{FixedPoint, TRIPLE_POINT_SLOPE};
use crate::thermometry::session::{CheckUnit, SessionStanding};
use crate::thermometry::session_findings::SessionFindings;
use crate::thermometry::{ThermometerFacts, ValueInUse};

/// A check at the triple point of water, in the terms of the thermometer it was made with.
struct Check<'a> {
    history: History<'a>,
    row: usize,
    facts: &'a ThermometerFacts,
    value: ValueInUse,
    to_mk: f64,
    limits: AdviceSettings,
}

/// What is advised on the newest check of `history`; `expected` is what the earlier ones let expect of
/// it. `None` where the rule does not apply, or the check states no uncertainty by which a change
/// could be shown.
pub(super) fn of_check(
    thermometry: &SessionFindings,
    history: &History<'_>,
    expected: impl FnOnce() -> Option<Prediction>,
) -> Option<Advice> {
    let check = Check::newest(thermometry, history)?;
    let input = check.input(expected());
    Some(advise(&input, &check.limits))
}

impl<'a> Check<'a> {
    fn newest(thermometry: &'a SessionFindings, history: &History<'a>) -> Option<Self> {
        let item = history.item;
        let read = thermometry.of(&item.instrument).is_some();
        if read || FixedPoint::from_name(&item.point) != Some(FixedPoint::Water) {
            return None;
        }
        let facts = thermometry.known.of(&item.instrument)?;
        let row = history.len().checked_sub(1)?;
        let value = facts.value_on(history.date[row]);
        let known = history.as_found[row].is_finite() && history.u[row].is_finite();
        known.then_some(Self {
            history: *history,
            row,
            facts,
            value,
            to_mk: millikelvin_per(&item.unit, value)?,
            limits: thermometry.limits.of(Some(facts)),
        })
    }

    /// Change from the value in use, mK.
    fn change_mk(&self, row: usize) -> f64 {
        self.history.as_found[row] * self.to_mk
    }

    fn u_mk(&self) -> f64 {
        self.history.u[self.row] * self.to_mk
    }

    fn input(&self, expected: Option<Prediction>) -> AdviceInput {
        AdviceInput {
            standing: SessionStanding::Used,
            session_reasons: String::new(),
            change_mk: self.change_mk(self.row),
            u_change_mk: self.u_mk().hypot(self.value.u_mk()),
            confirmed: self.confirmed(),
            shocked: self.history.event[self.row] == Event::Shocked,
            total: Some(self.total()),
            expected: expected.map(|p| Expected {
                change_mk: p.expected * self.to_mk,
                u_mk: p.u_reading * self.to_mk,
            }),
            after_anneals_mk: self.after_anneals(),
            other_point: None,
            certificate: None,
            platinum: None,
            maximum_c: self.facts.maximum_c,
            highest_use_c: self.facts.range_c().1,
        }
    }

    /// True where the check before the newest shows the same change and nothing happened between them.
    fn confirmed(&self) -> bool {
        let Some(before) = self.row.checked_sub(1) else {
            return false;
        };
        let event = self.history.event;
        let (earlier, now) = (self.change_mk(before), self.change_mk(self.row));
        let shown = self.limits.coverage_factor * self.u_mk();
        event[self.row] == Event::None
            && event[before] == Event::None
            && earlier.signum() == now.signum()
            && earlier.abs() > shown
            && (now - earlier).abs() <= shown.max(self.limits.adopt_mk)
    }

    /// Change since the certificate.
    fn total(&self) -> Total {
        let certified = self.certified();
        let mk = self.total_mk(self.row);
        let alike = |row| {
            let earlier = self.total_mk(row);
            earlier.abs() > self.limits.total_mk && earlier.signum() == mk.signum()
        };
        Total {
            mk,
            u_mk: self.u_mk().hypot(certified.u_mk()),
            confirmed: self.row.checked_sub(1).is_some_and(alike),
            since: match certified.from.is_finite() {
                true => format!("since the certificate of {}", date::iso(certified.from)),
                false => "since the first value in use".into(),
            },
        }
    }

    /// What was adopted since the certificate until the check of `row`, and its change from that, mK.
    fn total_mk(&self, row: usize) -> f64 {
        let (value, first) = (
            self.facts.value_on(self.history.date[row]),
            self.certified(),
        );
        let adopted = 1000.0 * (value.ohm - first.ohm) / (first.ohm * TRIPLE_POINT_SLOPE);
        adopted + self.change_mk(row)
    }

    fn certified(&self) -> ValueInUse {
        self.facts.certified_on(self.history.date[self.row])
    }

    /// Changes after each anneal at the end of the history, oldest first, mK.
    fn after_anneals(&self) -> Vec<f64> {
        let mut values: Vec<f64> = (0..=self.row)
            .rev()
            .take_while(|&row| self.history.event[row] == Event::Annealed)
            .map(|row| self.change_mk(row))
            .collect();
        values.reverse();
        values
    }
}

/// mK per unit of the history; `None` for any unit but those that checks of thermometers are kept in.
fn millikelvin_per(unit: &str, value: ValueInUse) -> Option<f64> {
    if unit == CheckUnit::Millikelvin.symbol() {
        return Some(1.0);
    }
    (unit == CheckUnit::Milliohm.symbol()).then(|| 1.0 / (value.ohm * TRIPLE_POINT_SLOPE))
}
