/*! The check standard of a session: in control, or what it shares with the others is in doubt. */

use super::result::SessionResult;
use super::settings::{OnViolation, SessionSettings};
use super::shared_rules::SessionGroup;
use super::together::Move;
use super::violation::Violation;
use crate::records::{self, Event};
use crate::words::{Short, count};
use std::collections::BTreeMap;

/// Coverage factor of the question whether a change is shown.
const COVERAGE: f64 = 2.0;

/// Accepted sessions of a check standard since it last started anew.
#[derive(Debug, Default)]
pub(super) struct Kept {
    /// R and its new standard uncertainty in mK.
    earlier: Vec<(f64, f64)>,
    /// Value in use at the last session, Ω.
    carried_ohm: Option<f64>,
}

/// By name of instrument and point.
pub(super) type StandardHistory = BTreeMap<(String, String), Kept>;

/// What the session says of its check standard.
enum Finding {
    InControl,
    /// It started anew: why, in words.
    Anew(String),
    /// It moved, in words.
    Moved(String),
}

/// The check standard of the session is in control, or all its checks are in doubt: those of the
/// standard alone where another thermometer, read beside it, stood still.
pub(super) fn check_standard(
    group: &mut SessionGroup<'_>,
    moves: &[Option<Move>],
    history: &mut StandardHistory,
    settings: &SessionSettings,
) {
    if !group.has_standard {
        let words =
            "no check standard in this session: cell, resistor and bridge are not confirmed";
        // The laboratory's own uncertainty stands as it is stated.
        let effect = match group.results.iter().all(|result| result.reduced.stated) {
            true => OnViolation::Note,
            false => settings.on_no_check_standard,
        };
        group.tell("no_check_standard", effect, words, settings);
        return;
    }
    let still: Vec<String> = stood_still(group, moves);
    for place in 0..group.results.len() {
        if !group.results[place].check_standard {
            continue;
        }
        let result = &group.results[place];
        let kept = history
            .entry((result.instrument.clone(), result.point.name()))
            .or_default();
        let finding = kept.judge(result, settings);
        let moved = matches!(finding, Finding::Moved(_));
        match finding {
            Finding::InControl => {}
            Finding::Anew(why) => {
                let note = Violation::new("check_standard", OnViolation::Note, why);
                group.results[place].add(note, settings);
            }
            Finding::Moved(words) if still.is_empty() => {
                let words =
                    format!("{words}: cell, resistor or bridge in doubt, repeat the session");
                group.tell(
                    "check_standard",
                    settings.on_check_standard,
                    &words,
                    settings,
                );
            }
            Finding::Moved(words) => name_the_standard(group, place, (&words, &still), settings),
        }
        kept.note(group.results[place], moved);
    }
}

/// Thermometers beside the standard that did what their own history let expect.
fn stood_still(group: &SessionGroup<'_>, moves: &[Option<Move>]) -> Vec<String> {
    let beside = group.results.iter().zip(moves);
    let still = beside.filter(|(r, m)| !r.check_standard && m.is_some_and(|m| !m.moved));
    still.map(|(r, _)| r.instrument.clone()).collect()
}

/// The others stood still: the standard moved, and the session has none that confirms it.
fn name_the_standard(
    group: &mut SessionGroup<'_>,
    place: usize,
    (words, still): (&str, &[String]),
    settings: &SessionSettings,
) {
    let words = format!(
        "{words}, while {} stood still: the check standard itself moved, not cell, resistor or bridge",
        still.join(", ")
    );
    for (other, result) in group.results.iter_mut().enumerate() {
        let effect = match other == place {
            true => OnViolation::Note,
            false => settings.on_no_check_standard,
        };
        result.add(
            Violation::new("check_standard", effect, words.as_str()),
            settings,
        );
    }
}

impl Kept {
    fn judge(&mut self, result: &SessionResult, settings: &SessionSettings) -> Finding {
        let happened = records::event(&result.event).filter(|e| *e != Event::None);
        let adopted = self
            .carried_ohm
            .is_some_and(|ohm| ohm != result.reference_ohm);
        let started = !self.earlier.is_empty();
        if happened.is_some() || adopted {
            self.earlier.clear();
        }
        let limit = |u_mk: f64| settings.check_standard_mk.max(COVERAGE * u_mk);
        if let Some(event) = happened {
            let why = format!(
                "check standard {} starts anew on {}: it was {}, so that this session is not confirmed by it",
                result.instrument,
                records::date::iso(result.date.floor()),
                event.word()
            );
            return Finding::Anew(why);
        }
        if self.earlier.is_empty() {
            let u_mk = result.u_mk().hypot(result.u_common_mk());
            let change = result.change_mk();
            if result.reference_in_use && change.abs() > limit(u_mk) {
                return Finding::Moved(format!(
                    "check standard {} lies {:+.2} mK from its value in use; limit {:.2} mK",
                    result.instrument,
                    Short(change),
                    limit(u_mk)
                ));
            }
            return match adopted && started {
                true => Finding::Anew(format!(
                    "check standard {} counts from its new value in use since {}",
                    result.instrument,
                    records::date::iso(result.date.floor())
                )),
                false => Finding::InControl,
            };
        }
        let many = self.earlier.len() as f64;
        let mean = self.earlier.iter().map(|(ohm, _)| ohm).sum::<f64>() / many;
        let square = self.earlier.iter().map(|(_, u)| u * u).sum::<f64>() / (many * many);
        let (moved, u_mk) = (
            result.change_from_mk(mean),
            result.u_mk().hypot(square.sqrt()),
        );
        if moved.abs() <= limit(u_mk) {
            return Finding::InControl;
        }
        Finding::Moved(format!(
            "check standard {} moved by {:+.2} mK from the mean of its {}; limit {:.2} mK",
            result.instrument,
            Short(moved),
            count(self.earlier.len(), "earlier session"),
            limit(u_mk)
        ))
    }

    /// An accepted session joins its history, unless it moved.
    fn note(&mut self, result: &SessionResult, moved: bool) {
        self.carried_ohm = Some(result.reference_ohm).filter(|ohm| ohm.is_finite());
        if result.is_accepted() && !moved {
            self.earlier
                .push((result.reduced.resistance_ohm, result.u_mk()));
        }
    }
}
