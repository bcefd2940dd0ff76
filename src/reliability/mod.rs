/*! Reliability from in/out outcomes: what a group's checks say about its interval.

```text
histories ─► outcomes ─► likelihood ─► fit (each life model) ─► compare ─┐
                 │                        └─► profile limits             ├─► group
                 ├─► R(t) without a model, by lives (the picture)        │
                 └─► exact bounds (where no model can be fitted) ────────┘
```

Rates of failure by kind, site or age, and the items that go out of tolerance far
more or far less often than their group, stand beside: counts of failures over years at
risk ─► rates, standouts.
*/

mod bins;
mod bounds;
mod compare;
mod exposure;
mod fit;
mod group;
mod interval;
mod likelihood;
pub(crate) mod models;
mod monotone;
mod optimum;
mod outcomes;
mod profile;
mod rates;
mod rates_fit;
mod result;
mod sentences;
mod standouts;
mod target;
mod turnbull;
mod why_not;

#[cfg(test)]
mod reference;

pub(crate) use bins::Bin;
pub(crate) use exposure::{RATE_FACTORS, item_counts, rate_cells};
pub(crate) use fit::fit;
pub(crate) use group::{group_key, group_reliability_by};
pub(crate) use models::LifeModelName;
pub(crate) use monotone::Step;
pub(crate) use outcomes::Renewal;
pub(crate) use rates::{LevelRate, fit_rates, level_rates};
pub(crate) use result::{GroupInterval, GroupReliability};
pub(crate) use standouts::standouts;
pub(crate) use target::TargetKind;

crate::settings! {
    /// Reliability of a group from in/out outcomes.
    pub struct ReliabilitySettings in "reliability" {
        /// What restores an item: renew_always, renew_if_failed or renew_as_needed.
        renewal: Renewal = Renewal::default(),
        /// What the target speaks about: end_of_period or average_over_period.
        target_kind: TargetKind = TargetKind::default(),
        /// Confidence level of limits and bounds.
        level: f64 = 0.95 => PROBABILITY,
        /// Life models that may be fitted.
        models: Vec<LifeModelName> = LifeModelName::ALL.to_vec() => SomeOf(LifeModelName::ALL),
        /// Most classes of times on the chart.
        bins: u32 = 8 => at_least(1.0).at_most(100.0),
        /// False-discovery rate of the list of items often or seldom out.
        false_discovery_rate: f64 = 0.05 => at_least(0.0).at_most(1.0),
        /// Points of the R(t) curve.
        curve_points: u32 = 25 => at_least(2.0).at_most(1000.0),
    }
}
