/*! Limits that hold the nominal value and not 0: whether the numbers alone tell what they are of. */

use super::kept::StandingForm;
use super::look::Form;
use super::person::StartError;
use super::trial::Trial;
use crate::records::Loaded;
use crate::records::guess::doubt::Answer;
use crate::settings::toml_text::quoted;

impl Form {
    /// True where most checks lie within their limits as those of values, and none as those of errors.
    pub(super) fn limits_hold_values_alone(
        &self,
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
    ) -> Result<bool, StartError> {
        let within = |meaning: &str| -> Result<Option<(usize, usize)>, StartError> {
            let mut other = self.clone();
            other
                .guess
                .take(&Answer::State("limits_are", quoted(meaning)));
            let read = other.read(trial, standing)?;
            Ok(read.ok().map(|loaded| within_limits(&loaded)))
        };
        let (values, errors) = (within("value")?, within("error")?);
        let most = |kept: usize, all: usize| all > 0 && 2 * kept >= all;
        Ok(matches!((values, errors), (Some((kept, all)), Some((0, _))) if most(kept, all)))
    }
}

/// Checks within their limits, and checks that have limits.
fn within_limits(loaded: &Loaded) -> (usize, usize) {
    let columns = &loaded.histories.columns;
    let limited = columns
        .as_found
        .iter()
        .zip(&columns.lower)
        .zip(&columns.upper);
    let limited = limited.filter(|((value, lower), upper)| {
        value.is_finite() && (lower.is_finite() || upper.is_finite())
    });
    let within = limited
        .clone()
        .filter(|((value, lower), upper)| !(value < lower || value > upper));
    (within.count(), limited.count())
}
