/*! The drift models by the names that the pipeline file uses. */

use serde::{Deserialize, Serialize};

/// A drift model, as the pipeline file names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ModelName {
    /// Level, drift, wander and steps by a Kalman filter with class parameters.
    #[default]
    State,
    /// A constant level.
    Constant,
    /// A straight line.
    Line,
    /// A parabola.
    Quadratic,
    /// A polynomial of the degree set in the pipeline file.
    Polynomial,
    /// Random walk with fixed drift.
    Wander,
    /// A line with an annual sine and cosine.
    Season,
    /// State or wander, whichever the readings support, or their average.
    Auto,
}

impl ModelName {
    /// The word used in settings and tables.
    pub fn word(self) -> &'static str {
        match self {
            ModelName::State => "state",
            ModelName::Constant => "constant",
            ModelName::Line => "line",
            ModelName::Quadratic => "quadratic",
            ModelName::Polynomial => "polynomial",
            ModelName::Wander => "wander",
            ModelName::Season => "season",
            ModelName::Auto => "auto",
        }
    }
}
