/*! x */
pub mod models;
