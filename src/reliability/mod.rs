/*! x */
mod fit;
mod likelihood;
pub mod models;
mod optimum;
mod outcomes;
mod profile;
mod target;
