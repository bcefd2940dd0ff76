/*! Cost against perfect knowledge, with its Monte Carlo error; reliability against the target. */

use super::super::estimate::ratio;
use super::live::Tally;
use super::settings::LoopSettings;

/// From this many classes on, a class is the unit whose scatter gives the error; with
/// fewer it is the instrument.
const CLASSES_FOR_CLUSTERS: usize = 10;

/// One planner on one kind at one class size.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Name of the planner.
    pub planner: String,
    /// Name of the kind (fleet).
    pub kind: String,
    /// Instruments in a class.
    pub class_size: usize,
    pub instruments: usize,
    /// Mean cost a year of one instrument.
    pub cost_per_year: f64,
    /// Cost above that of perfect knowledge, in percent.
    pub excess: f64,
    /// Monte Carlo standard error of `excess`, percentage points.
    pub excess_error: f64,
    /// Share of all checks of instruments in use whose true error was in tolerance.
    pub found_in: f64,
    /// The same after each instrument's third decision.
    pub settled_in: f64,
    /// Calibrations a year of one instrument.
    pub calibrations_per_year: f64,
    /// Share of the time not in use out of tolerance.
    pub time_in: f64,
}

/// Cost of each instrument a year.
pub(crate) fn costs(settings: &LoopSettings, fleet: usize, tallies: &[Tally]) -> Vec<f64> {
    let fleet = &settings.fleet[fleet];
    let cost = |tally: &Tally| {
        (fleet.cost * f64::from(tally.calibrations) + fleet.cost_out_of_tolerance * tally.years_out)
            / settings.years
    };
    tallies.iter().map(cost).collect()
}

/// Sums of consecutive classes of `size` where there are enough, else the values themselves.
pub(super) fn units(values: &[f64], size: usize) -> Vec<f64> {
    if values.len() / size < CLASSES_FOR_CLUSTERS {
        return values.to_vec();
    }
    values
        .chunks(size)
        .map(|class| class.iter().sum())
        .collect()
}

/// Scores one planner against perfect knowledge on the same instruments.
pub(super) fn cell(
    settings: &LoopSettings,
    (planner, fleet, size): (&str, usize, usize),
    tallies: &[Tally],
    perfect: &[Tally],
) -> Cell {
    let (own, bound) = (
        costs(settings, fleet, tallies),
        costs(settings, fleet, perfect),
    );
    let (ratio, error) = ratio(&units(&own, size), &units(&bound, size));
    let count = tallies.len() as f64;
    let sum = |of: fn(&Tally) -> f64| tallies.iter().map(of).sum::<f64>();
    let calibrations = sum(|tally| f64::from(tally.calibrations));
    let checks = sum(|tally| f64::from(tally.checks));
    Cell {
        planner: planner.to_string(),
        kind: settings.fleet[fleet].name.clone(),
        class_size: size,
        instruments: tallies.len(),
        cost_per_year: own.iter().sum::<f64>() / count,
        excess: 100.0 * (ratio - 1.0),
        excess_error: 100.0 * error,
        found_in: sum(|tally| f64::from(tally.truly_in)) / checks,
        settled_in: sum(|tally| f64::from(tally.settled_in))
            / sum(|tally| f64::from(tally.settled)),
        calibrations_per_year: calibrations / count / settings.years,
        time_in: 1.0 - sum(|tally| tally.years_out) / count / settings.years,
    }
}
