/*! Decimals as the demo writes them. */

/// Fixed decimals, and no minus sign on a zero.
pub(super) fn decimal(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let zero = text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
    if zero { text.replace('-', "") } else { text }
}
