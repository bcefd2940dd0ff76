/*! The uncertainty budget: one row a component, combined after the GUM.

u² = Σ(c_i·u_i)², effective degrees of freedom after Welch and Satterthwaite
(JCGM 100:2008, G.4.1), coverage factor from Student's t (G.3).
*/

use crate::stats::quantile;
use serde::Serialize;

crate::words::worded! {
    /// Distribution behind a component's spread, which sets the divisor.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
    #[serde(rename_all = "lowercase")]
    pub enum Distribution with word {
        /// Standard uncertainty from repeated readings (type A): divisor 1.
        Observed = "readings",
        /// Standard uncertainty of a normal distribution: divisor 1.
        Normal = "normal",
        /// Half-width of equally likely values: divisor √3.
        Rectangular = "rectangular",
    }
}

impl Distribution {
    /// What the spread is divided by for a standard uncertainty.
    pub(crate) fn divisor(self) -> f64 {
        match self {
            Self::Observed | Self::Normal => 1.0,
            Self::Rectangular => 3f64.sqrt(),
        }
    }
}

/// Which other checks carry the same error of a component.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Shared {
    /// None: it is new with every check.
    No,
    /// Those in the same cell.
    Cell,
    /// Those with the same reference resistor.
    Resistor,
    /// Those with the same bridge or readout.
    Bridge,
    /// All of the same thermometer.
    Thermometer,
}

/// One component of the budget.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BudgetRow {
    /// Name of the component.
    pub component: String,
    /// Spread of the input as stated (standard uncertainty or half-width).
    pub spread: f64,
    /// Unit of the spread.
    pub unit: &'static str,
    /// Distribution of the input.
    pub distribution: Distribution,
    /// What divides the spread.
    pub divisor: f64,
    /// Ω per unit of the input, without sign.
    pub sensitivity: f64,
    /// |sensitivity|·spread/divisor, Ω.
    pub contribution_ohm: f64,
    /// Degrees of freedom; infinite where the spread is taken as exactly known.
    pub degrees_of_freedom: f64,
    /// Which other checks carry the same error.
    pub shared: Shared,
}

impl BudgetRow {
    /// Row with infinite degrees of freedom, not shared.
    pub(crate) fn new(
        component: impl Into<String>,
        (spread, unit): (f64, &'static str),
        distribution: Distribution,
        sensitivity: f64,
    ) -> Self {
        let divisor = distribution.divisor();
        Self {
            component: component.into(),
            spread,
            unit,
            distribution,
            divisor,
            sensitivity: sensitivity.abs(),
            contribution_ohm: (sensitivity * spread / divisor).abs(),
            degrees_of_freedom: f64::INFINITY,
            shared: Shared::No,
        }
    }

    /// The same row, shared by the checks that `shared` tells.
    pub(crate) fn shared(mut self, shared: Shared) -> Self {
        self.shared = shared;
        self
    }

    /// True where other checks carry the same error.
    pub(crate) fn is_shared(&self) -> bool {
        self.shared != Shared::No
    }

    /// The same row with these degrees of freedom.
    pub(crate) fn with_degrees_of_freedom(mut self, degrees_of_freedom: f64) -> Self {
        self.degrees_of_freedom = degrees_of_freedom;
        self
    }
}

/// All components of one value.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Budget {
    pub rows: Vec<BudgetRow>,
}

impl Budget {
    /// Adds a component.
    pub(crate) fn add(&mut self, row: BudgetRow) {
        self.rows.push(row);
    }

    /// Combined standard uncertainty, Ω.
    pub(crate) fn u_ohm(&self) -> f64 {
        self.combine(|_| true)
    }

    /// Part that is new with every check, Ω.
    pub(crate) fn u_random_ohm(&self) -> f64 {
        self.combine(|row| !row.is_shared())
    }

    /// Part that checks with the same cell and resistor share, Ω.
    pub(crate) fn u_common_ohm(&self) -> f64 {
        self.combine(BudgetRow::is_shared)
    }

