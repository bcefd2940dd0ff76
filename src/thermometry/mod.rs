/*! Thermometry: from bridge readings in a triple-point cell to R, its drift and advice. */

mod error;
pub mod iec60751;
pub mod its90;

pub use error::ThermometryError;
