/*! The allocator of the program, which says in words that the system gives no more memory.

Otherwise Rust aborts, and says only how many bytes were asked for.
*/

#![allow(unsafe_code)]

use driftbook::no_memory::{MEND, WHAT};
use mimalloc::MiMalloc;
use std::alloc::{GlobalAlloc, Layout};
use std::ffi::{c_int, c_long};
use std::io::{IsTerminal, Write};

/// A fleet's text is made on all threads and let go on others: a run takes a sixth less processor
/// time, for a fifth more memory, than with the system's allocator.
pub struct Allocator(pub MiMalloc);

/// Keeps the system from pages of 2 MB: what is let go of stays with the program until such a page is
/// free as a whole, and clearing one takes its time where a few kilobytes are asked for.
pub fn without_huge_pages() {
    // A system that knows of none gives none.
    #[cfg(target_os = "linux")]
    let _ = rustix::thread::disable_transparent_huge_pages(true);
}

/// Lets the system have within a tenth of a second what is let go of; it stays with the program for
/// ten seconds else, unless the environment states something (`MIMALLOC_PURGE_DELAY`).
pub fn give_back_soon() {
    /// `mi_option_purge_delay` in `mimalloc.h`, of versions 2 and 3.
    const PURGE_DELAY: c_int = 15;
    const MILLISECONDS: c_long = 10;
    unsafe extern "C" {
        fn mi_option_set_default(option: c_int, value: c_long);
    }
    // SAFETY: a function of the allocator that is linked, as its header declares it; it sets one
    // number, which is read anew at every use.
    unsafe { mi_option_set_default(PURGE_DELAY, MILLISECONDS) }
}

/// A size beyond this, bytes, is a number out of a broken file; its reader answers for it.
const LARGEST: usize = 1 << 40;

// SAFETY: every call goes to the inner allocator as it came, and what it answers is returned.
unsafe impl GlobalAlloc for Allocator {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        given(unsafe { self.0.alloc(layout) }, layout.size())
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        given(unsafe { self.0.alloc_zeroed(layout) }, layout.size())
    }

    unsafe fn realloc(&self, place: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        given(unsafe { self.0.realloc(place, layout, size) }, size)
    }

    unsafe fn dealloc(&self, place: *mut u8, layout: Layout) {
        unsafe { self.0.dealloc(place, layout) }
    }
}

/// Ends the program in words where nothing was given.
fn given(place: *mut u8, size: usize) -> *mut u8 {
    if place.is_null() && size <= LARGEST {
        end();
    }
    place
}

/// Nothing here asks for memory.
#[cold]
fn end() -> ! {
    let mut out = std::io::stderr();
    // The name of the stage under way may stand there.
    let first = if out.is_terminal() { "\n" } else { "" };
    for part in [first, "error: ", WHAT, "\n  ", MEND, "\n"] {
        let _ = out.write_all(part.as_bytes());
    }
    std::process::exit(1)
}