    /// Effective degrees of freedom, Welch–Satterthwaite; infinite where no component limits them.
    pub(crate) fn effective_degrees_of_freedom(&self) -> f64 {
        let parts: f64 = self
            .rows
            .iter()
            .map(|row| row.contribution_ohm.powi(4) / row.degrees_of_freedom)
            .sum();
        if parts > 0.0 {
            self.u_ohm().powi(4) / parts
        } else {
            f64::INFINITY
        }
    }

    /// Coverage factor for a two-sided `level` (0.9545: 2 where nothing limits).
    pub(crate) fn coverage_factor(&self, level: f64) -> f64 {
        quantile(0.5 + 0.5 * level, self.effective_degrees_of_freedom())
    }

    /// Part that checks share in this way, Ω.
    pub(crate) fn u_shared_ohm(&self, shared: Shared) -> f64 {
        self.combine(|row| row.shared == shared)
    }

    fn combine(&self, keep: impl Fn(&BudgetRow) -> bool) -> f64 {
        // Sorted, so that the order of the components cannot show in the last digit.
        let mut squares: Vec<f64> = self
            .rows
            .iter()
            .filter(|row| keep(row))
            .map(|row| row.contribution_ohm * row.contribution_ohm)
            .collect();
        squares.sort_by(f64::total_cmp);
        // The sum of none is 0, not −0.
        squares.iter().fold(0.0, |sum, square| sum + square).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::property_cases::usual;
    use proptest::prelude::*;

    fn row(contribution: f64, degrees_of_freedom: f64) -> BudgetRow {
        BudgetRow::new("a", (contribution, "Ω"), Distribution::Normal, 1.0)
            .with_degrees_of_freedom(degrees_of_freedom)
    }

    /// JCGM 100:2008, example G.4.1: relative 0.25 %, 0.57 %, 0.82 % with 9, 4 and 14
    /// degrees of freedom give 1.03 % and 19.0.
    #[test]
    fn effective_degrees_of_freedom_of_the_guide() {
        let budget = Budget {
            rows: vec![row(0.25, 9.0), row(0.57, 4.0), row(0.82, 14.0)],
        };
        near!(budget.u_ohm(), 1.03, 0.005);
        near!(budget.effective_degrees_of_freedom(), 19.0, 0.1);
        // Table G.2: t for 95 % and 19 degrees of freedom is 2.09.
        near!(budget.coverage_factor(0.95), 2.09, 0.005);
    }

    #[test]
    fn rectangular_half_widths_are_divided() {
        let row = BudgetRow::new("depth", (5.0, "mm"), Distribution::Rectangular, -2.0);
        near!(row.contribution_ohm, 10.0 / 3f64.sqrt(), 1e-12);
        assert_eq!(row.sensitivity, 2.0);
    }

    proptest! {
        #![proptest_config(usual())]

        #[test]
        fn a_component_never_lowers_u(parts in prop::collection::vec(0.0f64..10.0, 1..12), added in 0.0f64..10.0) {
            let mut budget = Budget { rows: parts.iter().map(|p| row(*p, f64::INFINITY)).collect() };
            let before = (budget.u_ohm(), budget.u_random_ohm(), budget.u_common_ohm());
            budget.add(row(added, 5.0).shared(Shared::Cell));
            prop_assert!(budget.u_ohm() >= before.0);
            prop_assert!(budget.u_random_ohm() >= before.1);
            prop_assert!(budget.u_common_ohm() >= before.2);
        }

        #[test]
        fn the_order_of_components_changes_nothing(mut parts in prop::collection::vec(0.0f64..10.0, 2..12)) {
            let of = |parts: &[f64]| Budget { rows: parts.iter().map(|p| row(*p, f64::INFINITY)).collect() }.u_ohm();
            let before = of(&parts);
            parts.reverse();
            prop_assert_eq!(before, of(&parts));
        }
    }
}
