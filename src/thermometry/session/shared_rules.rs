/*! The thermometers of a whole session at one point, and how many a plateau takes. */

use super::result::SessionResult;
use super::settings::{OnViolation, SessionSettings};
use super::violation::Violation;

/// Thermometers of one session in the order in which they were read.
pub(super) struct SessionGroup<'a> {
    pub results: Vec<&'a mut SessionResult>,
    /// True for each thermometer that went in warm.
    pub warm: Vec<bool>,
    /// True where the cell is small.
    pub small: bool,
    /// True where a check standard was read in the session, be it at another point.
    pub has_standard: bool,
}

impl SessionGroup<'_> {
    /// Tells all of them the same.
    pub(crate) fn tell(
        &mut self,
        rule: &'static str,
        effect: OnViolation,
        words: &str,
        settings: &SessionSettings,
    ) {
        for result in &mut self.results {
            result.add(Violation::new(rule, effect, words), settings);
        }
    }
}

/// More warm thermometers than the plateau of a small cell takes.
pub(super) fn thermometers(group: &mut SessionGroup<'_>, settings: &SessionSettings) {
    if !group.small {
        return;
    }
    let mut warm = 0;
    for (result, went_in_warm) in group.results.iter_mut().zip(&group.warm) {
        warm += u32::from(*went_in_warm);
        if *went_in_warm && warm > settings.thermometers {
            let words = format!(
                "thermometer number {warm} that was not pre-cooled on one plateau; a small cell takes {}",
                settings.thermometers
            );
            let violation = Violation::new("thermometers", settings.on_thermometers, words);
            result.add(violation, settings);
        }
    }
}
