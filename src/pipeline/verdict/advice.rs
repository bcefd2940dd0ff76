/*! Advice of the thermometry room in a verdict: what is known of the thermometer beside its history. */

use crate::drift::Prediction;
use crate::drift::adoption::compare::Stated;
use crate::pipeline::season::SeasonResults;
use crate::records::{Event, History};
use crate::thermometry::advice::{Advice, AdviceInput, Expected, advise};
use crate::thermometry::its90::{FixedPoint, TRIPLE_POINT_SLOPE};
use crate::thermometry::session::{CheckUnit, Standing};
use crate::thermometry::{PlatinumKind, ThermometrySettings, ValueInUse};

/// Advice for the newest check of `history`, a thermometer at the triple point of water;
/// `None` for anything else.
///
/// A thermometer in the file of thermometers is compared with its value in use there, any
/// other with its last calibration. Changes count in mK; resistances need the file.
pub(crate) fn thermometer_advice(
    history: &History<'_>,
    measured: Stated,
    calibration: Stated,
    forecast: Option<Prediction>,
    settings: &ThermometrySettings,
    season: Option<&SeasonResults>,
) -> Option<Advice> {
    let item = history.item;
    if FixedPoint::from_name(&item.point) != Some(FixedPoint::Water) {
        return None;
    }
    let facts = season.and_then(|s| s.facts.of(&item.instrument));
    let day = history.date.last().copied()?;
    let value = facts.map(|facts| facts.value_on(day));
    let to_mk = millikelvin_per(&item.unit, value)?;
    let in_use = match value {
        Some(value) => Stated {
            value: 0.0,
            u: value.u_mk() / to_mk,
        },
        None => calibration,
    };
    if !in_use.value.is_finite() {
        return None;
    }
    let report = season.and_then(|s| s.season.of(&item.instrument));
    let claims = facts.is_none_or(|f| f.platinum == PlatinumKind::Standard);
    let change = |value: f64| (value - in_use.value) * to_mk;
    let input = AdviceInput {
        standing: Standing::Used,
        session_reasons: String::new(),
        change_mk: change(measured.value),
        u_change_mk: measured.u.hypot(in_use.u) * to_mk,
        confirmed: confirmed(history, change, measured.u * to_mk),
        shocked: history.event.last() == Some(&Event::Shocked),
        total: None,
        expected: forecast.map(|p| Expected {
            change_mk: change(p.expected),
            u_mk: p.u_reading * to_mk,
        }),
        after_anneals_mk: after_anneals(history, change),
        other_point: report.and_then(|r| r.moved()),
        certificate: None,
        platinum: report.map(|r| r.platinum.clone()).filter(|_| claims),
        maximum_c: facts.and_then(|f| f.maximum_c),
        highest_use_c: facts.map_or(FixedPoint::Water.celsius(), |f| f.range_c().1),
    };
    Some(advise(&input, &settings.advice.of(facts)))
}

/// mK per unit of the history; `None` for a unit that is no temperature and cannot become one.
fn millikelvin_per(unit: &str, value: Option<ValueInUse>) -> Option<f64> {
    if unit == CheckUnit::Millikelvin.symbol() {
        return Some(1.0);
    }
    let ohm = value?.ohm;
    (unit == CheckUnit::Milliohm.symbol()).then(|| 1.0 / (ohm * TRIPLE_POINT_SLOPE))
}

/// True where the check before the newest shows the same change and nothing happened between them.
fn confirmed(history: &History<'_>, change: impl Fn(f64) -> f64, u_mk: f64) -> bool {
    let Some(last) = history.len().checked_sub(1) else {
        return false;
    };
    let Some(before) = last.checked_sub(1) else {
        return false;
    };
    let (earlier, now) = (
        change(history.as_found[before]),
        change(history.as_found[last]),
    );
    let shown = 2.0 * u_mk;
    history.event[last] == Event::None
        && history.event[before] == Event::None
        && earlier.signum() == now.signum()
        && earlier.abs() > shown
        && (now - earlier).abs() <= shown.max(now.abs() / 2.0)
}

/// Changes after each anneal at the end of the history, oldest first.
fn after_anneals(history: &History<'_>, change: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut values: Vec<f64> = (0..history.len())
        .rev()
        .take_while(|&i| history.event[i] == Event::Annealed)
        .map(|i| change(history.as_found[i]))
        .collect();
    values.reverse();
    values
}
