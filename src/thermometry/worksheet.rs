/*! The worksheet of one check at the triple point of water: steps in order, what is expected, what follows.

Steps and times: common practice, no source, where the settings say nothing else.
*/

use super::advice::{AdviceSettings, plan};
use super::cautions;
use super::expectation::{ExpectedValue, expected_value};
use super::readings::CellKind;
use super::session::{SessionResult, SessionSettings};
use super::{ThermometerFacts, ThermometrySettings};

/// One step at the bench.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Step {
    /// What to do.
    pub what: String,
    /// Cautions that apply right there.
    pub cautions: Vec<&'static str>,
}

/// The worksheet of one thermometer.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Worksheet {
    /// Thermometer.
    pub instrument: String,
    /// Cell that it was last read in, where known.
    pub cell: String,
    /// What R should be; `None` for a thermometer without value and session.
    pub expected: Option<ExpectedValue>,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// What to note.
    pub notes: Vec<&'static str>,
    /// What is found, and what it would lead to.
    pub outcomes: Vec<(String, String)>,
}

/// What is to be noted with the readings.
const NOTES: [&str; 9] = [
    "session, thermometer, date and hour",
    "cell, its kind, age of mantle or plateau",
    "undercooling (lowest temperature of the cell) and how it nucleated",
    "depth of the middle of the element below the water surface",
    "minutes since insertion, pre-cooled or not",
    "current of each reading",
    "reference resistor and its temperature, or the readout",
    "what happened to the thermometer since the last check (knock, anneal, repair, transport)",
    "anything unusual",
];

/// The worksheet of `instrument` for `day`, from its sessions `own` at the triple point of water.
pub(crate) fn worksheet(
    instrument: &str,
    own: &[&SessionResult],
    facts: Option<&ThermometerFacts>,
    settings: &ThermometrySettings,
    day: f64,
) -> Worksheet {
    let last = own.last();
    let kind = last.map_or(CellKind::NotStated, |r| r.cell_kind);
    Worksheet {
        instrument: instrument.to_string(),
        cell: last.map_or(String::new(), |r| r.cell.clone()),
        expected: expected_value(own, facts, &settings.advice, day),
        steps: steps(kind, &settings.session),
        notes: NOTES.to_vec(),
        outcomes: outcomes(facts, &settings.advice.of(facts)),
    }
}

