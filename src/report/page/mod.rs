/*! Pages: self-contained HTML files that open from a folder or a plain web server.

No network, no framework; every text from the records is escaped; a page makes
sense with scripts switched off, in print, in dark mode and on a small screen.
*/

mod checks;
mod control;
mod decide;
mod digest;
mod fleet_data;
mod fleet_row;
mod fleet_table;
mod glossary;
mod group;
mod index;
mod instrument;
mod parts;
mod record;
mod shell;
mod to_do;

pub(crate) use checks::with_places;
pub(crate) use control::control_page;
pub use digest::digest_page;
pub(crate) use fleet_table::MOST_ROWS as ROWS_TOLD;
pub(crate) use group::group_page;
pub use index::index_page;
pub use instrument::instrument_page;
pub(crate) use instrument::instrument_page_with;
pub(crate) use record::record_page;
