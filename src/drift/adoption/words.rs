/*! What the comparison of a new value says, in words. */

use super::compare::{Adoption, Carry, Difference};
use crate::drift::figures::figure;
use crate::stats::p_value;
use crate::words::resolved;

impl Adoption {
    /// One sentence with the numbers.
    pub(crate) fn reason(&self) -> String {
        const TOO_LARGE: &str = "too large to compute with";
        let by = |d: &Difference| {
            if !(d.difference.is_finite() && d.u.is_finite()) {
                return format!(" ({TOO_LARGE})");
            }
            let (difference, u) = (resolved(d.difference, d.u), figure(d.u));
            format!(" (by {difference}, u = {u}, {})", p_value(d.p))
        };
        let carried = match self.value {
            None => String::new(),
            Some(value) if value.u.is_finite() => format!(
                " {} with u = {}",
                resolved(value.value, value.u),
                figure(value.u)
            ),
            Some(_) => format!(" one {TOO_LARGE}"),
        };
        let predicted = self.foretold().map_or_else(String::new, by);
        format!(
            "the new value {}{}; {}{predicted}; {}{carried}",
            self.about_assigned(),
            by(&self.from_assigned),
            self.about_predicted(),
            self.about_carry(),
        )
    }

    /// The same without the numbers, for a table that has them in columns of their own.
    pub(crate) fn verdict(&self) -> String {
        let carry = self.about_carry().trim_end_matches(':');
        let parts = [self.about_assigned(), self.about_predicted(), carry];
        format!("the new value {}", parts.join("; "))
    }

    fn about_assigned(&self) -> &'static str {
        match self.from_assigned.significant {
            true => "differs from the assigned one",
            false => "does not differ from the assigned one",
        }
    }

    /// The difference from the prediction, where the earlier checks predict anything.
    fn foretold(&self) -> Option<&Difference> {
        self.from_predicted.as_ref().filter(|d| d.u.is_finite())
    }

    fn about_predicted(&self) -> &'static str {
        match self.foretold().map(|d| d.significant) {
            Some(true) => "it differs from the prediction",
            Some(false) => "it does not differ from the prediction",
            None => "the earlier checks predict nothing",
        }
    }

    fn about_carry(&self) -> &'static str {
        match self.carry {
            Carry::Assigned => "the assigned value stands:",
            Carry::Predicted => "carry the predicted value by date, the new one included:",
            Carry::Unconfirmed => "carry no value before a repeated measurement has confirmed it",
        }
    }
}
