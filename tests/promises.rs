/*! The promises a user relies on: one module a promise. */

#[path = "page_in_browser.rs"]
mod page_in_browser;
