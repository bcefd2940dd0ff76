/*! A session at another fixed point whose triple point of water was read and rejected.

R there was to be divided by R at the triple point (W = R/R(273.16 K), ITS-90). Without that it
tells nothing of the thermometer that its sessions at the triple point do not, and a history
of this one session would ask for a person at every run. (Common practice, no source.)
*/

use super::result::SessionResult;
use super::settings::{OnViolation, SessionSettings};
use super::violation::Violation;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::readings::ReadingPoint;

/// Rejects the sessions at another fixed point that have no accepted triple point of water in the
/// same session or near it, but a rejected one. Where none was read, R is kept for itself.
pub(super) fn reject_without_water(results: &mut [SessionResult], settings: &SessionSettings) {
    let lost: Vec<(usize, String)> = (0..results.len())
        .filter_map(|place| Some((place, rejected_water(results, place, settings)?)))
        .collect();
    for (place, water) in lost {
        let words = format!(
            "no W without R at the triple point of water, whose session {water} was rejected: read both points again"
        );
        let violation = Violation::new("ratio_days", OnViolation::Reject, words);
        results[place].add(violation, settings);
    }
}

/// The rejected session that W of the session at `place` needs; `None` where it needs none.
fn rejected_water(
    results: &[SessionResult],
    place: usize,
    settings: &SessionSettings,
) -> Option<String> {
    let water = ReadingPoint::Fixed(FixedPoint::Water);
    let own = &results[place];
    let elsewhere = matches!(own.point, ReadingPoint::Fixed(_)) && own.point != water;
    if !elsewhere || !own.is_accepted() {
        return None;
    }
    let near = |r: &&SessionResult| {
        r.instrument == own.instrument
            && r.point == water
            && (r.session == own.session || (r.date - own.date).abs() <= settings.ratio_days)
    };
    let mut waters = results.iter().filter(near).peekable();
    let first = waters.peek()?.session.clone();
    (!waters.any(SessionResult::is_accepted)).then_some(first)
}
