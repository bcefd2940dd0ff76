/*! Fleets whose truth is known, to show how forecasts and intervals would have done.

The demo laboratory ([`demo`]) is the first of them: invented, seeded, and
written as ordinary records.
*/

pub mod demo;
