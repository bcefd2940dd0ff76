/*! Files in: what is read, and how text, Parquet and workbooks become fields. */

pub(crate) mod above;
mod arrow_column;
pub(crate) mod arrow_stream;
pub(crate) mod aside;
mod check_headers;
pub(crate) mod csv_file;
pub(crate) mod csv_records;
mod csv_rows;
pub(crate) mod csv_text;
pub(crate) mod files;
pub(crate) mod fill_down;
pub(crate) mod find_table;
pub(crate) mod guarded;
pub(crate) mod header;
pub(crate) mod limit_cells;
pub(crate) mod own_header;
pub(crate) mod own_report;
pub(crate) mod parquet_column;
pub(crate) mod parquet_file;
pub(crate) mod parquet_odd;
pub(crate) mod plain_file;
pub(crate) mod source;
pub(crate) mod table;
mod text_rows;
mod units_row;
pub(crate) mod wide;
pub(crate) mod workbook;
