/*! The rules that look at one thermometer in one session. */

use super::known::scatter_mk;
use super::settings::{OnViolation, SessionSettings};
use super::violation::Violation;
use crate::thermometry::ThermometerFacts;
use crate::thermometry::its90::{FixedPoint, Reference};
use crate::thermometry::readings::{CellKind, RawReading, ReadingPoint};
use crate::thermometry::reduction::{
    AtCurrent, Reduced, Series, Slope, in_order, same_current, value,
};
use crate::words::Short;

const MINUTES_PER_HOUR: f64 = 60.0;
const HOURS_PER_DAY: f64 = 24.0;

/// Everything the rules look at.
pub(super) struct SessionEvidence<'a> {
    pub readings: &'a [&'a RawReading],
    pub reduced: &'a Reduced,
    pub facts: Option<&'a ThermometerFacts>,
    pub wanted: &'a AtCurrent,
    /// Usual standard deviation of its single readings, mK, with where it comes from.
    pub noise: Option<(f64, &'static str)>,
    pub settings: &'a SessionSettings,
}

/// All violations of one thermometer in one session.
pub(super) fn violations(evidence: &SessionEvidence<'_>) -> Vec<Violation> {
    [
        wait,
        plateau,
        mantle,
        count,
        spread,
        slope,
        returned,
        current,
        self_heating,
        plausible,
    ]
    .into_iter()
    .filter_map(|rule| rule(evidence))
    .collect()
}

fn wait(e: &SessionEvidence<'_>) -> Option<Violation> {
    let first = least(e.readings.iter().map(|r| r.minutes_since_insertion))?;
    let limit = e.settings.wait_minutes;
    (first < limit).then(|| {
        let words = format!("first reading {first} min after insertion; wait at least {limit} min");
        Violation::new("wait", e.settings.on_wait, words)
    })
}

fn plateau(e: &SessionEvidence<'_>) -> Option<Violation> {
    let small = e.readings.iter().any(|r| r.cell.kind.is_small());
    let oldest = greatest(e.readings.iter().map(|r| r.plateau_minutes))? / MINUTES_PER_HOUR;
    let limit = e.settings.plateau_hours;
    (small && oldest > limit).then(|| {
        let words = format!("plateau {oldest:.1} h old; a small cell holds it for {limit} h");
        Violation::new("plateau", e.settings.on_plateau, words)
    })
}

fn mantle(e: &SessionEvidence<'_>) -> Option<Violation> {
    let large = e.readings.iter().all(|r| r.cell.kind == CellKind::Large);
    let water = e
        .readings
        .iter()
        .all(|r| r.point == ReadingPoint::Fixed(FixedPoint::Water));
    let youngest = least(e.readings.iter().map(|r| r.plateau_minutes))? / MINUTES_PER_HOUR;
    let limit = e.settings.mantle_hours;
    (large && water && youngest < limit).then(|| {
        let words =
            format!("mantle {youngest:.1} h old; let it age for {limit} h, fresh ice reads low");
        Violation::new("mantle", e.settings.on_mantle, words)
    })
}

fn count(e: &SessionEvidence<'_>) -> Option<Violation> {
    let found = e.reduced.series.first().map_or(0, Series::count);
    let limit = e.settings.readings;
    // What a reduced value is the mean of is no longer seen.
    (!e.reduced.stated && found < limit as usize).then(|| {
        let words = format!(
            "{} at the first current; take at least {limit}",
            crate::words::count(found, "reading")
        );
        Violation::new("readings", e.settings.on_readings, words)
    })
}

fn spread(e: &SessionEvidence<'_>) -> Option<Violation> {
    let worst_mk = scatter_mk(e.reduced);
    let (limit, why) = spread_limit(e)?;
    (worst_mk > limit).then(|| {
        let words = format!(
            "readings scatter by {:.3} mK (one standard deviation); limit {limit:.3} mK{why}",
            Short(worst_mk)
        );
        Violation::new("spread", e.settings.on_spread, words)
    })
}

/// Largest scatter, mK, with its reason: a fixed one, or a multiple of the readout's own noise and
/// resolution; `None` where neither is known, since u carries the scatter in any case.
fn spread_limit(e: &SessionEvidence<'_>) -> Option<(f64, String)> {
    if let Some(limit) = e.settings.spread_mk {
        return Some((limit, String::new()));
    }
    let (noise, whence) = e.noise?;
    let factor = e.settings.spread_factor;
    let step = e.reduced.in_mk(e.reduced.resolution * e.reduced.scale_ohm);
    // Half a step is what a display adds to noise that it hides.
    let limit = factor * noise.max(step / 2.0);
    Some((
        limit,
        format!(", {factor} times the {noise:.3} mK {whence}"),
    ))
}

