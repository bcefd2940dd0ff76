/*! What a person is told where the system gives the program no more memory, or no more threads.

Libraries answer that with a panic, for instance where a file cannot be mapped: by what it says it is
told from a defect.
*/

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};

/// What happened.
pub const WHAT: &str = "the system gives the program no more memory or threads";

/// What a person can do about it.
pub const MEND: &str = "Permit more (ulimit -v, ulimit -u, the limit of a container), take fewer threads (--threads 1), or let large records be run in parts by a smaller [run] memory.";

/// Words of the system and of libraries for it.
const SAID: [&str; 7] = [
    "OutOfMemory",
    // Those of the compressor of tables.
    "Allocation error : not enough memory",
    "zstd returned null",
    "Cannot allocate memory",
    "ThreadPoolBuildError",
    "could not spawn threads",
    "failed to spawn thread",
];

/// True where `words` say that the system refused memory or a thread.
pub fn is_said(words: &str) -> bool {
    SAID.iter().any(|said| words.contains(said))
}

/// True where a panic says so.
pub fn is_told(panic: &(dyn Any + Send)) -> bool {
    let words = panic.downcast_ref::<String>().map(String::as_str);
    let words = words.or_else(|| panic.downcast_ref::<&str>().copied());
    words.is_some_and(is_said)
}

/// Keeps panics that say so off the terminal, and returns what came of `work`; `None` where it
/// ended by one. Other panics go on.
pub fn watched<T>(work: impl FnOnce() -> T) -> Option<T> {
    let usual = std::panic::take_hook();
    // A thread of a library may be the one that panics.
    std::panic::set_hook(Box::new(move |info| {
        if !is_told(info.payload()) {
            usual(info);
        }
    }));
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(done) => Some(done),
        Err(panic) if is_told(&*panic) => None,
        Err(panic) => resume_unwind(panic),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_is_told_from_a_defect() {
        let refused = std::io::Error::from_raw_os_error(12);
        assert!(is_said(&refused.to_string()) && is_said(&format!("{refused:?}")));
        assert!(is_said(
            "underlying IO error: Allocation error : not enough memory"
        ));
        let panic: Box<dyn Any + Send> = Box::new(format!("called `unwrap` on {refused:?}"));
        assert!(is_told(&*panic));
        let defect: Box<dyn Any + Send> = Box::new("index out of bounds");
        assert!(!is_told(&*defect));
    }
}
