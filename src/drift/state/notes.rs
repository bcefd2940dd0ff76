/*! What the fit of the state model says beside its figures. */

use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::rates::ClassScale;
use crate::drift::figures::{figure, spaced};
use crate::drift::series::readings::Reading;
use crate::drift::state::filter::StateFilter;
use crate::drift::state::forecast::StateForecast;
use crate::drift::{Fit, Status};
use crate::records::{History, date};
use crate::words::plus_minus;

/// Where an item scatters this many times as much as its class, or this part of it, it is told; and
/// where a swing in doubt makes its band so many times as wide.
pub(super) const TELLING: f64 = 1.25;

/// A fit, and what it was made from.
pub(super) struct Fitted<'a> {
    pub history: &'a History<'a>,
    pub class: &'a ClassParameters,
    pub readings: &'a [Reading],
    pub filter: &'a StateFilter<'a>,
    pub forecast: &'a StateForecast,
    /// The record ends with an event whose value left was not kept.
    pub unread: bool,
}

impl Fitted<'_> {
    pub(super) fn notes(&self, fit: &Fit) -> Vec<String> {
        let u = self.readings.last().map_or(f64::NAN, |last| last.u);
        let unread = || unread_note(fit.status, self.forecast, self.history);
        let mut notes = described(fit, self.class, self.readings, self.history);
        notes.extend(shared_note(fit.shared_u, u, self.history));
        notes.extend(alike_note(fit.shared_u, self.readings));
        notes.extend(self.class.missing.map(|missing| missing.sentence()));
        notes.extend(self.unread.then(unread));
        notes.extend(scatter_note(self.filter.own_scatter().0.sqrt()));
        notes.extend(recent_note(self.filter.recent_scatter().sqrt()));
        notes
    }
}

/// What its status means, and what the class lends of damping and noise.
fn described(
    fit: &Fit,
    class: &ClassParameters,
    readings: &[Reading],
    history: &History<'_>,
) -> Vec<String> {
    let mut notes = Vec::new();
    let unit = spaced(&history.item.unit);
    match fit.status {
        Status::LevelOnly if readings.len() < 2 => notes.push(
            "no drift: one check, and no class of similar items to borrow a drift from".into(),
        ),
        Status::LevelOnly if class.scale == ClassScale::Unknown => notes.push(
            "no drift: every reading is zero, and no uncertainty and no tolerance is stated, so nothing tells what a change of it would be".into(),
        ),
        Status::LevelOnly => notes.push(
            "no drift: two readings without a stated uncertainty cannot tell drift from scatter".into(),
        ),
        Status::FromClass => notes.push(format!(
            "{:.0} % of what is known of the drift comes from its own readings, the rest is borrowed from {} similar histories",
            100.0 * fit.shrinkage_weight, class.members
        )),
        _ => {}
    }
    if let Some(note) =
        changing_drift(class.rates.damping).filter(|_| fit.status != Status::LevelOnly)
    {
        notes.push(note);
    }
    if readings.iter().any(|reading| reading.u.is_nan()) && fit.status != Status::LevelOnly {
        let whole =
            class.scale_of(history.item) * (class.unstated_noise + class.rates.excess).sqrt();
        notes.push(format!(
            "some readings state no uncertainty; {whole:.2e}{unit} (standard uncertainty, from the scatter of the class) was used for them"
        ));
    }
    notes
}

/// What is said where the record ends with an event whose value left was not kept.
fn unread_note(status: Status, forecast: &StateForecast, history: &History<'_>) -> String {
    let event = (0..history.len())
        .rev()
        .find(|i| history.happened(*i).restarts_level());
    let what = event.map_or_else(String::new, |i| {
        let day = date::iso(history.date[i]);
        format!("{} on {day}, ", history.happened(i).word())
    });
    if status == Status::LevelOnly {
        return format!(
            "{what}and no value left was kept: the error since then is not known; the value left, or one more check, would tell"
        );
    }
    let deviation = forecast.estimate.error_variance.sqrt();
    format!(
        "{what}and no value left was kept: the error since then is taken as {} (k = 1), as items of its class are left; the value left, or one more check, would tell",
        plus_minus(forecast.estimate.error, deviation, &history.item.unit),
    )
}

/// What is said where readings scatter far less than their u: so much of it is shared.
fn shared_note(shared: f64, u: f64, history: &History<'_>) -> Option<String> {
    let unit = spaced(&history.item.unit);
    let of = match u.is_nan() {
        true => String::new(),
        false => format!(" of {}", figure(u)),
    };
    (shared > 0.0).then(|| {
        format!(
            "readings scatter far less than their stated u says: {}{of}{unit} is taken as shared by all checks (the reference's own part), which averaging does not remove; state that part apart, as u_common",
            figure(shared)
        )
    })
}

/// What is said where readings that share their u are all one value: a coarse display shows that too.
fn alike_note(shared: f64, readings: &[Reading]) -> Option<String> {
    let first = readings.first()?.value;
    let alike = shared > 0.0 && readings.iter().all(|reading| reading.value == first);
    alike.then(|| {
        format!(
            "its {} readings are all alike: a display whose steps are wider than u shows that too, and no band here would contain it; state its step as resolution under [checks]",
            readings.len()
        )
    })
}

/// What is said of an item whose scatter is `factor` times that of its class.
fn scatter_note(factor: f64) -> Option<String> {
    let (how, bands) = match factor {
        more if more >= TELLING => ("", "wider"),
        less if less <= 1.0 / TELLING => ("only ", "narrower"),
        _ => return None,
    };
    Some(format!(
        "its readings scatter about the forecast {how}{factor:.1} times as much as those of its class; its bands are as much {bands}"
    ))
}

/// What is said where the scatter lately differs from that of the whole record.
fn recent_note(factor: f64) -> Option<String> {
    let telling = factor >= TELLING || factor <= 1.0 / TELLING;
    telling.then(|| {
        format!(
            "its scatter changes with time: lately its readings scatter {factor:.1} times as much as over the whole record, and its bands follow"
        )
    })
}

/// What a class whose drifts fade or grow says of its members.
fn changing_drift(damping: f64) -> Option<String> {
    let years = std::f64::consts::LN_2 / damping.abs();
    let what = match damping {
        fades if fades > 0.0 => "slows down: it is half as fast after",
        grows if grows < 0.0 => "speeds up: it is twice as fast after",
        _ => return None,
    };
    Some(format!(
        "the drift of similar histories {what} {years:.1} years"
    ))
}
