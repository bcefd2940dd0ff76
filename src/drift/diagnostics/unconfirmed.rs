/*! A last reading that no later one confirms: far from what the readings before it predict,
and with no event after it that would have closed the matter.

One reading cannot tell a mistake from a step; the next one can. Judged is the last reading
alone, by the fit of the earlier checks, so that it does not vouch for itself. (Readings
farther back are judged by what followed them: `super::suspects::Suspect`.)
*/

use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::Axis;
use crate::drift::{DriftSettings, Prediction, fit_forecast};
use crate::records::{DAYS_PER_YEAR, Event, History};
use crate::stats::normal_upper_two_sided;

/// Where the last reading stands to the band that the readings before it predict; unit of the
/// history.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LastReading {
    /// Row of the history.
    pub row: usize,
    /// The reading.
    pub value: f64,
    /// Prediction band for it.
    pub band: (f64, f64),
    /// Its distance from the middle of the band over half the width of the band.
    pub share_of_band: f64,
}

/// The last reading against the band of `deviations` standard deviations that the readings
/// before it predict; `None` where an event set a new level after it, or where those before it
/// predict nothing.
///
/// Where the forecast is Student's t the band is the one as probable as that many normal
/// standard deviations.
pub(crate) fn last_reading(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
    deviations: f64,
) -> Option<LastReading> {
    let row = (0..history.len())
        .rev()
        .find(|&i| history.as_found[i].is_finite())?;
    if (row..history.len()).any(|i| history.happened(i).restarts_level()) {
        return None;
    }
    against_band(history, row, (class, settings), deviations)
}

/// The same of a last check at which the item was adjusted: nothing is left to repeat, and what
/// happened before is not explained.
pub(crate) fn reading_adjusted_away(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
    deviations: f64,
) -> Option<LastReading> {
    let row = history.len().checked_sub(1)?;
    let adjusted = history.happened(row) == Event::Adjusted && history.as_found[row].is_finite();
    let judged = || against_band(history, row, (class, settings), deviations);
    adjusted.then(judged).flatten()
}

/// The reading of `row` against the band of those before it.
fn against_band(
    history: &History<'_>,
    row: usize,
    (class, settings): (&ClassParameters, &DriftSettings),
    deviations: f64,
) -> Option<LastReading> {
    let level = 1.0 - normal_upper_two_sided(deviations);
    let band = expected(history, row, class, settings)?.reading(level);
    let value = history.as_found[row];
    let (middle, half) = (0.5 * (band.0 + band.1), 0.5 * (band.1 - band.0));
    let share_of_band = ((value - middle) / half).abs();
    share_of_band.is_finite().then_some(LastReading {
        row,
        value,
        band,
        share_of_band,
    })
}

/// What the readings before `row` predict of it.
pub(crate) fn expected(
    history: &History<'_>,
    row: usize,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Option<Prediction> {
    let x = match settings.axis {
        Axis::Time => history.date[row] / DAYS_PER_YEAR,
        Axis::Usage => history.usage[row],
    };
    fit_forecast(&history.first(row), class, settings).at(x)
}

impl LastReading {
    /// True outside the band.
    pub(crate) fn is_outside(&self) -> bool {
        self.share_of_band > 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::diagnostics::suspects::tests::class_of_six;
    use crate::drift::testing::*;

    fn last(all: &Histories) -> Option<LastReading> {
        let settings = DriftSettings::default();
        let classes = class_parameters(all, &settings);
        last_reading(&all.get(0), classes.of_history(0), &settings, 3.0)
    }

    #[test]
    fn a_far_last_reading_waits_and_an_event_after_it_settles_the_matter() {
        let far = class_of_six(&|check| if check == 11 { 1.5 } else { 0.0 });
        let found = last(&far).unwrap();
        assert!(found.is_outside());
        assert_eq!((found.row, found.value), (11, far.get(0).as_found[11]));
        assert!(found.band.1 < found.value);
        let mut adjusted = far.clone();
        adjusted.columns.event[11] = Event::Adjusted;
        assert_eq!(last(&adjusted), None);
        let settings = DriftSettings::default();
        let classes = class_parameters(&adjusted, &settings);
        let away = |all: &Histories| {
            reading_adjusted_away(&all.get(0), classes.of_history(0), &settings, 3.0)
        };
        assert!(away(&adjusted).unwrap().is_outside());
        assert_eq!(away(&far), None);
    }

    #[test]
    fn a_reading_as_expected_is_confirmed_by_those_before_it() {
        let calm = last(&class_of_six(&|_| 0.0)).unwrap();
        assert!(!calm.is_outside());
    }

    #[test]
    fn nothing_is_said_of_a_first_reading() {
        let all = class_of_six(&|_| 0.0);
        let settings = DriftSettings::default();
        let classes = class_parameters(&all, &settings);
        let first = all.get(0).first(1);
        let class = classes.of_history(0);
        assert_eq!(last_reading(&first, class, &settings, 3.0), None);
    }
}
