/*! The state model of one history: level and drift by a Kalman filter at irregular dates. */

pub(crate) mod annual;
mod annual_fit;
pub(crate) mod drift_model;
pub(crate) mod estimate;
pub(crate) mod filter;
pub(crate) mod fit;
pub(crate) mod forecast;
pub(crate) mod innovation;
pub(crate) mod marginal;
pub(crate) mod motion;
mod notes;
pub(crate) mod reading_part;
pub(crate) mod recent_scatter;
pub(crate) mod smooth;
pub(crate) mod surprise;
pub(crate) mod surprise_words;
pub(crate) mod transition;
pub(crate) mod walk;
