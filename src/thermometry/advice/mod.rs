/*! Advice after a check at the triple point of water: keep, adopt, anneal, repeat, withdraw.

The rules are asked in a fixed order; the first that answers decides, and every one says
where it comes from. Advice is for the person authorised to act on it.
*/

mod anneal;
mod change_rules;
mod kind;
mod rules;
mod settings;

pub(crate) use anneal::plan;
pub(crate) use kind::{Advice, AdviceInput, AdviceKind, Expected, Total};
pub(crate) use rules::{advise, after_rejection};
pub(crate) use settings::AdviceSettings;
