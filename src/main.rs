/*! The door: hands the command line to [`driftbook::commands`] and returns its exit status. */

mod allocator;

use std::process::ExitCode;

#[global_allocator]
static ALLOCATOR: allocator::Allocator = allocator::Allocator(mimalloc::MiMalloc);

fn main() -> ExitCode {
    allocator::without_huge_pages();
    driftbook::spare_memory::given_back_by(allocator::give_back_soon);
    driftbook::commands::main()
}
