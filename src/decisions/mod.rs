/*! The one procedure from proposals to decision: the policy, what holds a longer interval back,
the advice on thermometers, and the whole chain in words.

Data flow: every method proposes on the [`Evidence`](crate::intervals::Evidence) of one history;
[`policy`] picks one with its reasons; readings that no other confirms and the sessions of a
thermometer may hold it back.
*/

pub(crate) mod approvals;
pub(crate) mod budget_line;
pub(crate) mod cases;
pub(crate) mod check_advice;
pub(crate) mod conformity_now;
pub(crate) mod conformity_record;
pub(crate) mod contradiction;
pub(crate) mod controls;
pub(crate) mod explain;
pub(crate) mod failed_points;
mod held_by_controls;
mod held_by_points;
pub(crate) mod instrument;
pub(crate) mod no_value;
pub(crate) mod out_of_use;
pub(crate) mod policy;
pub(crate) mod procedure;
pub(crate) mod processes;
pub(crate) mod remedy;
pub(crate) mod session_advice;
pub(crate) mod small_class;
pub(crate) mod stage;
pub(crate) mod suspects;
mod tables;
#[cfg(test)]
pub(crate) mod testing;
pub(crate) mod waiting;
pub(crate) mod with_reading;
pub(crate) mod withdrawn_beside;

pub(crate) use policy::PolicySettings;
pub use tables::DecisionTables;
