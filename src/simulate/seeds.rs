/*! One stream of random numbers for each purpose, so that nothing depends on order or threads. */

use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;

/// The generator used everywhere in this room.
pub(crate) type Stream = Pcg64Mcg;

/// A stream that depends on the seed and the path of `numbers` alone.
///
/// Fleet 2, instrument 7 draws the same numbers however many instruments live
/// beside it and whichever thread it lives on.
pub(crate) fn stream(seed: u64, numbers: &[u64]) -> Stream {
    let mixed = numbers.iter().fold(scramble(seed), |state, &number| {
        scramble(state ^ scramble(number.wrapping_add(1)))
    });
    Pcg64Mcg::seed_from_u64(mixed)
}

/// The finaliser of SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom
/// number generators, OOPSLA 2014): near inputs give unrelated outputs.
fn scramble(value: u64) -> u64 {
    let mut z = value.wrapping_add(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::RngExt;

    #[test]
    fn streams_differ_by_seed_and_path_and_repeat_for_the_same() {
        let first = |seed, path: &[u64]| stream(seed, path).random::<u64>();
        assert_eq!(first(1, &[2, 3]), first(1, &[2, 3]));
        assert_ne!(first(1, &[2, 3]), first(1, &[3, 2]));
        assert_ne!(first(1, &[0]), first(1, &[0, 0]));
        assert_ne!(first(1, &[2]), first(2, &[1]));
    }
}
