/*! What an item has lived through: growth after a signature rests on the interval that was signed.

An approved interval takes effect on paper at once, and shows what it is worth only where the item has been in use for it. A
check days after the signature says nothing of it: were another step proposed then, two signatures and one check
would grow an interval fourfold. So an interval that a person put in force grows to no more than the largest
factor times what the item has lived through in tolerance.
*/

use super::held_interval::{broken, held_days};
use super::rule::Rule;
use super::rules::{Case, Draft};
use crate::intervals::Evidence;
use crate::records::Outcome;
use crate::words::days;

impl Case<'_> {
    /// No growth of a signed interval beyond what the item has shown of it.
    pub(crate) fn beyond_lived(&self, draft: &mut Draft) {
        let evidence = self.evidence;
        let signed = evidence.history.item.signed.as_deref();
        if signed.is_none_or(|signed| signed.in_force.is_none()) {
            return;
        }
        let (current, lived) = (evidence.current_interval, lived_days(evidence));
        let factor = self.rules.largest_extension;
        if lived.is_nan() || lived >= current || factor.is_infinite() {
            return;
        }
        let grown = lived * factor;
        let worth_it = grown >= current * (1.0 + self.rules.settings.smallest_change);
        let most = if worth_it { grown } else { current };
        draft.limit(most, || {
            Rule::new(
                format!(
                    "of the {} in force the item has lived through {} in tolerance",
                    days(current),
                    days(lived)
                ),
                &format!(
                    ", and an interval grows at most {factor} times at once: {}",
                    days(most)
                ),
            )
        });
    }
}

/// The longest interval that it has held, the time from the last calibration to the newest good check in service included.
fn lived_days(evidence: &Evidence<'_>) -> f64 {
    let (history, from) = (&evidence.history, evidence.last_calibration);
    let since = |row: &usize| history.date[*row] > from;
    let rows = (0..history.len()).filter(since);
    let whole = rows.take_while(|row| !broken(evidence, *row));
    let good = whole.filter(|row| evidence.outcome(*row) == Outcome::In);
    let in_service = good.last().map_or(0.0, |row| history.date[row] - from);
    held_days(evidence).max(in_service)
}
