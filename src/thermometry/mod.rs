/*! Thermometry: from bridge readings in a triple-point cell to R, its drift and advice. */

mod certificate;
mod convert;
mod error;
mod facts;
pub mod iec60751;
pub mod its90;
pub mod readings;
pub mod reduction;
pub mod session;

pub use certificate::{Certificate, SubrangeEntry};
pub use convert::{Converted, Quantity, Scale, convert};
pub use error::ThermometryError;
pub use facts::{ThermometerFacts, Thermometers};
