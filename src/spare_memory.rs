/*! Memory that nothing needs any more, and that the program's allocator keeps for what comes next.

That is quicker, and of no harm where memory is plenty; a run that is to keep within a stated memory
asks for it to be given back to the system. How is the program's matter, which chooses the allocator.
*/

use std::sync::OnceLock;

static GIVE_BACK: OnceLock<fn()> = OnceLock::new();

/// States how spare memory is given back from then on; the first word counts.
pub fn given_back_by(how: fn()) {
    GIVE_BACK.get_or_init(|| how);
}

/// Has spare memory given back from now on, where the program stated how.
pub(crate) fn give_back() {
    if let Some(how) = GIVE_BACK.get() {
        how();
    }
}
