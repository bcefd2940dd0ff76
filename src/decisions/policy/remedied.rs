/*! What a remedy is: an error adjusted away, or the value that the item has adopted. */

use crate::records::{Event, History};
use serde::{Deserialize, Serialize};

/// What may be done about an error that is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum RemedyRule {
    /// By the record: an item that was adjusted is adjusted, one with values from certificates has a new one
    /// adopted, and of others both are named.
    #[default]
    Auto,
    /// The item can be adjusted.
    Adjust,
    /// Its value is used, and a new one can be adopted.
    Adopt,
    /// Neither is proposed.
    None,
}

crate::words::worded! {
    /// What is proposed.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
    pub enum What with word and then {
        /// Bring the error to nought.
        Adjust = "adjust", "interval once it is adjusted";
        /// Take the value it has as its value.
        Adopt = "adopt", "interval once its present value is adopted";
        /// One of the two; the record does not tell which can be done.
        Either = "either", "interval once it is adjusted, or its present value adopted";
    }
}

impl What {
    /// By the rule, else by what the record holds; `None` where nothing is to be proposed.
    pub(crate) fn of(rule: RemedyRule, history: &History<'_>) -> Option<Self> {
        let adjusted = (0..history.len()).any(|row| history.happened(row) == Event::Adjusted);
        match rule {
            RemedyRule::None => None,
            RemedyRule::Adjust => Some(What::Adjust),
            RemedyRule::Adopt => Some(What::Adopt),
            RemedyRule::Auto if adjusted => Some(What::Adjust),
            RemedyRule::Auto if history.item.assigned => Some(What::Adopt),
            RemedyRule::Auto => Some(What::Either),
        }
    }

    /// "adjusting away the error of 3 mK": how a sentence names it.
    pub(crate) fn doing(self, error: &str) -> String {
        match self {
            What::Adjust => format!("adjusting away the error of {error}"),
            What::Adopt => {
                format!("adopting the value it has (an error of {error} from the one in use)")
            }
            What::Either => {
                format!("adjusting away the error of {error}, or adopting the value it has,")
            }
        }
    }
}

/// A remedy and the interval that follows it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Remedy {
    /// What is proposed.
    pub what: What,
    /// Error expected on the as-of date, history's unit: what is adjusted away or adopted.
    pub error: f64,
    /// Interval from the as-of date on that the same rules then give, days.
    pub interval_days: f64,
}
