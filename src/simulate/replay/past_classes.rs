/*! What the classes lent on past days: each fitted again and again from what was known of its
members by then. */

use super::cut::known_by;
use super::settings::ReplaySettings;
use crate::drift::DriftSettings;
use crate::drift::class::classes::{Classes, class_parameters};
use crate::drift::class::members::group;
use crate::drift::class::parameters::ClassParameters;
use crate::records::Histories;
use rayon::prelude::*;

/// What one class lent from one day on until its next fit.
#[derive(Debug, Clone)]
struct Fitted {
    /// The checks up to and on this day were known; days since 1970-01-01.
    day: f64,
    /// What the members lend, in the order of the members. Members that are one class today
    /// may not have been one then.
    lent: Classes,
}

/// What every class lent on past days.
#[derive(Debug, Clone)]
pub(super) struct PastClasses {
    /// Class of each history.
    of: Vec<u32>,
    /// The place of each history among the members of its class.
    place: Vec<u32>,
    /// The fits of each class, oldest first.
    fits: Vec<Vec<Fitted>>,
}

impl PastClasses {
    /// Fits every class on each day that [`fit_days`] names.
    pub(crate) fn of(
        histories: &Histories,
        drift: &DriftSettings,
        settings: &ReplaySettings,
    ) -> Self {
        let (of, classes) = group(histories);
        let mut place = vec![0; histories.len()];
        for members in &classes {
            for (position, member) in members.iter().enumerate() {
                place[*member as usize] = position as u32;
            }
        }
        let fits = classes.par_iter().map(|members| {
            let mut own = Histories::default();
            for member in members {
                own.push(&histories.get(*member as usize));
            }
            let fitted = |day| Fitted {
                day,
                lent: class_parameters(&known_by(&own, day), drift),
            };
            fit_days(&own, settings).into_iter().map(fitted).collect()
        });
        Self {
            fits: fits.collect(),
            of,
            place,
        }
    }

    /// Class of each history.
    pub(crate) fn of_each(&self) -> &[u32] {
        &self.of
    }

    /// What the class of history `index` lent on `day`; `None` before its first check.
    pub(crate) fn on(&self, index: usize, day: f64) -> Option<&ClassParameters> {
        let fits = &self.fits[self.of[index] as usize];
        let last = fits.partition_point(|fitted| fitted.day <= day);
        let fitted = fits.get(last.checked_sub(1)?)?;
        Some(fitted.lent.of_history(self.place[index] as usize))
    }
}

/// Days on which something is learned anew from `histories`: that of the first check, then each on
/// which the known checks have grown by the set share or the set time has passed. A run learns
/// anew each time; a small class does so here too, and a large one lags by that share at most.
pub(super) fn fit_days(histories: &Histories, settings: &ReplaySettings) -> Vec<f64> {
    let mut dates = histories.columns.date.clone();
    dates.sort_by(f64::total_cmp);
    let mut days: Vec<f64> = Vec::new();
    let mut learned_from = 0;
    let mut known = 0;
    for same_day in dates.chunk_by(|first, second| first == second) {
        known += same_day.len();
        let day = same_day[0];
        let grown = known as f64 >= learned_from as f64 * (1.0 + settings.review_growth);
        let passed = days
            .last()
            .is_none_or(|last| day - last >= settings.review_days);
        if grown || passed {
            days.push(day);
            learned_from = known;
        }
    }
    days
}
