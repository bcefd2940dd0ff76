/*! The uncertainty that all checks of a history share. */

use crate::records::History;

/// Largest shared uncertainty that any check of the history states; 0 where none does.
pub(crate) fn shared_u(history: &History<'_>) -> f64 {
    let stated = history.u_common.iter().filter(|u| u.is_finite());
    stated.copied().fold(0.0, f64::max)
}
