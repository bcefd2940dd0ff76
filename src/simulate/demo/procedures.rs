/*! The interval procedure that the demo's quality manual assigns to each instrument.

The register of `pipelines/every-method.toml` has it in place of the group, so that each
published method leads where it suits the data.
*/

use super::member::Member;

/// Word of that register's column `procedure`.
pub(super) fn procedure(member: &Member) -> &'static str {
    match (member.kind.prefix.as_str(), member.number) {
        ("TH", 2 | 9) => "thermometer, checked in service",
        ("TH", _) => "thermometer, by its forecast",
        ("RS", 1..=4) => "resistor, corrected for its drift",
        ("RS", _) => "resistor, control chart",
        ("MA", 4 | 5 | 8..) => "mass, outcomes over all times",
        ("MA", _) => "mass, outcomes at its interval",
        ("PG", 1..=4) => "gauge, counted use",
        ("PG", 5..=7) => "gauge, least cost",
        ("PG", 8..=10) => "gauge, steps of one size",
        ("PG", _) => "gauge, steps that shrink",
        ("CS", _) => "check standard",
        ("GB", 1..=5) => "gauge block, staircase",
        _ => "gauge block, change since calibration",
    }
}
