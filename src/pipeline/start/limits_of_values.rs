/*! Limits that hold the nominal value and not 0: whether the numbers alone tell what they are of. */

use super::examples::examples_of;
use super::kept::StandingForm;
use super::look::Form;
use super::person::StartError;
use super::trial::Trial;
use crate::records::Loaded;
use crate::records::guess::doubt::Answer;
use crate::settings::toml_text::quoted;

/// How the files read with limits of values, and with limits of errors.
pub(super) struct BothReadings {
    /// True where most checks lie within their limits as those of values, and none within those that do not hold 0
    /// as limits of errors.
    pub values_alone: bool,
    /// Each meaning as a setting states it, with examples of how rows read by it.
    pub examples: Vec<(String, Vec<String>)>,
}

impl Form {
    /// Reads the files with limits of values, and with limits of errors, each once.
    pub(super) fn limits_both_ways(
        &self,
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
    ) -> Result<BothReadings, StartError> {
        let mut examples = Vec::new();
        let mut within = |meaning: &str| -> Result<Option<(usize, usize)>, StartError> {
            let mut other = self.clone();
            let stated = quoted(meaning);
            let answer = Answer::State("limits_are", stated.clone());
            other.guess.take(&answer);
            let mut read = other.read(trial, standing)?;
            if read.as_ref().is_err_and(|why| why.setting == "point_from") {
                let points = other.all_that_name_points();
                other.guess.take(&points);
                read = other.read(trial, standing)?;
            }
            examples.push((stated, examples_of(&read, &other.guess)));
            let of_errors = meaning == ERROR;
            Ok(read.ok().map(|loaded| within_limits(&loaded, of_errors)))
        };
        let (values, errors) = (within("value")?, within(ERROR)?);
        let most = |kept: usize, all: usize| all > 0 && 2 * kept >= all;
        let values_alone =
            matches!((values, errors), (Some((kept, all)), Some((0, _))) if most(kept, all));
        Ok(BothReadings {
            values_alone,
            examples,
        })
    }
}

/// The setting by which limits are those of errors.
const ERROR: &str = "error";

/// Checks within their limits, and checks that have limits; of errors those alone whose limits do not hold 0.
fn within_limits(loaded: &Loaded, of_errors: bool) -> (usize, usize) {
    let columns = &loaded.histories.columns;
    let limited = columns
        .as_found
        .iter()
        .zip(&columns.lower)
        .zip(&columns.upper);
    let limited = limited.filter(|((value, lower), upper)| {
        let limited = lower.is_finite() || upper.is_finite();
        let counts = !of_errors || **lower > 0.0 || **upper < 0.0;
        value.is_finite() && limited && counts
    });
    let within = limited
        .clone()
        .filter(|((value, lower), upper)| !(value < lower || value > upper));
    (within.count(), limited.count())
}
