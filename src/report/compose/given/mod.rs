/*! Who gave the readings, as the report shows it: the sources of each class, and calibrations and
comparisons against what was predicted of them. */

mod comparisons;
mod sources;

pub(super) use comparisons::table as comparisons_table;
pub(crate) use comparisons::write as write_comparisons;
pub(crate) use sources::write as write_sources;
pub(super) use sources::{section, table as sources_table};
