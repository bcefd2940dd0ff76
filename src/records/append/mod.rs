/*! A person's own CSV file gains rows, without ever being damaged. */

pub(crate) mod check;
pub(crate) mod check_in;
pub(crate) mod held;
pub(crate) mod read_back;
pub(crate) mod record_table;
pub(crate) mod rows;
