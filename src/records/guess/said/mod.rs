/*! What columns of words say of a check and of its item: events, status, group, interval in use. */

pub(crate) mod event_words;
pub(crate) mod events;
pub(crate) mod marks;
pub(crate) mod own_facts;
pub(crate) mod renamed;
pub(crate) mod rows_as_left;
pub(crate) mod several_items;
pub(crate) mod status;
pub(crate) mod time_of_day;
pub(crate) mod void_rows;
