/*! Dashes and units of a drawing, as the canvas writes them into plain SVG and the tidying reads them. */

/// Drawing units in one pixel.
pub(super) const UNITS: f64 = 4.0;

/// Stroke widths above this carry a dash code in their thousands.
pub(super) const DASH_CODE: u32 = 1000;

/// Line style.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Dash {
    /// Unbroken.
    Solid,
    /// Long dashes: tolerance limits.
    Long,
    /// Short dashes: borrowed drift.
    Short,
    /// Dots: prediction band.
    Dots,
}

impl Dash {
    /// `stroke-dasharray` in drawing units, by dash code.
    pub(super) const PATTERNS: [&str; 4] = ["", "36 16", "18 14", "5 11"];
}
