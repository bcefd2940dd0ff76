/*! The one procedure from proposals to decision: the policy, what holds a longer interval back,
the advice on thermometers, and the whole chain in words.

Data flow: every method proposes on the [`Evidence`](crate::intervals::Evidence) of one history;
[`policy`] picks one with its reasons; readings that no other confirms and the sessions of a
thermometer may hold it back.
*/

pub mod approvals;
pub mod budget_line;
pub mod cases;
pub(crate) mod check_advice;
pub mod conformity_now;
pub mod conformity_record;
pub(crate) mod contradiction;
pub mod controls;
pub mod explain;
pub mod instrument;
pub mod no_value;
pub mod policy;
pub mod procedure;
pub mod processes;
pub mod remedy;
pub(crate) mod session_advice;
pub mod small_class;
pub mod stage;
pub(crate) mod suspects;
mod tables;
#[cfg(test)]
pub(crate) mod testing;
pub(crate) mod waiting;
pub mod with_reading;

pub use policy::PolicySettings;
pub use tables::DecisionTables;