/// One current that is not the thermometer's: its own self-heating tells what that does, else nothing.
/// One that is not stated may be any.
fn current(e: &SessionEvidence<'_>) -> Option<Violation> {
    let [only] = &e.reduced.series[..] else {
        return None;
    };
    let (read, wanted) = (only.current_ma, e.wanted.ma);
    if wanted > 0.0 && read.is_nan() && !e.reduced.stated {
        let words =
            format!("measuring current not stated: taken for the {wanted} mA of the others");
        return Some(Violation::new("current", OnViolation::Widen, words));
    }
    let other = wanted > 0.0 && read.is_finite() && !same_current(read, wanted);
    (other && e.wanted.own_rise_mk.is_none()).then(|| {
        let words = format!(
            "read at {read} mA alone, where it is read at {wanted} mA otherwise, and its self-heating is not known: \
             read it at {wanted} mA, or state self_heating_mk in the file of the thermometers"
        );
        Violation::new("current", e.settings.on_current, words)
    })
}

/// Straight line through the readings of the first current.
fn slope(e: &SessionEvidence<'_>) -> Option<Violation> {
    let current = e.reduced.series.first()?.current_ma;
    let sorted = in_order(e.readings);
    let points: Vec<(f64, f64)> = sorted
        .iter()
        .filter(|r| same_current(r.current_ma, current))
        .map(|r| {
            let hours = (r.date - sorted[0].date) * HOURS_PER_DAY;
            let change = value(r) - value(sorted[0]);
            (hours, e.reduced.in_mk(change * e.reduced.scale_ohm))
        })
        .collect();
    let slope = Slope::of(&points)?;
    let limit = e.settings.slope_mk_per_hour;
    slope.is_beyond(limit).then(|| {
        let words = format!(
            "readings move by {:+.2} mK per hour; a plateau is flat within {limit} mK per hour",
            Short(slope.rate)
        );
        Violation::new("slope", e.settings.on_slope, words)
    })
}

fn returned(e: &SessionEvidence<'_>) -> Option<Violation> {
    let runs = &e.reduced.series.first()?.runs;
    let (first, last) = (runs.first()?, runs.last()?);
    let u = first
        .u_mean(e.reduced.correlation)
        .hypot(last.u_mean(e.reduced.correlation));
    let in_mk = |readings: f64| e.reduced.in_mk(readings * e.reduced.scale_ohm);
    let change = in_mk(last.mean - first.mean);
    let limit = (e.settings.return_factor * in_mk(u)).max(e.settings.return_mk);
    (runs.len() > 1 && change.abs() > limit).then(|| {
        let words = format!(
            "back at the first current the readings differ by {:+.3} mK; limit {:.3} mK",
            Short(change),
            Short(limit)
        );
        Violation::new("return", e.settings.on_return, words)
    })
}

fn self_heating(e: &SessionEvidence<'_>) -> Option<Violation> {
    let first = e.reduced.series.first()?.current_ma;
    // Usual values hold at 1 mA; self-heating grows with the square of the current.
    let rise = e.reduced.self_heating_mk? / first.powi(2);
    let usual = e.facts.and_then(|f| f.self_heating_mk);
    let (low, high) = usual.unwrap_or(e.settings.self_heating_mk);
    (!(low..=high).contains(&rise)).then(|| {
        let whose = if usual.is_some() {
            "this thermometer's usual"
        } else {
            "a usual"
        };
        let words = format!(
            "self-heating {:.3} mK at 1 mA is not in {whose} {low} mK to {high} mK",
            Short(rise)
        );
        // A current heats: where more of it cools, zero power lies on the wrong side.
        match rise < -e.settings.self_heating_mk.0 {
            true => Violation::new(
                "self_heating",
                OnViolation::Reject,
                format!("{words}; a larger current cannot cool: are the currents swapped?"),
            ),
            false => Violation::new("self_heating", e.settings.on_self_heating, words),
        }
    })
}

/// Compares a reading with the value in use: at the triple point of water itself, elsewhere by W,
/// which no thermometer of the scale has far from the reference function.
fn plausible(e: &SessionEvidence<'_>) -> Option<Violation> {
    let first = e.readings.first()?;
    let in_use = e.facts?.value_on(first.date).ohm;
    let (name, kelvin) = (first.point.name(), first.point.kelvin());
    if first.point != ReadingPoint::Fixed(FixedPoint::Water) {
        let (w, reference) = (e.reduced.resistance_ohm / in_use, Reference::Joined);
        let expected = reference.ratio(kelvin);
        let apart = (w - expected) / reference.slope(kelvin);
        let limit = e.settings.plausible_k;
        return (apart.abs() > limit).then(|| {
            let words = format!(
                "W = {:.5} by the value in use, {:+.1} K from the {expected:.5} of {name} (limit {limit} K): \
                 another point, thermometer or resistor? correct the row",
                Short(w),
                Short(apart)
            );
            Violation::new("plausible", OnViolation::Reject, words)
        });
    }
    let change = e.reduced.in_mk(e.reduced.resistance_ohm - in_use);
    let limit = e.settings.plausible_mk;
    (change.abs() > limit).then(|| {
        let words = format!("{:+.0} mK from the value in use: another thermometer, another resistor or another point?", Short(change));
        Violation::new("plausible", OnViolation::Reject, words)
    })
}

fn least(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.filter(|v| v.is_finite()).min_by(f64::total_cmp)
}

fn greatest(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.filter(|v| v.is_finite()).max_by(f64::total_cmp)
}
