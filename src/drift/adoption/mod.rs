/*! Adopting a value: does a new one differ, and what is carried from now on. */

pub(crate) mod assignment;
pub(crate) mod compare;
pub(crate) mod past;
pub(crate) mod words;
