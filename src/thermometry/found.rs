/*! A finding, and whether a second session says the same. */

/// One session alone asks for another; two say what is.
#[derive(Debug, Clone, PartialEq)]
pub struct Confirmable<T> {
    /// What was found.
    pub what: T,
    /// True where an earlier session says the same.
    pub confirmed: bool,
}
