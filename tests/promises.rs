/*! The promises a user relies on: one module a promise. */

#[path = "bad_input.rs"]
mod bad_input;
#[path = "verdict.rs"]
mod verdict;