fn step(what: impl Into<String>, cautions: &[&'static str]) -> Step {
    Step {
        what: what.into(),
        cautions: cautions.to_vec(),
    }
}

fn steps(kind: CellKind, rules: &SessionSettings) -> Vec<Step> {
    let mut steps = vec![
        step(
            "Read the local rules and the risk assessment of this bench first; they go before this sheet.",
            &[cautions::LOCAL, cautions::MAINS],
        ),
        step(
            "Look at the thermometer: no crack, no rattle, sheath clean. Note what happened to it since the last check.",
            &[cautions::FRAGILE, cautions::SHEATH, cautions::MERCURY],
        ),
    ];
    steps.extend(match kind.is_small() {
        true => small_cell(kind, rules),
        false => large_cell(kind, rules),
    });
    steps.extend([
        step(
            format!(
                "Read the check standard first. Take at least {} readings at the usual current; where a second, larger current is \
                 used, read at it and then again at the first.",
                rules.readings
            ),
            &[],
        ),
        step(
            format!(
                "Go on only while the readings are flat: within {} mK per hour beyond their scatter. Read the check standard \
                 again at the end.",
                rules.slope_mk_per_hour
            ),
            &[],
        ),
        step(
            "Take the thermometer out upright, dry it; no alcohol may be left on it or in a well before either is heated.",
            &[cautions::ALCOHOL, cautions::HOT],
        ),
        match kind.is_small() {
            true => step(
                "Let the cell thaw completely, upright, at room temperature.",
                &[cautions::CELL],
            ),
            false => step(
                "Leave the cell upright in its bath or in ice and look at it daily: no ice may bridge its surface.",
                &[cautions::CELL],
            ),
        },
    ]);
    steps
}

fn small_cell(kind: CellKind, rules: &SessionSettings) -> Vec<Step> {
    let freeze = match kind {
        CellKind::SmallFrozen => {
            "Freeze the mantle as its maker says; return the block to 0.01 °C at once."
        }
        _ => {
            "Start the freeze by shaking the cell briskly once; note how and when it nucleated; return the block to 0.01 °C at once."
        }
    };
    vec![
        step(
            "Dry the wells of the block: no ethanol may be left in a well that has been or will be hot.",
            &[cautions::ALCOHOL, cautions::HOT],
        ),
        step(
            "Cool the cell in the block to about −5.5 °C and note the lowest temperature. Do not leave it supercooled: it may freeze \
             by itself, solid, and burst.",
            &[cautions::CELL],
        ),
        step(freeze, &[cautions::CELL]),
        step(
            format!(
                "Pre-cool each thermometer (about 2 °C for 5 min); no more than {} that were not pre-cooled on one plateau.",
                rules.thermometers
            ),
            &[],
        ),
        step(
            format!(
                "Put it in, note its depth, wait {} min. The plateau serves for {} h.",
                rules.wait_minutes, rules.plateau_hours
            ),
            &[],
        ),
    ]
}

fn large_cell(kind: CellKind, rules: &SessionSettings) -> Vec<Step> {
    let mut steps = Vec::new();
    if kind == CellKind::NotStated {
        steps.push(step(
            "Note the kind of cell (small slush, small frozen, large mantle): the rules below are those of a large one.",
            &[],
        ));
    }
    steps.extend([
        step(
            "Make the mantle with a coolant in the dry well, never to the wall; never leave it while it grows.",
            &[cautions::CELL, cautions::COOLANT, cautions::ALCOHOL],
        ),
        step(
            format!("Let the mantle age for {} h; fresh ice reads low.", rules.mantle_hours),
            &[],
        ),
        step(
            "Free the mantle with a rod at room temperature: it turns when the cell is given a twist. Melt off any bridge of ice at \
             the surface.",
            &[cautions::CELL],
        ),
        step(
            format!(
                "Pre-cool the thermometer in ice water, put it in gently, shield the well from light, note its depth, wait {} min.",
                rules.wait_minutes
            ),
            &[cautions::FRAGILE],
        ),
    ]);
    steps
}

fn outcomes(facts: Option<&ThermometerFacts>, limits: &AdviceSettings) -> Vec<(String, String)> {
    let maximum = facts.and_then(|f| f.maximum_c);
    let then = match (maximum.and_then(plan), maximum) {
        (Some(plan), _) => format!(
            "repeat on another day; if it stays and R rose, {}",
            plan.words()
        ),
        (None, Some(rated)) => format!(
            "repeat on another day; if it stays, withdraw: rated to {rated} °C it may not be annealed"
        ),
        (None, None) => "repeat on another day; state maximum_c before it is annealed".into(),
    };
    let line = |found: String, leads_to: &str| (found, leads_to.to_string());
    vec![
        line(
            "within U of the value in use".into(),
            "keep the value in use",
        ),
        line(
            format!("beyond U, within {} mK, as expected", limits.adopt_mk),
            "adopt the new value",
        ),
        line(
            format!("beyond U, within {} mK, not as expected", limits.adopt_mk),
            "repeat on another day",
        ),
        (
            format!(
                "beyond {} mK, up to {} mK",
                limits.adopt_mk, limits.withdraw_mk
            ),
            then,
        ),
        line(
            format!("beyond {} mK", limits.withdraw_mk),
            "repeat on another day; if it stays, withdraw and recalibrate",
        ),
        line(
            "all thermometers of the session moved alike".into(),
            "the cell, the resistor or the bridge is in doubt: repeat with another one",
        ),
        line(
            "noisy, not flat, or the return to the first current fails".into(),
            "repeat; decide nothing",
        ),
    ]
}
