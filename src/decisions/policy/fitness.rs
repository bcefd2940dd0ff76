/*! Whether the item may be used as it is: what makes the action `withdraw`. */

use crate::intervals::{Evidence, Forecast};
use crate::records::{Outcome, Tolerance};
use crate::words::{date, figure, percent};

/// Below this probability the item is more likely out of tolerance than in.
const EVEN: f64 = 0.5;

/// Why the item must not be used as it is; `None` where nothing speaks against it.
pub(crate) fn unfit(evidence: &Evidence<'_>) -> Option<String> {
    let unit = &evidence.history.item.unit;
    if let Some((check, Outcome::Out)) = evidence.last_judged()
        && !evidence.restored(check)
    {
        let value = evidence.history.as_found[check];
        let found = if value.is_finite() {
            format!("{} as found", figure(value, unit))
        } else {
            "the item as found".into()
        };
        let range = evidence
            .history
            .tolerance_at(check)
            .map_or_else(String::new, |t| format!(" ({})", limits(t, unit)));
        return Some(format!(
            "{found} at the check of {} is out of tolerance{range} and nothing shows that it was restored",
            date(evidence.history.date[check])
        ));
    }
    let forecast = Forecast::unused(evidence).ok()?;
    let probability = forecast.probability_in(forecast.elapsed())?;
    (probability < EVEN).then(|| {
        let stated = match evidence.level_in_doubt {
            true => String::new(),
            false => format!(" (probability in tolerance {})", percent(probability)),
        };
        let day = date(evidence.as_of);
        format!("on {day} the true error is more likely outside tolerance than inside{stated}")
    })
}

/// "−1 to 1 mK", "at most 1 mK", "at least −1 mK".
fn limits(tolerance: Tolerance, unit: &str) -> String {
    let (lower, upper) = (tolerance.lower(), tolerance.upper());
    match (lower.is_finite(), upper.is_finite()) {
        (true, true) => format!("{} to {}", figure(lower, ""), figure(upper, unit)),
        (true, false) => format!("at least {}", figure(lower, unit)),
        _ => format!("at most {}", figure(upper, unit)),
    }
}
