/*! Records without limits: whether one tolerance holds for all. A laboratory with one sort of instrument writes it
nowhere beside its readings. */

use super::look::Form;
use super::person::Person;
use super::words::no_limits;
use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt, Typed};

/// True where a form tells errors, and neither limits nor outcomes.
pub(super) fn lacks_limits(form: &Form) -> bool {
    let errors = form.guess.reads(Column::AsFound) && !form.guess.by_content();
    errors && no_limits(&form.guess).is_some()
}

/// The tolerance that a person states for all, as it is written in the pipeline file, in the `unit` of the errors
/// where it is typed without; `None` where there is none, or nobody says.
pub(super) fn asked(unit: &str, person: &mut dyn Person) -> Option<String> {
    let words = "No limits are stated, and no interval can be decided without. Does one tolerance hold for all?";
    let doubt = Doubt {
        typed: Some(Typed::Tolerance),
        ..Doubt::new("tolerance", words).or("no, or it is stated later", Answer::AsTaken)
    };
    match person.ask(&doubt) {
        Some((Answer::Tolerance(tolerance), _)) => Some(match states_unit(&tolerance) {
            true => tolerance,
            false => format!("{tolerance} {unit}").trim_end().to_string(),
        }),
        _ => None,
    }
}

/// True where anything but its numbers and their signs stands in a tolerance.
fn states_unit(tolerance: &str) -> bool {
    tolerance.contains(|c: char| c.is_alphabetic() || "%°‰".contains(c))
}
