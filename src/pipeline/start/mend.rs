/*! What a trial reading refuses: mended where the numbers decide, a doubt where two readings fit. */

use super::examples::examples_of;
use super::kept::StandingForm;
use super::look::Form;
use super::open_cells;
use super::person::StartError;
use super::trial::Trial;
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::cells::number::power_of_ten::POWER_OF_TEN;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::headers::names_points;
use crate::records::screening::sums::SUMS_ARE;

impl Form {
    /// Mends what the numbers decide, and says so; makes a doubt of what they do not. True where
    /// the files can be read again at once.
    pub(super) fn mend(
        &mut self,
        why: &LoadError,
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
    ) -> Result<bool, StartError> {
        let stated = |form: &Form, key: &str| form.guess.to_state.get(key).is_some();
        let asks_limits = why.setting == "limits_are" && !stated(self, "limits_are");
        let both = asks_limits.then(|| self.limits_both_ways(trial, standing));
        let both = both.transpose()?;
        let values_alone = both.as_ref().is_some_and(|both| both.values_alone);
        let (mended, answer) = match why.setting {
            "nominal" if !self.guess.off.contains(&Column::Nominal) => (
                format!(
                    "nominal = false: {}. The nominal values are not subtracted.",
                    why.what
                ),
                Answer::Off(Column::Nominal),
            ),
            "correction" if !stated(self, "as_found_is") => (
                format!(
                    "as_found_is = \"correction\": {}. The sign is turned.",
                    why.what
                ),
                Answer::State("as_found_is", "\"correction\"".into()),
            ),
            "limits_are" if values_alone => (
                format!(
                    "limits_are = \"value\": {}; only so do readings lie within them.",
                    why.what
                ),
                Answer::State("limits_are", "\"value\"".into()),
            ),
            "point_from" if !stated(self, "point_from") => {
                let answer = self.all_that_name_points();
                let words = "Add the other columns that tell points apart.";
                (
                    format!("{}: {}. {words}", answer.stated(), why.what),
                    answer,
                )
            }
            _ => {
                let known = both.map(|both| both.examples).unwrap_or_default();
                let doubt = self.doubt_of((why, &known), trial, standing)?;
                let known = |other: &Doubt| other.name == doubt.name;
                if !self.guess.doubts.iter().any(known) {
                    let doubt = open_cells::of_column(doubt, &self.guess);
                    self.guess.doubts.push(doubt);
                }
                return Ok(false);
            }
        };
        self.guess.to_check.push(mended);
        self.guess.take(&answer);
        Ok(true)
    }

    /// Every column that may tell points apart: function and range do it together, whichever of them
    /// was taken. Which of them do is then no question any more.
    pub(super) fn all_that_name_points(&mut self) -> Answer {
        let others = self.guess.ignored.iter();
        let others: Vec<String> = others.filter(|h| names_points(h)).cloned().collect();
        let told = |doubt: &Doubt| {
            let quoted = |header: &String| format!("\"{header}\"");
            doubt.name == "points" && others.iter().any(|h| doubt.words.contains(&quoted(h)))
        };
        self.guess.doubts.retain(|doubt| !told(doubt));
        let plain = |column| self.guess.header(column).map(str::to_string);
        let nominal = plain(Column::Nominal).unwrap_or("nominal".into());
        let all = others.iter().cloned().chain(plain(Column::Point));
        let headers: Vec<String> = all.chain([nominal]).collect();
        Answer::Points(headers, self.guess.set_points.clone())
    }

    /// Why the files cannot be read, with the answers that would let them be, each with examples, of which some are
    /// `known` by the answer.
    fn doubt_of(
        &mut self,
        (why, known): (&LoadError, &[(String, Vec<String>)]),
        trial: &Trial<'_>,
        standing: Option<StandingForm<'_>>,
    ) -> Result<Doubt, StartError> {
        let key = why.setting;
        let Some(values) = meanings(key) else {
            let doubt = Doubt::new("reading", why.to_string()).of_form();
            return Ok(Doubt {
                marked: false,
                ..doubt
            });
        };
        let mut doubt =
            Doubt::new(key, format!("{}: {}. {}", why.place, why.what, why.mend)).settled_by(key);
        for (value, meaning) in values {
            let answer = Answer::State(key, value.to_string());
            let read_before = known.iter().find(|(stated, _)| stated == value);
            let examples = match read_before {
                Some((_, examples)) => examples.clone(),
                None => {
                    let mut other = self.clone();
                    other.guess.take(&answer);
                    examples_of(&other.read(trial, standing)?, &other.guess)
                }
            };
            let words = format!("{meaning} ({key} = {value}): {}", examples.join("; "));
            doubt = doubt.or(words, answer);
        }
        let either: Vec<&str> = values.iter().map(|(value, _)| *value).collect();
        self.guess.to_state.leave_open(key, &either);
        Ok(doubt)
    }
}

/// The values of a setting that an unread file leaves open, each with what it means.
fn meanings(setting: &str) -> Option<&'static [(&'static str, &'static str)]> {
    Some(match setting {
        "as_found_is" => &[("\"value\"", "values"), ("\"error\"", "errors")],
        "limits_are" => &[
            ("\"value\"", "limits of the value"),
            ("\"error\"", "limits of the error"),
        ],
        SUMS_ARE => &[
            ("\"aside\"", "such rows are no checks"),
            ("\"records\"", "they are checks"),
        ],
        POWER_OF_TEN => &[
            ("\"unit\"", "the unit is so many times larger"),
            ("\"numbers\"", "the numbers were multiplied by it"),
            ("\"none\"", "no power of what is measured"),
        ],
        "decimal_comma" => &[
            ("false", "the comma groups thousands"),
            ("true", "the comma separates decimals"),
        ],
        _ => return open_cells::answers(setting),
    })
}
