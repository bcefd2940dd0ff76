/*! What the numbers of the readings are: their unit, sign and uncertainty, and the numbers that are not read. */

pub(crate) mod absolute;
pub(crate) mod difference;
pub(crate) mod ratio;
pub(crate) mod second_quantity;
pub(crate) mod uncertainty;
pub(crate) mod unit_above;
pub(crate) mod units;
pub(crate) mod unread;
