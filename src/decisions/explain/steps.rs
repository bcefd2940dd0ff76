/*! Sudden steps: what the forecast takes of them, and how many the record would bear. */

use super::Chain;
use crate::drift::class::parameters::STEPS_CONFIDENCE;
use crate::drift::series::readings::Axis;
use crate::drift::{ModelName, YEARS_PER_STEP};
use crate::intervals::Forecast;
use crate::words::{date, percent, significant};

/// Steps counted by their probability that come to none in words.
const NO_STEP: f64 = 0.05;

/// The rate of steps that the forecast takes is mostly what is believed before any record, as
/// long as the class is small: how large it might be by the record alone, and what the
/// probability in tolerance on the due date would then be. `None` where the forecast counts no
/// steps, states no probability, or does not run in years.
pub(super) fn steps_borne(chain: &Chain<'_>) -> Option<String> {
    let (evidence, decision) = (chain.evidence, chain.decision);
    let by_state = evidence.fit.model == ModelName::State && evidence.axis == Axis::Time;
    if !by_state || decision.level_in_doubt {
        return None;
    }
    let interval = decision.due_date - evidence.last_calibration;
    let then = Forecast::new(evidence).ok()?.at(interval)?;
    let probability = then.probability_in(evidence.tolerance?);
    let at_most = then.probability_at_most_steps(evidence.tolerance?);
    let (steps, years) = (chain.class.steps, chain.class.years_watched());
    if !(years > 0.0 && probability.is_finite()) {
        return None;
    }
    let shown = match steps < NO_STEP {
        true => "none".to_string(),
        false => significant(steps, 2),
    };
    let whose = match chain.class.members > 1 {
        true => "the record of its class",
        false => "its record",
    };
    let (at_most, taken) = (percent(at_most), percent(probability));
    let then = match at_most == taken {
        true => format!("{at_most} all the same"),
        false => format!("{at_most}, not {taken}"),
    };
    Some(format!(
        "Sudden steps: {whose} shows {shown} in {} item-years, and {} a year are taken, one in {} years included that is believed in before any record{}. Up to {} a year would agree with that record ({}); were it so, the probability in tolerance on {} would be {then}.",
        significant(years, 2),
        significant(chain.class.surprises.step_rate, 2),
        significant(chain.class.years_per_step, 2),
        match chain.class.years_per_step == YEARS_PER_STEP {
            true => "",
            false => ", as the settings state",
        },
        significant(chain.class.most_steps, 2),
        percent(STEPS_CONFIDENCE),
        date(decision.due_date),
    ))
}
