/*! Sessions: several thermometers in one cell, judged by rules, become checks. */

mod carried_events;
mod check_standard;
mod checks;
mod copies;
mod first_value;
mod known;
mod reduce_sessions;
mod result;
mod rules;
mod settings;
mod shared_rules;
mod together;
mod usual;
mod violation;
mod water;

#[cfg(test)]
mod session_tests;

pub(crate) use checks::{CheckUnit, checks_csv, other_units};
#[cfg(test)]
pub(crate) use reduce_sessions::Sessions;
pub(crate) use reduce_sessions::reduce_sessions;
pub(crate) use result::SessionResult;
pub(crate) use settings::{OnViolation, SessionSettings};
pub(crate) use violation::{SessionStanding, Violation};
