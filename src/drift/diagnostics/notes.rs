/*! What a metrologist should hear about a fit: one sentence each, with numbers and units. */

use super::change::Changes;
use super::tests::{AnnualTest, Diagnostics};
use super::trend::DurbinWatson;
use crate::drift::figures::figure;
use crate::drift::figures::month;
use crate::drift::figures::spaced;
use crate::drift::fit::{Curve, Fit};
use crate::drift::regression::doubt::worth;
use crate::drift::series::readings::Reading;
use crate::drift::status::Status;
use crate::drift::suspect::Suspect;
use crate::records::History;
use crate::stats::p_value;

/// A finding is told where chance would make it once in a hundred histories.
/// Common practice, no source.
pub(crate) const TOLD_BELOW: f64 = 0.01;

/// Scatter beyond u that is not significant is still told below this.
const DOUBT_BELOW: f64 = 0.25;

/// To one decimal, whole numbers without any.
fn tenths(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

/// Adds the sentences that the data support to `fit.notes`.
pub(crate) fn add(fit: &mut Fit, readings: &[Reading], history: &History<'_>, found: &Diagnostics) {
    let writer = NoteWriter {
        readings,
        history,
        unit: spaced(&history.item.unit),
    };
    let mut notes = Vec::new();
    writer.stated_u(fit, &mut notes);
    if !matches!(fit.curve(), Curve::Follows) {
        writer.scatter(fit, found, &mut notes);
        writer.worth(fit, found, &mut notes);
    }
    writer.missing(fit, &mut notes);
    let curve = !matches!(fit.curve(), Curve::Follows);
    let stepped = found.changes.as_ref().filter(|c| c.p < TOLD_BELOW);
    let alike = found.neighbours.filter(|test| curve && test.p < TOLD_BELOW);
    let wanders = alike.is_some_and(|test| test.d < 2.0);
    if let Some(changes) = stepped {
        writer.steps(changes, wanders, &mut notes);
    }
    let sentence = |suspect: &Suspect| suspect.sentence(history, readings.len());
    notes.extend(fit.suspects.iter().map(sentence));
    let annual = found.annual.filter(|s| s.p < TOLD_BELOW);
    notes.extend(annual.map(|s| writer.annual(&s, wanders)));
    notes.extend(alike.map(|test| neighbours(&test, found)));
    if curve {
        let odd = found.normality.filter(|test| test.p < TOLD_BELOW);
        if let Some(test) = odd.filter(|_| found.outliers.is_empty()) {
            notes.push(format!(
                "the readings do not scatter normally{} (Shapiro–Wilk W = {:.3}, {}); the level of \
                 the bands is approximate",
                between_steps(found),
                test.w,
                p_value(test.p),
            ));
        }
    }
    fit.notes.append(&mut notes);
}

struct NoteWriter<'a> {
    readings: &'a [Reading],
    history: &'a History<'a>,
    /// Unit after a number: a space and the unit, or nothing.
    unit: String,
}

