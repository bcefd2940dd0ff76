/*! The cell: its departure from the assigned temperature, its part of the budget, what both assume.

Components that CCT/08-19 (WG3, 2009) lists for the cell. A small cell is none of those that the
lists are made for: its realisation stands as a whole (expanded uncertainty of 1 mK to 5 mK of a
slush cell in a dry well, 0.05 mK to 0.2 mK of a large cell with an aged mantle: common practice,
no source).
*/

use super::budget::{Budget, BudgetRow, Distribution, Distribution::*, Shared};
use super::circumstances::Circumstances;
use super::settings::BudgetSettings;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::readings::{CellKind, ReadingPoint};

/// Departure of the cell from the assigned temperature at the sensor, K, with what it assumes.
pub(super) fn departure(
    circumstances: &Circumstances,
    settings: &BudgetSettings,
) -> (f64, Vec<String>) {
    let ReadingPoint::Fixed(point) = circumstances.point else {
        return (0.0, Vec::new());
    };
    let cell = &circumstances.cell;
    let water = point == FixedPoint::Water;
    let noted = circumstances.depth_m.is_finite();
    let depth = if noted {
        circumstances.depth_m
    } else {
        settings.depth_unknown_m
    };
    let of_cell = match cell.isotopes {
        _ if cell.departure_uk.is_finite() => cell.departure_uk * 1e-6,
        Some(isotopes) if water => isotopes.departure_k(settings.isotopes),
        _ => 0.0,
    };
    let departure_k = point.head_k_per_m() * depth + of_cell;
    (departure_k, assumptions(circumstances, water, settings))
}

fn assumptions(
    circumstances: &Circumstances,
    water: bool,
    settings: &BudgetSettings,
) -> Vec<String> {
    let cell = &circumstances.cell;
    let mut words = Vec::new();
    if !circumstances.depth_m.is_finite() {
        words.push(format!(
            "depth not noted: {} m assumed, any depth from 0 to twice that allowed for",
            settings.depth_unknown_m
        ));
    }
    let compared = cell.departure_uk.is_finite();
    if compared && !cell.u_departure_uk.is_finite() {
        words.push(format!(
            "uncertainty of the cell's departure not stated: u = {} µK taken; state u_cell_departure_uk",
            settings.cell_departure_unknown_uk
        ));
    }
    if cell.name.is_empty() {
        words.push(
            "cell not named: no correction, uncertainty of an unknown cell, new in every session; name the cell".into(),
        );
    } else if water && cell.isotopes.is_none() && !compared && !cell.kind.is_small() {
        words.push(format!(
            "isotopic composition of cell {} unknown: u = {} µK instead of a correction",
            cell.name, settings.isotopes_unknown_uk
        ));
    }
    if water && cell.kind == CellKind::NotStated {
        words.push(format!(
            "kind of the cell not stated: u = {:.2} mK as of a small slush cell taken; state cell_kind (small slush, \
             small frozen or large mantle)",
            settings.slush_mk.hypot(settings.slush_repeat_mk)
        ));
    }
    words
}

/// Head, isotopes, impurities, mantle, heat flux; or the realisation as a whole.
pub(super) fn add_cell(
    budget: &mut Budget,
    circumstances: &Circumstances,
    ohm_per_mk: f64,
    settings: &BudgetSettings,
) {
    let ReadingPoint::Fixed(point) = circumstances.point else {
        let comparison = in_mk("comparison", settings.comparison_mk, Normal, ohm_per_mk);
        budget.add(comparison.shared(Shared::Cell));
        return;
    };
    let depth_mm = match circumstances.depth_m.is_finite() {
        true => settings.depth_mm,
        false => settings.depth_unknown_m * 1000.0,
    };
    // K per m is mK per mm.
    budget.add(BudgetRow::new(
        "depth",
        (depth_mm, "mm"),
        Rectangular,
        point.head_k_per_m() * ohm_per_mk,
    ));
    let cell = &circumstances.cell;
    // A cell without a name may be another one each time.
    let shared = match cell.name.is_empty() {
        true => Shared::No,
        false => Shared::Cell,
    };
    let microkelvin = |name: &str, uk: f64, distribution: Distribution| {
        BudgetRow::new(name, (uk, "µK"), distribution, ohm_per_mk / 1000.0)
    };
    if cell.departure_uk.is_finite() {
        let u_uk = match cell.u_departure_uk.is_finite() {
            true => cell.u_departure_uk,
            false => settings.cell_departure_unknown_uk,
        };
        budget.add(microkelvin("comparison of the cell", u_uk, Normal).shared(shared));
    } else if point == FixedPoint::Water {
        let u_uk = match cell.isotopes.is_some() {
            true => settings.isotopes_uk,
            false => settings.isotopes_unknown_uk,
        };
        budget.add(microkelvin("isotopic composition", u_uk, Normal).shared(shared));
        let impurities = microkelvin("impurities and gas", settings.impurities_uk, Rectangular);
        budget.add(impurities.shared(shared));
    }
    for row in realisation(point, cell.kind, cell.departure_uk.is_finite(), settings) {
        let (name, (spread, unit), distribution, same) = row;
        let row = match unit {
            "µK" => microkelvin(name, spread, distribution),
            _ => in_mk(name, spread, distribution, ohm_per_mk),
        };
        budget.add(row.shared(if same { shared } else { Shared::No }));
    }
}

/// A component of the realisation: name, spread with its unit, distribution, and whether checks in
/// the same cell carry the same error.
type Part = (&'static str, (f64, &'static str), Distribution, bool);

/// What realising the point adds: by the kind of cell at the triple point of water.
fn realisation(
    point: FixedPoint,
    kind: CellKind,
    compared: bool,
    settings: &BudgetSettings,
) -> Vec<Part> {
    let heat_flux = (
        "heat flux",
        (settings.heat_flux_uk, "µK"),
        Rectangular,
        false,
    );
    if point != FixedPoint::Water {
        if compared {
            return vec![heat_flux];
        }
        return vec![
            (
                "realisation of the point",
                (settings.other_point_mk, "mK"),
                Normal,
                true,
            ),
            (
                "repeatability of the realisation",
                (settings.other_point_repeat_mk, "mK"),
                Normal,
                false,
            ),
        ];
    }
    let small = |name, whole_mk: f64, repeat_mk: f64| {
        vec![
            (name, (whole_mk, "mK"), Normal, true),
            (
                "repeatability of the cell",
                (repeat_mk, "mK"),
                Normal,
                false,
            ),
        ]
    };
    match kind {
        CellKind::Large => vec![
            ("mantle", (settings.mantle_uk, "µK"), Rectangular, false),
            heat_flux,
        ],
        CellKind::SmallFrozen => small(
            "small frozen cell in a dry well",
            settings.frozen_mk,
            settings.frozen_repeat_mk,
        ),
        CellKind::SmallSlush | CellKind::NotStated => small(
            "small slush cell in a dry well",
            settings.slush_mk,
            settings.slush_repeat_mk,
        ),
    }
}

fn in_mk(name: &str, spread_mk: f64, distribution: Distribution, ohm_per_mk: f64) -> BudgetRow {
    BudgetRow::new(name, (spread_mk, "mK"), distribution, ohm_per_mk)
}
