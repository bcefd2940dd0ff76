/*! What one check states, as bytes to be hashed. */

use crate::records::History;

/// Appends everything check `row` states, as bytes to be hashed.
pub(crate) fn push_check(bytes: &mut Vec<u8>, history: &History<'_>, row: usize) {
    let numbers = [
        history.date[row],
        history.as_found[row],
        history.as_left[row],
        history.nominal[row],
        history.u[row],
        history.u_common[row],
        history.lower[row],
        history.upper[row],
        history.usage[row],
    ];
    for number in numbers {
        // Every NaN says "not stated" and every zero is the same number.
        let plain = if number.is_nan() {
            f64::NAN
        } else {
            number + 0.0
        };
        bytes.extend(plain.to_bits().to_le_bytes());
    }
    // An outcome beside a value follows from the tolerance, which may change without the check.
    let outcome = match history.as_found[row].is_nan() {
        true => history.outcome[row] as u8,
        false => u8::MAX,
    };
    bytes.extend([history.event[row] as u8, history.kind[row] as u8, outcome]);
}
