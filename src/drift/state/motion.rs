/*! The forecast of the state model as the motion of a fit, alone or about a yearly swing. */

use super::forecast::StateForecast;
use super::swing::Swing;
use crate::drift::Prediction;
use crate::drift::fit::Motion;

impl Motion for StateForecast {
    fn at(&self, x: f64) -> Option<Prediction> {
        Some(StateForecast::at(self, x))
    }

    fn state(&self) -> Option<&StateForecast> {
        Some(self)
    }
}

/// A forecast about a yearly swing.
#[derive(Debug, Clone)]
pub(crate) struct Swinging {
    pub forecast: StateForecast,
    pub swing: Swing,
}

impl Motion for Swinging {
    fn at(&self, x: f64) -> Option<Prediction> {
        Some(self.swing.added_to(self.forecast.at(x), x))
    }

    fn swings(&self) -> bool {
        true
    }

    fn shows_swing(&self) -> bool {
        self.swing.is_own() || self.swing.is_known()
    }
}
