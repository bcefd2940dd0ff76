/*! x */
mod bins;
mod bounds;
mod compare;
mod fit;
mod likelihood;
pub mod models;
mod monotone;
mod optimum;
mod outcomes;
mod profile;
mod target;
