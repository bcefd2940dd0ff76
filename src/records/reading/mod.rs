/*! Files in: what is read, and how text and Parquet become fields. */

pub(crate) mod csv_file;
pub(crate) mod csv_records;
pub(crate) mod csv_text;
pub(crate) mod files;
pub(crate) mod header;
pub(crate) mod own_header;
pub(crate) mod own_report;
pub(crate) mod parquet_column;
pub(crate) mod parquet_file;
pub(crate) mod parquet_odd;
pub(crate) mod plain_file;
pub(crate) mod source;
pub(crate) mod table;
