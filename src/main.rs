/*! The door: hands the command line to [`driftbook::commands`] and returns its exit status. */

use std::process::ExitCode;

fn main() -> ExitCode {
    driftbook::commands::main()
}
