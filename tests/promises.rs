/*! The promises a user relies on: one module a promise. */

#[path = "bad_input.rs"]
mod bad_input;
#[path = "page_in_browser.rs"]
mod page_in_browser;
