/*! Impact: which past work is in doubt after an instrument was found out of tolerance.

ISO/IEC 17025:2017, 7.10.1, asks for an impact analysis on previous results when
equipment turns out to be outside its limits. The work in question was done after
the item was last known to be good (its value as left, or a good check, in
tolerance) and before it was restored or found good again: work after the failed
check is in it, and a later good check takes none of it out of doubt. For each job
date the error is taken between the two readings about it, in two ways: in one step
at a time that nobody saw, uniform over the stretch, or in the mean on the straight
line, with the variance of a random walk tied down at both ends (a Brownian bridge)
plus that of the two readings. Each way is believed as much as the state model
believes it; after a recorded shock the step has the say. Where the drift model
knows the item's wander, that is the variance per year; else the change itself is
taken as a wander of its own size, so that the date of the failure stays as
uncertain as it is. Ordinary interpolation and probability, no quotation from a
standard.
*/

pub(crate) mod jobs;

mod belief;
mod bridge;
mod chain;
mod crossing;
mod doubt;
mod in_unit;
mod job;
mod judgement;
mod leg;
mod matching;
mod twice;
mod window;

pub(crate) use belief::Belief;
pub(crate) use chain::onward;
pub(crate) use doubt::{assess, summary};
pub(crate) use job::{Effect, Job, JobDoubt, unassessed};
pub(crate) use matching::Matches;
pub(crate) use window::{Window, suspect_window, suspect_windows};

#[cfg(test)]
mod tests;
