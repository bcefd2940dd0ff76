/*! What the methods on pooled outcomes propose for a whole group. */

use super::group::pooled::{Pool, StepsFromOutcomes};
use super::methods::incremental_response::IncrementalResponse;
use super::methods::simple_response::SimpleResponse;
use super::methods::staircase::Staircase;
use super::{GroupEvidence, MethodTables, Proposal};

/// The proposals for `group` at its typical interval; `None` where the group has no two
/// calibrations to speak of an interval.
pub(crate) fn group_proposals(
    group: &GroupEvidence,
    methods: &MethodTables,
    target: f64,
) -> Option<(f64, Vec<Proposal>)> {
    let interval = group.typical_interval()?.round();
    let pool = Pool {
        seen: group.outcomes_near(interval),
        interval,
        target,
        group: &group.name,
    };
    let staircase = Staircase {
        settings: methods.staircase.clone(),
    };
    let simple = SimpleResponse {
        settings: methods.simple_response.clone(),
    };
    let incremental = IncrementalResponse {
        settings: methods.incremental_response.clone(),
    };
    let test = &methods.interval_test;
    let proposals = vec![
        staircase.of_pool(&pool),
        simple.of_pool(&pool),
        incremental.of_pool(&pool),
        test.of_results(&pool.seen, interval, target, "the group"),
    ];
    Some((interval, proposals))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    #[test]
    fn the_whole_group_is_told_by_every_method_on_outcomes() {
        let found = [0.5, 0.5, 2.0, 0.5, 0.5, 0.5];
        let member = |(i, error): (usize, &f64)| {
            let mut record = Record::new();
            record.item.instrument = format!("G-{i:03}");
            record.item.group = "gauges".into();
            record.check(10_000.0, 0.0).check(10_365.0, *error)
        };
        let histories = fleet(found.iter().enumerate().map(member));
        let groups = EvidenceByGroup::build(&histories, Default::default());
        let group = &groups.by_name["gauges"];
        let (interval, all) = group_proposals(group, &MethodTables::default(), 0.95).unwrap();
        assert_eq!((interval, all.len()), (365.0, 4));
        assert!(all.iter().all(|p| p.interval_days.is_some()), "{all:?}");
    }
}
