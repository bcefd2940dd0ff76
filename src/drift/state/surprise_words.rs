/*! Surprises in words: steps, breaks of the drift and outlying readings of one history.

The filter judges a reading by those before it; the sentence can wait for the next one.
A reading is called outlying where the next returns to what was expected before it.
*/

use super::surprise::takes_back;
use crate::drift::figures::spaced;
use crate::drift::series::readings::{Axis, Reading};
use crate::drift::state::innovation::Innovation;
use crate::records::{History, date};
use crate::words::resolved;

/// Belief in a surprise from which it is said.
const SAID: f64 = 0.5;

/// How the readings of a history are named: their unit and axis.
pub(crate) struct Place<'a> {
    unit: &'a str,
    axis: Axis,
}

impl<'a> Place<'a> {
    pub(crate) fn of(history: &History<'a>, axis: Axis) -> Self {
        Self {
            unit: &history.item.unit,
            axis,
        }
    }

    fn name(&self, x: f64) -> String {
        match self.axis {
            Axis::Time => date::iso_day_of_years(x),
            Axis::Usage => format!("use {x}"),
        }
    }
}

/// One surprising reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Surprise {
    /// Row of the history.
    pub row: u32,
    /// True where it is taken for a step of the level.
    pub step: bool,
    /// The sentence.
    pub words: String,
}

/// One sentence for each surprise among the readings; `innovations` goes with them.
pub(crate) fn surprises_in_words(
    readings: &[Reading],
    innovations: &[Option<Innovation>],
    place: &Place<'_>,
) -> Vec<Surprise> {
    let mut surprises = Vec::new();
    let mut returned = usize::MAX;
    for (i, innovation) in innovations.iter().enumerate() {
        let told_of = |found: &Innovation| {
            found.meaning.surprise() > SAID && (found.value * found.variance).is_finite()
        };
        let Some(innovation) = innovation.filter(told_of) else {
            continue;
        };
        if i == returned {
            continue;
        }
        let outlying = returns(readings, i, innovation.value);
        if outlying == Some(true) {
            returned = i + 1;
        }
        surprises.push(surprise(
            &innovation,
            outlying,
            &readings[i - 1],
            &readings[i],
            place,
        ));
    }
    surprises
}

/// True where the reading after `i` takes it back; `None` where there is none in the same
/// segment.
fn returns(readings: &[Reading], i: usize, off: f64) -> Option<bool> {
    let (here, next) = (&readings[i], readings.get(i + 1)?);
    let same = next.segment == here.segment;
    same.then(|| takes_back(next.value, here.value - off, off))
}

fn surprise(
    innovation: &Innovation,
    outlying: Option<bool>,
    before: &Reading,
    after: &Reading,
    place: &Place<'_>,
) -> Surprise {
    let size = resolved(innovation.value.abs(), innovation.variance.sqrt());
    let unit = spaced(place.unit);
    let (from, to) = (place.name(before.x), place.name(after.x));
    let meaning = &innovation.meaning;
    let level_or_drift = meaning.step + meaning.broken;
    let (step, words) = match outlying {
        Some(true) => (
            false,
            format!(
                "the reading of {to} lies {size}{unit} from what was expected and the next one does not confirm it; it counts little"
            ),
        ),
        None if meaning.outlying > level_or_drift => (
            false,
            format!(
                "the reading of {to} lies {size}{unit} from what was expected; the next one will show whether the value stepped"
            ),
        ),
        _ if meaning.broken > meaning.step => (
            false,
            format!(
                "the drift changed between {from} and {to} (the value is {size}{unit} from what was expected); no event is recorded there"
            ),
        ),
        _ => (
            true,
            format!(
                "the value stepped by {size}{unit} between {from} and {to}; no event is recorded there"
            ),
        ),
    };
    Surprise {
        row: after.check,
        step,
        words,
    }
}
