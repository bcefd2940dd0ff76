/*! Industrial platinum thermometers after IEC 60751:2022: function, classes, conformity. */

mod class;
mod function;
mod sensor;

pub(crate) use class::{Class, ClassRanges, Construction};
pub(crate) use sensor::Sensor;
