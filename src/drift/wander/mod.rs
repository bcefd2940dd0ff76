/*! The wander model: random walk with fixed drift under reading noise. */

pub(crate) mod drift_model;
pub(crate) mod fit;
pub(crate) mod innovations;
pub(crate) mod jet;
pub(crate) mod likelihood;
pub(crate) mod mixture;
pub(crate) mod model;
mod search;
pub(crate) mod smooth;
pub(crate) mod suspects;
