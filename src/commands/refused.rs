/*! What a person is told where a command does not do what was asked. */

use std::fmt;

/// A sentence for a person, at the end of its way: nothing tells such sentences apart, so that they
/// need no kinds. What a room below refuses becomes one by `?`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Refused(String);

impl Refused {
    /// In these words.
    pub(crate) fn new(words: String) -> Self {
        Self(words)
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl<E: std::error::Error> From<E> for Refused {
    fn from(why: E) -> Self {
        Self(why.to_string())
    }
}

/// A [`Refused`] in the words of a format string.
macro_rules! refused {
    ($($words:tt)*) => { $crate::commands::refused::Refused::new(format!($($words)*)) };
}
pub(crate) use refused;
