/*! Fleets whose truth is known, to show how forecasts and intervals would have done.

- `demo`: the invented laboratory of the demo.
- [`SimulationSettings`] → [`batch`]: fleets of any size as ordinary records, with
  the truth beside them.
*/

pub mod closed_loop;
pub(crate) mod demo;
mod distribution;
pub(crate) mod estimate;
mod fleet_tables;
mod generate;
mod group_evidence;
mod life;
mod records;
pub mod replay;
pub(crate) mod scores;
mod seeds;
mod settings;
mod settings_check;
mod text;
mod truth;
mod writer;

pub use crate::decisions::DecisionTables;
pub(crate) use fleet_tables::Tables;
pub use generate::{BATCH, batch, instruments};
pub use records::histories;
pub(crate) use seeds::stream;
pub use settings::SimulationSettings;
