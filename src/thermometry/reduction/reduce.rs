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
    let by_ratio = circumstances.resistor.is_some();
    let series = series(&sorted);
    let correlation = correlation(&series);
    let slope = relative_slope(circumstances.point);
    let stated = states_u(&sorted, &series)?;
    let scale_ohm = circumstances.scale();
    let resolution = components::resolution(&sorted);
    if let (true, [only]) = (stated, &series[..]) {
        let resistance_ohm = only.mean() * scale_ohm;
        return Ok(Reduced {
            resistance_ohm,
            budget: stated_budget(&sorted),
            level: settings.level,
            self_heating_mk: None,
            resolution,
            departure_k: 0.0,
            ohm_per_mk: resistance_ohm * slope / 1000.0,
            scale_ohm,
            correlation,
            assumptions: Vec::new(),
            stated: true,
            series,
        });
    }
    let (departure_k, of_cell) = cell_components::departure(&circumstances, settings);
    let at_wanted = AtWanted::of(&series, slope, wanted, settings);
    let corrected = scale_ohm * (1.0 - slope * departure_k);
    let resistance_ohm = at_wanted.value * corrected;
    let ohm_per_mk = resistance_ohm * slope / 1000.0;

    let mut budget = Budget::default();
    components::add_readings(&mut budget, &series, &at_wanted, correlation, corrected);
    components::add_resolution(&mut budget, &series, resolution, corrected);
    components::add_self_heating(&mut budget, &at_wanted, corrected, ohm_per_mk, settings);
    components::add_bridge(&mut budget, by_ratio, corrected, resistance_ohm, settings);
    if let Some(resistor) = circumstances.resistor {
        resistor_components::add_resistor(&mut budget, &resistor, resistance_ohm, settings);
    }
    cell_components::add_cell(&mut budget, &circumstances, ohm_per_mk, settings);
    let of_resistor = resistor_components::resistor_assumptions(&circumstances, settings);
    let assumptions = of_cell.into_iter().chain(of_resistor);
    let assumptions = assumptions
        .chain(at_wanted.assumption(&series, wanted))
        .chain(components::readout_assumption(by_ratio, settings))
        .chain(components::reading_assumption(&series))
        .collect();
    let heating = at_wanted.measured.map(|(zero, _)| zero.rise);
    Ok(Reduced {
        resistance_ohm,
        budget,
        level: settings.level,
        self_heating_mk: heating.map(|rise| rise * scale_ohm / ohm_per_mk),
        resolution,
        departure_k,
        ohm_per_mk,
        series,
        scale_ohm,
        correlation,
        assumptions,
        stated: false,
    })
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
