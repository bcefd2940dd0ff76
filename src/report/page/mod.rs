/*! Pages: self-contained HTML files that open from a folder or a plain web server.

No network, no framework; every text from the records is escaped; a page makes
sense with scripts switched off, in print, in dark mode and on a small screen.
*/

mod index;
mod parts;
mod shell;

pub use index::index_page;
