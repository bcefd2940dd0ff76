/*! From the readings of one thermometer at one point to R there, with its budget.

R = X·R_s at each current → the current it is wanted at → the point's assigned temperature:
R_point = R_0·(1 − s·ΔT) with s = (dR/dT)/R and ΔT the departure of the cell (head and
isotopes). The scale's temperature is fixed, so the resistance is corrected.
*/

use super::budget::{Budget, BudgetRow, Distribution, Shared};
use super::cell_components;
use super::circumstances::{Circumstances, relative_slope};
use super::components;
use super::resistor_components;
use super::self_heating::{AtCurrent, AtWanted};
use super::series::{Series, correlation, in_order, series};
use super::settings::BudgetSettings;
use crate::thermometry::ThermometryError;
use crate::thermometry::readings::RawReading;

/// One reduced value.
#[derive(Debug, Clone, PartialEq)]
pub struct Reduced {
    /// Resistance at the point's assigned temperature and the wanted current, Ω.
    pub resistance_ohm: f64,
    /// The components of its uncertainty.
    pub budget: Budget,
    /// Coverage probability of the expanded uncertainty.
    pub level: f64,
    /// Rise by self-heating at the first current, mK; `None` where it was assumed.
    pub self_heating_mk: Option<f64>,
    /// Departure of the cell from the assigned temperature that was corrected, K.
    pub departure_k: f64,
    /// Ω per mK at the point.
    pub ohm_per_mk: f64,
    /// Smallest step that the readings show, in their own unit.
    pub resolution: f64,
    /// The readings by rising current.
    pub series: Vec<Series>,
    /// Ω per unit of the readings: the resistor's value for ratios, 1 for resistances.
    pub scale_ohm: f64,
    /// Autocorrelation of neighbouring readings that was counted.
    pub correlation: f64,
    /// What the readings did not say and the budget assumes instead, in words.
    pub assumptions: Vec<String>,
    /// True for a value that the laboratory reduced itself, with its own uncertainty.
    pub stated: bool,
}

impl Reduced {
    /// Coverage factor from the effective degrees of freedom.
    pub(crate) fn coverage_factor(&self) -> f64 {
        self.budget.coverage_factor(self.level)
    }

    /// Expanded uncertainty, Ω.
    pub(crate) fn expanded_ohm(&self) -> f64 {
        self.coverage_factor() * self.budget.u_ohm()
    }

    /// A difference in Ω as mK at the point.
    pub(crate) fn in_mk(&self, ohm: f64) -> f64 {
        ohm / self.ohm_per_mk
    }
}

/// The circumstances that all readings share.
fn common_circumstances(sorted: &[&RawReading]) -> Result<Circumstances, ThermometryError> {
    let circumstances = Circumstances::of(sorted).ok_or(ThermometryError::NoReadings)?;
    let by_ratio = circumstances.resistor.is_some();
    if sorted.iter().any(|r| r.resistor.is_some() != by_ratio) {
        return Err(ThermometryError::MixedReadings);
    }
    circumstances.agree(sorted)?;
    Ok(circumstances)
}

/// True where the laboratory states an uncertainty of its own: of all readings, at one current.
fn states_u(sorted: &[&RawReading], series: &[Series]) -> Result<bool, ThermometryError> {
    let stated = sorted.iter().filter(|r| r.u_ohm.is_finite()).count();
    if stated > 0 && (stated < sorted.len() || series.len() > 1) {
        return Err(ThermometryError::MixedStated);
    }
    Ok(stated > 0)
}

/// Reduces the readings of one thermometer at one point in one session, in any order.
///
/// # Errors
/// No readings, ratios mixed with resistances, several values of one resistor, or values with an uncertainty of
/// their own beside others or at several currents.
pub(crate) fn reduce(
    readings: &[&RawReading],
    wanted: &AtCurrent,
    settings: &BudgetSettings,
) -> Result<Reduced, ThermometryError> {
    let sorted = in_order(readings);
    let circumstances = common_circumstances(&sorted)?;
    let series = series(&sorted);
    let stated = states_u(&sorted, &series)?;
    let visit = Visit {
        correlation: correlation(&series),
        slope: relative_slope(circumstances.point),
        scale_ohm: circumstances.scale(),
        resolution: components::resolution(&sorted),
        by_ratio: circumstances.resistor.is_some(),
        circumstances,
        series,
    };
    Ok(match (stated, &visit.series[..]) {
        (true, [only]) => {
            let resistance_ohm = only.mean() * visit.scale_ohm;
            visit.stated(resistance_ohm, stated_budget(&sorted), settings)
        }
        _ => visit.reduced(wanted, settings),
    })
}

