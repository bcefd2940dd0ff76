/*! The forecast of the state model as the motion of a fit, alone or about a yearly swing. */

use super::annual::AnnualTerm;
use super::forecast::StateForecast;
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
pub(crate) struct WithAnnualTerm {
    pub forecast: StateForecast,
    pub annual: AnnualTerm,
}

impl Motion for WithAnnualTerm {
    fn at(&self, x: f64) -> Option<Prediction> {
        Some(self.annual.added_to(self.forecast.at(x), x))
    }

    fn has_annual_term(&self) -> bool {
        true
    }

    fn shows_annual_term(&self) -> bool {
        self.annual.is_own() || self.annual.is_known()
    }
}