impl NoteWriter<'_> {
    fn date(&self, index: usize) -> String {
        let days = self.history.date[self.readings[index].check as usize];
        chrono::DateTime::from_timestamp((days * 86_400.0) as i64, 0)
            .map_or_else(|| figure(days), |date| date.format("%Y-%m-%d").to_string())
    }

    fn stated_u(&self, fit: &Fit, notes: &mut Vec<String>) {
        let usable = |r: &&Reading| r.u.is_finite() && r.u > 0.0;
        let (stated, n) = (
            self.readings.iter().filter(usable).count(),
            self.readings.len(),
        );
        if stated > 0 && stated < n {
            notes.push(format!(
                "u is stated for {stated} of {n} readings; all weigh alike and their scatter comes \
                 from the residuals"
            ));
        }
        if stated < n && fit.degrees_of_freedom == 1.0 && fit.status == Status::Estimated {
            notes.push(
                "without a stated u the scatter rests on one degree of freedom, so the bands are \
                 several times wider than with u known"
                    .into(),
            );
        }
    }

    fn scatter(&self, fit: &Fit, found: &Diagnostics, notes: &mut Vec<String>) {
        let freedom = f64::from(fit.readings) - fit.coefficients.len() as f64;
        let widened = fit.degrees_of_freedom.is_finite();
        let Some(p) = found.consistency.filter(|p| *p < DOUBT_BELOW || widened) else {
            return;
        };
        let measure = format!(
            "χ² = {} for {freedom} degrees of freedom, {}",
            figure(fit.chi_squared),
            p_value(p)
        );
        let excess = format!("{}{}", figure(fit.excess_u), self.unit);
        notes.push(match (fit.excess_u > 0.0, widened) {
            (true, _) => format!(
                "the readings scatter more than their u explains ({measure}); an excess of {excess} is added to each"
            ),
            (false, true) => format!(
                "the readings scatter somewhat more than their u explains ({measure}), which may be chance; to be safe the bands are wider than their u alone would make them ({} degrees of freedom)",
                tenths(fit.degrees_of_freedom)
            ),
            _ => format!(
                "the readings scatter somewhat more than their u explains ({measure}), which may be \
                 chance; if it is not, the bands are too narrow by a factor of {}",
                figure((fit.chi_squared / freedom).sqrt()),
            ),
        });
    }

    /// Too few readings to see an excess: what the bands are worth.
    fn worth(&self, fit: &Fit, found: &Diagnostics, notes: &mut Vec<String>) {
        let freedom = f64::from(fit.readings) - fit.coefficients.len() as f64;
        let known = found.consistency.is_some() && fit.status == Status::Estimated;
        let Some([right, once, twice]) = worth(freedom).filter(|_| known) else {
            return;
        };
        notes.push(format!(
            "{} readings can hardly show scatter beyond their u: a 95 % band covers about {right} % \
             where u is right, but {once} % where the excess is as large as u and {twice} % where it is twice as large",
            fit.readings
        ));
    }

    fn missing(&self, fit: &Fit, notes: &mut Vec<String>) {
        if fit.status != Status::LevelOnly || !fit.notes.is_empty() {
            return;
        }
        let Some(last) = self.readings.last() else {
            return;
        };
        let current = |r: &&Reading| r.drift_segment == last.drift_segment;
        let own = self.readings.iter().filter(current).count();
        notes.push(match own {
            1 if self.readings.len() > 1 => {
                "one reading since the drift started anew; a second, with u, gives a drift".into()
            }
            1 => format!(
                "one reading ({}{}); a second, with u, gives a drift",
                figure(last.value),
                self.unit
            ),
            2 => "two readings without u fit any line exactly; a third, or u, gives a drift with \
                  its uncertainty"
                .into(),
            _ => {
                "the readings of the current segment share one date; a drift needs two dates".into()
            }
        });
    }

    fn steps(&self, found: &Changes, wanders: bool, notes: &mut Vec<String>) {
        for (cut, step) in found.cuts.iter().zip(&found.steps) {
            notes.push(format!(
                "the value stepped by {}{} between {} and {} ({}); no event is recorded there{}",
                figure(*step),
                self.unit,
                self.date(cut - 1),
                self.date(*cut),
                p_value(found.p),
                doubt(wanders),
            ));
        }
    }

    fn annual(&self, annual: &AnnualTest, wanders: bool) -> String {
        format!(
            "the value swings by ±{}{} with the year, highest in {} ({}); model season allows for it{}",
            figure(annual.amplitude),
            self.unit,
            month(annual.peak),
            p_value(annual.p),
            doubt(wanders),
        )
    }
}

/// Steps and seasons are judged as if readings were unrelated.
fn doubt(wanders: bool) -> &'static str {
    if wanders {
        ", though wander can look the same"
    } else {
        ""
    }
}

/// Said of a test that was made after steps were taken out.
fn between_steps(found: &Diagnostics) -> &'static str {
    match found.steps_taken_out {
        0 => "",
        1 => " about the line with that step taken out",
        _ => " about the line with those steps taken out",
    }
}

fn neighbours(test: &DurbinWatson, found: &Diagnostics) -> String {
    let spacing = if test.evenly_spaced {
        "evenly"
    } else {
        "unevenly"
    };
    let measure = format!(
        "Durbin–Watson {}{} on {spacing} spaced dates, {}",
        figure(test.d),
        between_steps(found),
        p_value(test.p)
    );
    let line = if found.about_curve { "curve" } else { "line" };
    if test.d < 2.0 {
        format!(
            "successive readings lie on the same side of the {line} ({measure}): the item wanders, and \
             the {line}'s bands are too narrow far from the last checks; model wander allows for it"
        )
    } else {
        format!(
            "successive readings lie on alternating sides of the {line} ({measure}): look for two ways of reading"
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_and_chances_read_well() {
        assert_eq!(figure(0.041_26), "0.0413");
        assert_eq!(figure(-12.345), "-12.3");
        assert_eq!(figure(1234.5), "1234");
        assert_eq!(figure(1.5e-7), "1.50e-7");
    }
}
