/*! The cast of the demo: five kinds of instrument, and what befalls each one. */

use super::kinds::{
    BLOCK, CHECK_MASS, CHECK_RESISTOR, GAUGE, Kind, MASS, RESISTOR, THERMOMETER, TWO_POINTS,
};
use super::member::{Member, Twist};

/// 2021-01-01, in days since 1970-01-01.
const RENAMED_DAY: f64 = 18_628.0;

/// All sixty and the two check standards, in the register's order.
pub(super) fn members() -> Vec<Member> {
    let mut all = thermometers();
    all.extend(resistors());
    all.extend(masses());
    all.extend(gauges());
    all.extend(blocks());
    all.extend(check_standards());
    all
}

fn some(kind: &'static Kind, numbers: std::ops::RangeInclusive<u64>) -> Vec<Member> {
    numbers.map(|number| Member::new(kind, number)).collect()
}

fn thermometers() -> Vec<Member> {
    let one = |number| Member::new(&THERMOMETER, number);
    let mut all = vec![
        one(1).checks(14, 182.0).drift(0.16).twist(Twist::Anneal(7)),
        one(2).checks(44, 61.0).between(5).drift(0.07),
        one(3).checks(12, 240.0).twist(Twist::Shock(8, 0.55)),
        one(4).checks(11, 365.0).drift(0.30),
        one(5)
            .checks(9, 365.0)
            .drift(0.13)
            .twist(Twist::NeverAdjusted),
        one(6).checks(1, 365.0),
        one(7).checks(2, 365.0),
        one(8)
            .checks(10, 300.0)
            .drift(0.05)
            .twist(Twist::NoUncertainty),
        one(9)
            .checks(24, 91.0)
            .between_and_since(3, 3)
            .drift(0.10)
            .twist(Twist::Anneal(11)),
    ];
    all.extend(some(&THERMOMETER, 10..=14));
    all[3].harm = Some(4_800.0);
    all[8].harm = Some(4_800.0);
    all[9].target = Some(0.99);
    all
}

fn resistors() -> Vec<Member> {
    let one = |number| Member::new(&RESISTOR, number);
    let value = Twist::ByValue(1_000_000.0);
    let mut all = vec![
        one(1).checks(16, 365.0).drift(0.05).twist(value),
        one(2).checks(12, 365.0).drift(-0.09).twist(value),
        one(3)
            .checks(20, 182.0)
            .drift(0.04)
            .twist(Twist::Step(13, 0.4)),
        one(4)
            .checks(15, 182.0)
            .drift(0.03)
            .twist(Twist::Outlier(9, 0.6)),
        one(5)
            .checks(40, 45.0)
            .between(7)
            .drift(0.02)
            .twist(Twist::Annual(0.14)),
        one(6).checks(3, 365.0),
        one(7)
            .checks(10, 365.0)
            .drift(0.08)
            .twist(Twist::NoTolerance),
    ];
    all.extend(some(&RESISTOR, 8..=12));
    all[1].cap = Some(400);
    all[8].cap = Some(730);
    all[10].idle = 420.0;
    all[10].twists.push(Twist::Lent("2026-12-31"));
    all
}

fn masses() -> Vec<Member> {
    let one = |number| Member::new(&MASS, number);
    let mut all = vec![
        one(1).checks(18, 365.0).drift(0.03),
        one(2).checks(22, 182.0).drift(0.02),
        one(3)
            .checks(10, 365.0)
            .drift(-0.17)
            .twist(Twist::NeverAdjusted),
        one(4).checks(7, 365.0).twist(Twist::OutcomesOnly),
        one(5)
            .checks(12, 365.0)
            .drift(0.45)
            .twist(Twist::OutcomesOnly),
        one(6).checks(13, 300.0).twist(Twist::Replace(7)),
        one(7).checks(2, 365.0).twist(Twist::NoUncertainty),
    ];
    all[1].wander = Some(0.30);
    all.extend(some(&MASS, 8..=12));
    all[9].harm = Some(900.0);
    all[11].twists.push(Twist::Retired);
    all
}

fn gauges() -> Vec<Member> {
    let one = |number| Member::new(&GAUGE, number);
    let mut all = vec![
        one(1).checks(12, 182.0).drift(0.28),
        one(2).checks(14, 182.0).drift(0.45),
        one(3).checks(16, 182.0).drift(0.62),
        one(4)
            .checks(13, 182.0)
            .drift(-0.20)
            .twist(Twist::Repair(8)),
        one(5).checks(24, 61.0).between(2).drift(0.15),
        one(6).checks(9, 365.0).drift(0.55),
        one(7).checks(1, 365.0).twist(Twist::NoUncertainty),
        one(8)
            .checks(8, 365.0)
            .drift(0.02)
            .twist(Twist::ToleranceInRecord),
    ];
    all.extend(some(&GAUGE, 9..=12));
    for member in &mut all[..4] {
        member.points = TWO_POINTS;
    }
    for member in &mut all {
        member.harm = (!member.number.is_multiple_of(4)).then_some(1_400.0);
    }
    all
}

/// One whose comparator shifts by two deviations ten months before the end, which single
/// values hardly show, and one that drifts as resistors do. Both share days with other items.
fn check_standards() -> Vec<Member> {
    let one = |kind, number| Member::new(kind, number);
    let mut all = vec![
        one(&CHECK_MASS, 1)
            .checks(60, 30.0)
            .drift(0.0)
            .twist(Twist::CheckStandard(true))
            .twist(Twist::Step(49, 0.1)),
        one(&CHECK_RESISTOR, 2)
            .checks(60, 30.0)
            .drift(0.06)
            .twist(Twist::CheckStandard(false)),
    ];
    for member in &mut all {
        (member.between, member.idle) = (11, 23.0);
        member.twists.push(Twist::NeverAdjusted);
    }
    all
}

fn blocks() -> Vec<Member> {
    let one = |number| Member::new(&BLOCK, number);
    let mut all = vec![
        one(1).checks(12, 365.0).drift(-0.10),
        one(2).checks(10, 365.0).drift(0.02),
        one(3).checks(4, 365.0),
        one(4)
            .checks(5, 730.0)
            .drift(0.05)
            .twist(Twist::NoUncertainty),
        one(5)
            .checks(11, 365.0)
            .drift(0.04)
            .twist(Twist::Shock(10, 1.3)),
    ];
    all.extend(some(&BLOCK, 6..=10));
    all[6].cap = Some(365);
    all[7].twists.push(Twist::Renamed("GB-208", RENAMED_DAY));
    all
}
