/*! The readings of one history as drift models see them. */

pub(crate) mod harmonic_u;
#[cfg(test)]
mod history_checks;
pub(crate) mod join;
pub(crate) mod next_u;
pub(crate) mod readings;
pub(crate) mod use_rate;
