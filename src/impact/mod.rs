/*! Impact: which past work is in doubt after an instrument was found out of tolerance.

ISO/IEC 17025:2017, 7.10.1, asks for an impact analysis on previous results when
equipment turns out to be outside its limits. The work in question was done after
the item was last known to be good (its value as left, or a good check, in
tolerance) and before it was found out. For each job date the error then is taken
between the two readings: in the mean on the straight line, with the variance of
a random walk tied down at both ends (a Brownian bridge) plus that of the two
readings. Where the drift model knows the item's wander, that is the variance per
year; else the change itself is taken as a wander of its own size, so that the
date of the failure stays as uncertain as it is. Ordinary interpolation and
probability, no quotation from a standard.
*/

pub mod jobs;

mod bridge;
mod doubt;
mod window;

pub use bridge::Bridge;
pub use doubt::{Effect, Job, JobDoubt, assess, summary, unassessed};
pub use window::{Window, suspect_window};

#[cfg(test)]
mod tests;
