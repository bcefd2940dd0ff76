/*! Is the platinum good enough to carry the scale?

Limits: ITS-90 text, Metrologia 27 (1990) 3–10, section 3.3 (quoted from memory, so they
are settings and no law here): W(29.7646 °C) ≥ 1.118 07 or W(−38.8344 °C) ≤ 0.844 235,
and W(961.78 °C) ≥ 4.2844 for use up to the silver point.
*/

crate::settings! {
    /// Platinum of a reference thermometer: limits on W at three fixed points.
    pub struct PlatinumSettings in "thermometry.platinum" {
        /// Least W at the melting point of gallium.
        gallium_at_least: f64 = 1.118_07 => at_least(1.0).at_most(1.2),
        /// Greatest W at the triple point of mercury.
        mercury_at_most: f64 = 0.844_235 => at_least(0.8).at_most(1.0),
        /// Least W at the freezing point of silver, for use up to it.
        silver_at_least: f64 = 4.2844 => at_least(4.0).at_most(4.4),
    }
}

/// Ratios of one thermometer as far as they were measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct PlatinumRatios {
    /// W at the melting point of gallium.
    pub gallium: Option<f64>,
    /// W at the triple point of mercury.
    pub mercury: Option<f64>,
    /// W at the freezing point of silver.
    pub silver: Option<f64>,
}

/// Answer to one acceptance question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Platinum {
    /// Meets the limits; what was compared.
    Accepted(String),
    /// Fails them; what was compared.
    Refused(String),
    /// Not measured: what is missing.
    Unknown(String),
}

/// Acceptance for use below the silver range: gallium or mercury suffices.
pub(crate) fn accept(ratios: PlatinumRatios, limits: &PlatinumSettings) -> Platinum {
    let gallium = ratios.gallium.map(|w| {
        let met = w >= limits.gallium_at_least;
        (
            met,
            format!(
                "W(gallium) = {w:.7}, limit at least {}",
                limits.gallium_at_least
            ),
        )
    });
    let mercury = ratios.mercury.map(|w| {
        let met = w <= limits.mercury_at_most;
        (
            met,
            format!(
                "W(mercury) = {w:.7}, limit at most {}",
                limits.mercury_at_most
            ),
        )
    });
    let measured: Vec<_> = gallium.into_iter().chain(mercury).collect();
    match measured.iter().find(|(met, _)| *met) {
        Some((_, words)) => Platinum::Accepted(words.clone()),
        None if measured.is_empty() => {
            Platinum::Unknown("W at gallium or at mercury was not measured".into())
        }
        None => {
            let words: Vec<_> = measured.into_iter().map(|(_, words)| words).collect();
            Platinum::Refused(words.join("; "))
        }
    }
}

/// Acceptance for use up to the silver point: both [`accept`] and W at silver.
pub(crate) fn accept_to_silver(ratios: PlatinumRatios, limits: &PlatinumSettings) -> Platinum {
    let base = match accept(ratios, limits) {
        Platinum::Accepted(words) => words,
        other => return other,
    };
    match ratios.silver {
        None => Platinum::Unknown("W at silver was not measured".into()),
        Some(w) => {
            let words = format!(
                "{base}; W(silver) = {w:.7}, limit at least {}",
                limits.silver_at_least
            );
            if w >= limits.silver_at_least {
                Platinum::Accepted(words)
            } else {
                Platinum::Refused(words)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::SettingsTable;

    fn ratios(gallium: Option<f64>, mercury: Option<f64>, silver: Option<f64>) -> PlatinumRatios {
        PlatinumRatios {
            gallium,
            mercury,
            silver,
        }
    }

    #[test]
    fn one_of_gallium_and_mercury_suffices() {
        let limits = PlatinumSettings::default();
        let good = accept(ratios(Some(1.118_12), Some(0.9), None), &limits);
        assert!(matches!(good, Platinum::Accepted(_)));
        let bad = accept(ratios(Some(1.118_0), None, None), &limits);
        assert!(matches!(bad, Platinum::Refused(_)));
        let unknown = accept(PlatinumRatios::default(), &limits);
        assert!(matches!(unknown, Platinum::Unknown(_)));
    }

    #[test]
    fn silver_is_asked_for_beside_them() {
        let limits = PlatinumSettings::default();
        let missing = accept_to_silver(ratios(Some(1.118_12), None, None), &limits);
        assert!(matches!(missing, Platinum::Unknown(_)));
        let low = accept_to_silver(ratios(Some(1.118_12), None, Some(4.284)), &limits);
        assert!(matches!(low, Platinum::Refused(_)));
        let good = accept_to_silver(ratios(None, Some(0.844_16), Some(4.2858)), &limits);
        assert!(matches!(good, Platinum::Accepted(_)));
    }

    #[test]
    fn impossible_limits_are_named() {
        let settings = PlatinumSettings {
            mercury_at_most: f64::NAN,
            ..Default::default()
        };
        assert_eq!(settings.check()[0].key, "mercury_at_most");
    }
}
