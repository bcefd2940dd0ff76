/*! Figures, units and months as the notes of a fit write them. */

use crate::words::no_number;

/// Three significant digits, plain where they read well.
pub fn figure(value: f64) -> String {
    let size = value.abs();
    if !value.is_finite() {
        return no_number(value).into();
    }
    if value == 0.0 {
        return "0".into();
    }
    if !(1e-4..1e6).contains(&size) {
        return format!("{value:.2e}");
    }
    let decimals = (2 - size.log10().floor() as i32).clamp(0, 8) as usize;
    format!("{value:.decimals$}")
}

/// A unit behind a number: with a space before it, or nothing.
pub fn spaced(unit: &str) -> String {
    match unit {
        "" => String::new(),
        unit => format!(" {unit}"),
    }
}

/// The month in which a share of the year, 0 to 1, falls.
pub fn month(share: f64) -> &'static str {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    MONTHS[((12.0 * share) as usize).min(MONTHS.len() - 1)]
}
