/*! An instrument is one thing: its points fall due together, and one that is out withdraws it.

Beside the decision of each history stands one of the instrument: the worst action of its
points, the earliest due date, and the probability that all points are in tolerance on that
date, with what it takes their dependence to be ([`Joint`]).
*/

mod changes;
mod joint;

pub(crate) use joint::{Dependence, Joint};

use super::policy::{Action, ApprovalState, Decision};
use super::stage::DecisionStage;
use crate::drift::{Course, Prediction};
use crate::records::{Item, Tolerance};
use crate::words::{capitalised, count, date};
use changes::correlation;
use joint::Point;
use rayon::prelude::*;
use std::borrow::Cow;
use std::ops::Range;

/// One instrument with all its points. Days since 1970-01-01, NaN where none.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Instrument<'a> {
    /// Histories of its points.
    pub points: Range<usize>,
    /// Worst action of its points.
    pub action: Action,
    /// Earliest due date of its points.
    pub due_date: f64,
    /// Earliest due date by the intervals in force.
    pub in_force_due: f64,
    /// Earliest date to act on: that in force, or an earlier one in the levelled workload.
    pub act_on: f64,
    /// True where a proposal for a point waits for a person.
    pub pending: bool,
    /// Probability that all points are in tolerance on the due date.
    pub joint: Joint,
    /// One sentence; of an instrument with one point that of its decision.
    pub headline: Cow<'a, str>,
    /// Why its worst point is decided so; empty where the headline says it.
    pub because: Cow<'a, str>,
}

impl Instrument<'_> {
    /// The earliest due date with a proposal that waits; none where the date in force stands either way, as it does
    /// where another point is due first.
    pub(crate) fn proposed_due(&self) -> Option<f64> {
        let differs = self.due_date.is_finite() && self.due_date != self.act_on;
        (self.pending && differs).then_some(self.due_date)
    }

    /// The headline and what it rests on.
    pub(crate) fn reason(&self) -> String {
        match self.because.is_empty() {
            true => self.headline.to_string(),
            false => format!("{} {}", self.headline, self.because),
        }
    }
}

/// Every instrument of the stage with the decisions of its points, in the histories' order.
pub(crate) fn instruments<'a>(
    stage: &'a DecisionStage<'_>,
    decisions: &'a [Decision],
) -> Vec<Instrument<'a>> {
    let items = &stage.histories.items;
    let mut ranges = Vec::new();
    let mut start = 0;
    for own in items.chunk_by(|a, b| a.instrument == b.instrument) {
        ranges.push(start..start + own.len());
        start += own.len();
    }
    ranges
        .into_par_iter()
        .map(|points| instrument(stage, decisions, points))
        .collect()
}

/// The instrument of history `index` among `all`.
pub(crate) fn of_history<'i, 'a>(
    all: &'i [Instrument<'a>],
    index: usize,
) -> Option<&'i Instrument<'a>> {
    let place = all.partition_point(|instrument| instrument.points.end <= index);
    all.get(place)
}

fn instrument<'a>(
    stage: &DecisionStage<'_>,
    decisions: &'a [Decision],
    points: Range<usize>,
) -> Instrument<'a> {
    let of = &decisions[points.clone()];
    let earliest = |day: &dyn Fn(&Decision) -> f64| of.iter().map(day).fold(f64::NAN, f64::min);
    let action = of.iter().map(|decision| decision.action).min();
    let action = action.unwrap_or(Action::Review);
    // One point withdraws the instrument: no date of another is one until which it may be used.
    let withdrawn = action == Action::Withdraw;
    let date = |day: &dyn Fn(&Decision) -> f64, otherwise: f64| match withdrawn {
        true => otherwise,
        false => earliest(day),
    };
    let due_date = date(&|decision| decision.due_date, stage.as_of);
    let joint = match of {
        [only] => Joint::of_one(only.probability_in_tolerance),
        _ if of.iter().any(|decision| decision.level_in_doubt) => Joint::unknown(),
        // Nothing is due of what is retired or lost, so that no day is forecast.
        _ if due_date.is_nan() => Joint::unknown(),
        _ => joint_on(stage, points.clone(), due_date),
    };
    let (headline, because) = match of {
        [only] => (Cow::Borrowed(only.reason.as_str()), Cow::Borrowed("")),
        _ => {
            let items = &stage.histories.items[points.clone()];
            let (headline, because) = headline_and_reason(items, of, (action, due_date), &joint);
            (Cow::Owned(headline), Cow::Owned(because))
        }
    };
    Instrument {
        action,
        due_date,
        in_force_due: date(&|decision| decision.in_force_due, f64::NAN),
        act_on: date(&Decision::act_on, stage.as_of),
        pending: !withdrawn
            && of
                .iter()
                .any(|decision| decision.approval == ApprovalState::Pending),
        joint,
        headline,
        because,
        points,
    }
}

/// All points in tolerance on `day`, each by its own forecast.
fn joint_on(stage: &DecisionStage<'_>, points: Range<usize>, day: f64) -> Joint {
    let forecast = |index: usize| {
        let history = stage.histories.get(index);
        let tolerance = history.item.tolerance?;
        let course = Course::of(&stage.fits.fits[index], &history, stage.drift.axis).ok()?;
        let p = course.known_on(day)?;
        let upwards = tolerance.upper() - p.expected < p.expected - tolerance.lower();
        let near = match upwards {
            true => Tolerance::new(f64::NEG_INFINITY, tolerance.upper()),
            false => Tolerance::new(tolerance.lower(), f64::INFINITY),
        };
        let without_step = Prediction { no_step: 1.0, ..p };
        Some(Point {
            probability: p.probability_in(tolerance),
            near: without_step.probability_in(near?),
            upwards,
        })
    };
    let known: Option<Vec<Point>> = points.clone().map(forecast).collect();
    let Some(known) = known else {
        return Joint::unknown();
    };
    let start = points.start;
    Joint::of_many(&known, |a, b| {
        let of = |place: usize| stage.histories.get(start + place);
        correlation(&of(a), &of(b))
    })
}

