/*! Thermometry: from bridge readings in a triple-point cell to R, its drift and advice.

```text
raw readings ─► reduction ─► session rules ─► checks ─► (drift, intervals, decisions)
                (budget)     (reasons)           └────► advice, range table, closure
```

Beside that way stand the scales themselves: [`its90`] for reference thermometers and
`iec60751` for industrial sensors, and `convert()` between their quantities.
*/

pub(crate) mod adoptions;
pub(crate) mod advice;
mod before_use;
pub(crate) mod cautions;
mod certificate;
pub(crate) mod closure;
mod convert;
pub(crate) mod convert_u;
pub(crate) mod correction_line;
mod error;
mod evidence;
pub(crate) mod expectation;
mod facts;
mod facts_error;
pub(crate) mod found;
pub(crate) mod from_certificate;
pub(crate) mod iec60751;
pub mod its90;
pub(crate) mod range;
pub(crate) mod ratio_findings;
pub(crate) mod ratios;
pub(crate) mod readings;
pub(crate) mod reduction;
pub(crate) mod session;
pub(crate) mod session_findings;
mod settings;
#[cfg(test)]
mod situations;
#[cfg(test)]
pub(crate) mod testing;
mod values;
pub(crate) mod watch;
pub(crate) mod worksheet;

pub(crate) use certificate::{Certificate, SubrangeEntry};
pub(crate) use convert::{Converted, Converter, Quantity, convert};
pub(crate) use error::ThermometryError;
pub(crate) use facts::{ThermometerFacts, Thermometers};
pub(crate) use its90::PlatinumKind;
pub(crate) use settings::ThermometrySettings;
pub(crate) use values::ValueInUse;
