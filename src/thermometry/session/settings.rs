/*! Rules of a session at a fixed point: their limits and what a violation does. */

use serde::{Deserialize, Serialize};

/// What a violated rule does to the check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum OnViolation {
    /// The check is used; its uncertainty grows by the rule's stated amount.
    #[default]
    Widen,
    /// The check is rejected.
    Reject,
    /// The check is used as it is; the violation is listed.
    Note,
}

crate::settings! {
    /// Rules of a session at a fixed point (limits: common practice, no source, where nothing else is said).
    pub struct SessionSettings in "thermometry.session" {
        /// Least time from insertion to the first reading, minutes.
        wait_minutes: f64 = 10.0 => at_least(0.0),
        /// What a shorter wait does: widen, reject or note.
        on_wait: OnViolation = OnViolation::Widen,
        /// Longest age of the plateau of a small cell, hours.
        plateau_hours: f64 = 3.0 => at_least(0.0),
        /// What an older plateau does.
        on_plateau: OnViolation = OnViolation::Widen,
        /// Least age of the mantle of a large cell, hours.
        mantle_hours: f64 = 24.0 => at_least(0.0),
        /// What a younger mantle does.
        on_mantle: OnViolation = OnViolation::Widen,
        /// Most thermometers a plateau of a small cell takes when they are not pre-cooled.
        thermometers: u32 = 4,
        /// What more thermometers do (to those after the last allowed one).
        on_thermometers: OnViolation = OnViolation::Widen,
        /// Fewest readings at the first current.
        readings: u32 = 10,
        /// What fewer readings do.
        on_readings: OnViolation = OnViolation::Note,
        /// Standard deviation of single readings of the readout, mK; absent = estimated from the thermometer's other sessions.
        noise_mk: Option<f64> = None => at_least(0.0),
        /// Largest standard deviation of the readings of one run, in multiples of that noise.
        spread_factor: f64 = 4.0 => at_least(0.0),
        /// The same as a fixed limit, mK; absent = by the noise.
        spread_mk: Option<f64> = None => at_least(0.0),
        /// What a larger spread does.
        on_spread: OnViolation = OnViolation::Reject,
        /// Largest change of the readings during the session, mK per hour.
        slope_mk_per_hour: f64 = 0.3 => at_least(0.0),
        /// What a plateau that is not flat does.
        on_slope: OnViolation = OnViolation::Widen,
        /// Runs at the first current agree within this many of their standard uncertainties.
        return_factor: f64 = 3.0 => at_least(0.0),
        /// and are never asked to agree closer than this, mK.
        return_mk: f64 = 0.02 => at_least(0.0),
        /// What a failed return to the first current does.
        on_return: OnViolation = OnViolation::Widen,
        /// Least and largest self-heating at the first current, mK, where the thermometer states none.
        self_heating_mk: (f64, f64) = (0.05, 2.0) => LowestFirst(f64::NEG_INFINITY, f64::INFINITY),
        /// What an unusual self-heating does.
        on_self_heating: OnViolation = OnViolation::Widen,
        /// What a single current does that is not the thermometer's, where its own self-heating is not known.
        on_current: OnViolation = OnViolation::Reject,
        /// Move of a thermometer from what its earlier sessions let expect that counts as one, mK; never less than twice its standard uncertainty.
        common_mk: f64 = 0.5 => at_least(0.0),
        /// What a move of all thermometers of a session together does to it.
        on_common: OnViolation = OnViolation::Reject,
        /// Largest change of the check standard from the mean of its earlier sessions, mK; never less than twice its standard uncertainty, never above adopt_mk.
        check_standard_mk: f64 = 0.5 => at_least(0.0),
        /// What a check standard out of control does to the whole session.
        on_check_standard: OnViolation = OnViolation::Reject,
        /// What a session without check standard does.
        on_no_check_standard: OnViolation = OnViolation::Widen,
        /// Farthest that a triple point of water may lie from a reading at another fixed point to form W, days.
        ratio_days: f64 = 7.0 => at_least(0.0),
        /// Largest change from the value in use that can be this thermometer at all, mK.
        plausible_mk: f64 = 500.0 => at_least(0.0),
        /// Farthest that R at another point over the value in use may lie from the reference function there, K (our own choice, no source: deviation functions stay well below).
        plausible_k: f64 = 5.0 => at_least(0.0),
        /// Standard uncertainty that each widening violation adds, mK.
        widen_mk: f64 = 0.3 => at_least(0.0),
    }
}
