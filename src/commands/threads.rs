/*! How many threads a command works with. */

use super::output::complain;
use std::num::NonZero;
use std::thread::available_parallelism;

/// Threads for each core at the most: more would only wait for each other.
const A_CORE: usize = 4;

/// Works with `wanted` threads from now on, as far as the machine has a use for them.
pub(super) fn use_threads(wanted: Option<u16>) {
    let Some(wanted) = wanted.map(usize::from) else {
        return;
    };
    let most = A_CORE * available_parallelism().map_or(1, NonZero::get);
    if wanted > most {
        complain(&format!(
            "note: {wanted} threads are more than this machine has a use for; {most} are used"
        ));
    }
    let pool = rayon::ThreadPoolBuilder::new().num_threads(wanted.min(most));
    // A pool that already stands (a test in the same process) is as good.
    let _ = pool.build_global();
}
