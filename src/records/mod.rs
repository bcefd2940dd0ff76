/*! Records in: check histories and the register, screened into [`Histories`]. */

mod history;

pub use history::{
    CheckKind, Columns, DAYS_PER_YEAR, Event, Histories, History, Item, Outcome, Tolerance,
};
