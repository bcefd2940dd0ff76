/*! Industrial platinum thermometers after IEC 60751:2022: function, classes, conformity. */

mod class;
mod conformity;
mod function;
mod sensor;

pub use class::{Class, ClassRanges, Construction};
pub use conformity::{SensorCheck, SensorConformity, Standing, conformity};
pub use function::{A, B, C, Coefficients, RANGE_C, resistance, sensitivity, temperature};
pub use sensor::Sensor;
