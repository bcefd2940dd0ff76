/*! Thermometry: from bridge readings in a triple-point cell to R, its drift and advice.

```text
raw readings ─► reduction ─► session rules ─► checks ─► (drift, intervals, decisions)
                (budget)     (reasons)           └────► advice, range table, closure
```

Beside that way stand the scales themselves: [`its90`] for reference thermometers and
[`iec60751`] for industrial sensors, and [`convert()`] between their quantities.
*/

pub mod adoptions;
pub mod advice;
mod before_use;
pub mod cautions;
mod certificate;
pub mod closure;
mod convert;
pub mod convert_u;
pub mod correction_line;
mod error;
mod evidence;
pub mod expectation;
mod facts;
pub mod found;
pub mod from_certificate;
pub mod iec60751;
pub mod its90;
pub mod range;
pub mod ratio_findings;
pub mod ratios;
pub mod readings;
pub mod reduction;
pub mod season;
pub mod session;
mod settings;
#[cfg(test)]
mod situations;
#[cfg(test)]
pub(crate) mod testing;
mod values;
pub mod watch;
pub mod worksheet;

pub use certificate::{Certificate, SubrangeEntry};
pub use convert::{Converted, Quantity, Scale, convert};
pub use error::ThermometryError;
pub use facts::{ThermometerFacts, Thermometers};
pub use its90::PlatinumKind;
pub use settings::ThermometrySettings;
pub use values::{AdoptedValue, ValueInUse};
