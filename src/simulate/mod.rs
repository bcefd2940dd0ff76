/*! Fleets whose truth is known, to show how forecasts and intervals would have done.

- [`demo`]: the invented laboratory of the demo.
- [`SimulationSettings`] → [`batch`]: fleets of any size as ordinary records, with
  the truth beside them.
*/

pub mod closed_loop;
pub mod demo;
mod distribution;
pub mod estimate;
mod fleet_tables;
mod generate;
mod lend;
mod life;
mod records;
pub mod replay;
pub mod scores;
mod seeds;
mod settings;
mod settings_check;
mod text;
mod truth;
mod writer;

pub use distribution::{Distribution, Part, Shape};
pub use fleet_tables::Tables;
pub use generate::{BATCH, batch, instruments};
pub use lend::groups;
pub use life::{Noise, TrueCheck, TrueLife, live};
pub use records::histories;
pub use seeds::{Stream, stream};
pub use settings::{
    Adjust, AdjustmentSettings, FaultSettings, FleetSettings, ReadingSettings, ScheduleSettings,
    SimulationSettings,
};
pub use truth::{Living, Nature, TruthSettings};
