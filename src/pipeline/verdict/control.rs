/*! Two levels of control, as the trade draws them on a chart: warning and action limits.

A reading beyond the warning limits asks for a repeat: of twenty good ones about one lies there.
A reading beyond the action limits (`far_off` of the policy: three standard deviations, 99.73 %) is not in control:
of 370 good ones about one lies there (limits of ISO 7870-2, from memory).
*/

use crate::drift::Prediction;
use crate::stats::normal_upper_two_sided;
use serde::Serialize;

/// Where a reading lies about what the earlier checks predict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Control {
    /// Inside the warning limits.
    #[serde(rename = "in_control")]
    Inside,
    /// Between warning and action limits.
    Warning,
    /// Beyond the action limits.
    Action,
}

/// Limits about a prediction and the place of a reading among them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Limits {
    /// Warning limits.
    pub warning: (f64, f64),
    /// Level of the warning limits.
    pub warning_level: f64,
    /// Action limits; never inside the warning limits.
    pub action: (f64, f64),
    /// Level of the action limits.
    pub action_level: f64,
    /// Where the reading lies.
    pub control: Control,
}

impl Limits {
    /// The limits about `forecast`, with warning at `level` and action at `far_off` standard
    /// deviations, as a run's decision draws them, and where `error` lies.
    pub(crate) fn about(forecast: &Prediction, (level, far_off): (f64, f64), error: f64) -> Self {
        let action_level = level.max(1.0 - normal_upper_two_sided(far_off));
        let (warning, action) = (forecast.reading(level), forecast.reading(action_level));
        let inside = |(low, high): (f64, f64)| low <= error && error <= high;
        Self {
            warning,
            warning_level: level,
            action,
            action_level,
            control: match (inside(warning), inside(action)) {
                (true, _) => Control::Inside,
                (false, true) => Control::Warning,
                (false, false) => Control::Action,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two and three standard deviations: 95.45 and 99.73 % of a normal distribution.
    #[test]
    fn a_reading_meets_the_warning_before_the_action_limits() {
        let forecast = Prediction {
            expected: 1.0,
            u_error: 0.1,
            u_reading: 0.2,
            degrees_of_freedom: f64::INFINITY,
            no_step: 1.0,
            no_step_at_most: 1.0,
        };
        let control = |error| Limits::about(&forecast, (0.95, 3.0), error).control;
        assert_eq!(control(1.39), Control::Inside);
        assert_eq!(control(1.41), Control::Warning);
        assert_eq!(control(0.41), Control::Warning);
        assert_eq!(control(0.39), Control::Action);
        assert_eq!(control(f64::NAN), Control::Action);
        assert_eq!(
            Limits::about(&forecast, (0.999, 3.0), 1.61).control,
            Control::Inside
        );
    }
}
