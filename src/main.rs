/*! The door: hands the command line to [`driftbook::commands`] and returns its exit status. */

use std::process::ExitCode;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    driftbook::commands::main()
}
