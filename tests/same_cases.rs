/*! Tests on random cases draw the same ones in every run. */

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{RngSeed, TestRunner};

/// Six values as a property of the tests would draw them.
fn drawn() -> Vec<u64> {
    let mut runner = TestRunner::new(ProptestConfig::default());
    let mut next = || any::<u64>().new_tree(&mut runner).unwrap().current();
    (0..6).map(|_| next()).collect()
}

#[test]
fn random_cases_are_the_same_in_every_run() {
    let seed = ProptestConfig::default().rng_seed;
    assert!(
        matches!(seed, RngSeed::Fixed(_)),
        "{seed:?}: see .cargo/config.toml"
    );
    assert_eq!(drawn(), drawn());
}