/// The readings of one thermometer at one point in one session.
struct Visit {
    circumstances: Circumstances,
    by_ratio: bool,
    series: Vec<Series>,
    correlation: f64,
    /// (dR/dT)/R at the point, 1/K.
    slope: f64,
    scale_ohm: f64,
    resolution: f64,
}

impl Visit {
    /// The value that the laboratory reduced itself.
    fn stated(self, resistance_ohm: f64, budget: Budget, settings: &BudgetSettings) -> Reduced {
        Reduced {
            resistance_ohm,
            budget,
            level: settings.level,
            self_heating_mk: None,
            resolution: self.resolution,
            departure_k: 0.0,
            ohm_per_mk: resistance_ohm * self.slope / 1000.0,
            scale_ohm: self.scale_ohm,
            correlation: self.correlation,
            assumptions: Vec::new(),
            stated: true,
            series: self.series,
        }
    }

    /// The value at the wanted current and the point's assigned temperature.
    fn reduced(self, wanted: &AtCurrent, settings: &BudgetSettings) -> Reduced {
        let (departure_k, mut assumptions) =
            cell_components::departure(&self.circumstances, settings);
        let at_wanted = AtWanted::of(&self.series, self.slope, wanted, settings);
        assumptions.extend(self.assumptions(&at_wanted, wanted, settings));
        let corrected = self.scale_ohm * (1.0 - self.slope * departure_k);
        let resistance_ohm = at_wanted.value * corrected;
        let ohm_per_mk = resistance_ohm * self.slope / 1000.0;
        let heating = at_wanted.measured.map(|(zero, _)| zero.rise);
        Reduced {
            resistance_ohm,
            budget: self.budget(&at_wanted, corrected, settings),
            level: settings.level,
            self_heating_mk: heating.map(|rise| rise * self.scale_ohm / ohm_per_mk),
            resolution: self.resolution,
            departure_k,
            ohm_per_mk,
            series: self.series,
            scale_ohm: self.scale_ohm,
            correlation: self.correlation,
            assumptions,
            stated: false,
        }
    }

    /// All components; `ohm_per_unit` is the resistance at the assigned temperature by the readings' unit.
    fn budget(&self, at: &AtWanted, ohm_per_unit: f64, settings: &BudgetSettings) -> Budget {
        let resistance_ohm = at.value * ohm_per_unit;
        let ohm_per_mk = resistance_ohm * self.slope / 1000.0;
        let (series, by_ratio) = (&self.series, self.by_ratio);
        let mut budget = Budget::default();
        components::add_readings(&mut budget, series, at, self.correlation, ohm_per_unit);
        components::add_resolution(&mut budget, series, self.resolution, ohm_per_unit);
        components::add_self_heating(&mut budget, at, ohm_per_unit, ohm_per_mk, settings);
        components::add_bridge(
            &mut budget,
            by_ratio,
            ohm_per_unit,
            resistance_ohm,
            settings,
        );
        if let Some(resistor) = self.circumstances.resistor {
            resistor_components::add_resistor(&mut budget, &resistor, resistance_ohm, settings);
        }
        cell_components::add_cell(&mut budget, &self.circumstances, ohm_per_mk, settings);
        budget
    }

    /// What is assumed of resistor, self-heating, readout and scatter.
    fn assumptions(
        &self,
        at: &AtWanted,
        wanted: &AtCurrent,
        settings: &BudgetSettings,
    ) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        all.extend(resistor_components::resistor_assumptions(
            &self.circumstances,
            settings,
        ));
        all.extend(at.assumption(&self.series, wanted));
        all.extend(components::readout_assumption(self.by_ratio, settings));
        all.extend(components::reading_assumption(&self.series));
        all
    }
}

/// The budget of values whose uncertainty the laboratory states: one component, and the part of it that all
/// checks share. The mean of several values of one session is as uncertain as the worst of them, since
/// their errors may be the same.
fn stated_budget(readings: &[&RawReading]) -> Budget {
    let largest = |of: fn(&RawReading) -> f64| readings.iter().map(|r| of(r)).fold(0.0, f64::max);
    let (whole, shared) = (largest(|r| r.u_ohm), largest(|r| r.u_common_ohm));
    let part = |name: &str, u: f64| BudgetRow::new(name, (u, "Ω"), Distribution::Normal, 1.0);
    let own = (whole * whole - shared * shared).max(0.0).sqrt();
    let mut budget = Budget::default();
    budget.add(part("as stated by the laboratory", own));
    if shared > 0.0 {
        let shared = part("as stated, shared by all checks", shared);
        budget.add(shared.shared(Shared::Thermometer));
    }
    budget
}
