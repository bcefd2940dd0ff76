/*! Files in: what is read, and how text, Parquet and workbooks become fields. */

pub(crate) mod aside;
pub(crate) mod columnar;
pub(crate) mod csv;
pub(crate) mod decoding;
pub(crate) mod digits;
pub(crate) mod files;
pub(crate) mod fill_down;
pub(crate) mod guarded;
pub(crate) mod header;
pub(crate) mod limit_cells;
pub(crate) mod own_report;
pub(crate) mod plain_file;
pub(crate) mod source;
pub(crate) mod table;
pub(crate) mod wide;
pub(crate) mod workbook;
