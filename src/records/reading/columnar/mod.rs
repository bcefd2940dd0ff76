/*! Parquet and Arrow: columns of any usual type become fields. */

mod arrow_column;
pub(crate) mod arrow_stream;
mod local_time;
mod odd_types;
pub(crate) mod parquet_column;
pub(crate) mod parquet_file;
pub(crate) mod rows;
