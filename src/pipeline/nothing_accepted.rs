/*! Raw readings of which no session can be used: why, with the reasons counted. */

use crate::records::Warning;
use crate::thermometry::readings::RejectedReading;
use crate::thermometry::session::OnViolation;
use crate::thermometry::session_findings::SessionFindings;
use crate::words::count;
use std::collections::BTreeMap;

/// Why no session became a check: each reason with how many sessions it rejected, and the mend.
pub(super) fn nothing_accepted(
    thermometry: &SessionFindings,
    unreadable: &[RejectedReading],
) -> Warning {
    let mut reasons: BTreeMap<&str, (usize, &str)> = BTreeMap::new();
    for result in &thermometry.results {
        let rejecting = result
            .violations
            .iter()
            .filter(|v| v.effect == OnViolation::Reject);
        for violation in rejecting {
            reasons
                .entry(violation.rule)
                .or_insert((0, &violation.words))
                .0 += 1;
        }
    }
    let rejections = reasons
        .values()
        .map(|(many, words)| format!("{many} rejected, the first: {words}"));
    let unusable = unreadable.iter().chain(&thermometry.rejected);
    let unusable = unusable
        .filter(|r| r.session_cause.is_none())
        .collect::<Vec<_>>();
    let first = unusable.first().map(|r| {
        format!(
            "{}, the first: row {}: {}",
            count(unusable.len(), "row"),
            r.row,
            r.reason
        )
    });
    let all: Vec<String> = rejections.chain(first).collect();
    let words = format!(
        "no session can be used, so that there is no history to decide on. {}. Correct these readings, or set what a rule \
         does under [thermometry.session] (reject, widen or note)",
        all.join("; ")
    );
    Warning::new("raw readings", words)
}