/// What is decided of the whole, by which point, and how likely all points are in tolerance;
/// then the reason of the worst point.
fn headline_and_reason(
    items: &[Item],
    of: &[Decision],
    (action, due_date): (Action, f64),
    joint: &Joint,
) -> (String, String) {
    let name = |place: usize| items[place].point_name();
    let worst: Vec<usize> = (0..of.len()).filter(|i| of[*i].action == action).collect();
    let names: Vec<&str> = worst.iter().map(|i| name(*i)).collect();
    let all = count(of.len(), "point");
    let lead = match action {
        Action::Withdraw => format!(
            "Withdraw the instrument: {} of its {all} must not be used ({}); whether it may serve at the others alone a person decides",
            worst.len(),
            names.join(", ")
        ),
        Action::NotDecided => format!("Not decided at any of its {all}"),
        _ if worst.len() == of.len() => {
            format!("{} at each of its {all}", capitalised(action.word()))
        }
        _ => format!(
            "{} by {} of its {all} ({})",
            capitalised(action.word()),
            worst.len(),
            names.join(", ")
        ),
    };
    // What must not be used has no day to be due on.
    let in_use = |i: &usize| of[*i].due_date == due_date && of[*i].action != Action::Withdraw;
    let first = (0..of.len()).find(in_use);
    let due = match first {
        Some(place) => format!("; {} is due first, on {}", name(place), date(due_date)),
        None => String::new(),
    };
    let together = joint.words(of.len(), first.map_or(f64::NAN, |_| due_date));
    let soonest = worst
        .iter()
        .min_by(|a, b| of[**a].due_date.total_cmp(&of[**b].due_date));
    let because = soonest.map_or(String::new(), |place| {
        format!("{}: {}", name(*place), of[*place].reason)
    });
    match action {
        Action::NotDecided => (format!("{lead}."), because),
        _ => (format!("{lead}{due}; {together}."), because),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::testing::*;

    fn decisions() -> [Decision; 3] {
        let of = |action, due_date| Decision {
            action,
            due_date,
            ..extending()
        };
        [
            of(Action::Extend, 20_900.0),
            of(Action::Withdraw, 22_000.0),
            of(Action::Keep, 20_500.0),
        ]
    }

    #[test]
    fn one_point_that_is_out_withdraws_the_whole() {
        let items: Vec<Item> = ["0 °C", "100 °C", ""]
            .map(|point| {
                let mut item = Record::new().item;
                item.point = point.into();
                item
            })
            .to_vec();
        let bound = Joint {
            probability: 0.9,
            dependence: Dependence::Bound,
        };
        let of = decisions();
        let (headline, because) =
            headline_and_reason(&items, &of, (Action::Withdraw, 20_500.0), &bound);
        assert_eq!(because, "100 °C: Extend.");
        assert!(
            headline.starts_with(
                "Withdraw the instrument: 1 of its 3 points must not be used (100 °C)"
            ),
            "{headline}"
        );
        says!(
            headline,
            "the point without a name is due first, on 2026-02-16",
            "at least 90 %"
        );
        let (headline, _) = headline_and_reason(&items, &of, (Action::Withdraw, 22_000.0), &bound);
        let words = "; all 3 points are in tolerance with probability at least 90 %";
        says!(headline, words);
        says_not!(headline, "due first");
    }

    /// "None at each of its 2 points; both points are in tolerance with probability at least more
    /// than 99.9 %" was said of what is retired, whose points are due on no day.
    #[test]
    fn of_what_is_not_decided_no_probability_is_said() {
        let items = [Record::new().item, Record::new().item];
        let of = [0, 1].map(|_| Decision {
            action: Action::NotDecided,
            due_date: f64::NAN,
            reason: "Not decided: the register has it as retired.".into(),
            ..extending()
        });
        let whole = (Action::NotDecided, f64::NAN);
        let (headline, _) = headline_and_reason(&items, &of, whole, &Joint::unknown());
        assert_eq!(headline, "Not decided at any of its 2 points.");
    }

    #[test]
    fn a_history_finds_its_instrument() {
        let make = |points: Range<usize>| Instrument {
            points,
            action: Action::Keep,
            due_date: 0.0,
            in_force_due: 0.0,
            act_on: 0.0,
            pending: false,
            joint: Joint::of_one(0.9),
            headline: Cow::Borrowed("Keep."),
            because: Cow::Borrowed(""),
        };
        let all = [make(0..2), make(2..3), make(3..6)];
        for (index, place) in [(0, 0), (1, 0), (2, 1), (3, 2), (5, 2)] {
            assert_eq!(of_history(&all, index), Some(&all[place]), "{index}");
        }
        assert_eq!(of_history(&all, 6), None);
        // A proposal for a point that is not due first moves no date of the whole.
        let waiting = |due_date| Instrument {
            pending: true,
            due_date,
            act_on: 100.0,
            ..make(0..2)
        };
        assert_eq!(waiting(300.0).proposed_due(), Some(300.0));
        assert_eq!(waiting(100.0).proposed_due(), None);
        assert_eq!(all[0].proposed_due(), None);
    }
}
