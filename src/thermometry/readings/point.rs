/*! Where a thermometer was read: at a fixed point, or beside a standard. */

use crate::thermometry::its90::{FixedPoint, ZERO_CELSIUS_K};

/// Where a thermometer was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReadingPoint {
    /// A defining fixed point.
    Fixed(FixedPoint),
    /// A temperature of comparison with a standard, °C.
    Comparison(f64),
}

impl ReadingPoint {
    /// Reads a name, a temperature with or without °C, or nothing (triple point of water).
    pub(crate) fn from_text(text: &str) -> Option<Self> {
        let text = text.trim();
        if text.is_empty() {
            return Some(Self::Fixed(FixedPoint::Water));
        }
        let number = text.trim_end_matches("°C").trim().parse::<f64>().ok();
        FixedPoint::from_name(text).map(Self::Fixed).or_else(|| {
            number
                .filter(|t| (-259.3467..=961.78).contains(t))
                .map(Self::Comparison)
        })
    }

    /// Its temperature, K.
    pub(crate) fn kelvin(self) -> f64 {
        match self {
            Self::Fixed(point) => point.kelvin(),
            Self::Comparison(celsius) => celsius + ZERO_CELSIUS_K,
        }
    }

    /// The name in tables.
    pub(crate) fn name(self) -> String {
        match self {
            Self::Fixed(point) => point.name().to_string(),
            Self::Comparison(celsius) => format!("{celsius} °C"),
        }
    }
}
