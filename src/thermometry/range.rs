/*! What a change at the triple point of water means elsewhere on the thermometer's range.

First-order formulas with δ the relative change of R at the triple point, W and W' those
of the reference function, S its slope at the triple point (derived for this project; the
scaled case agrees with exact inversion within 1e-5 of the change):

- the whole resistance scaled: W·δ/W' while the old value is kept, 0 once it is updated;
- a constant resistance added: δ/W' while the old value is kept, −(W − 1)·δ/W' once it is
  updated. Updating does not mend this one.
*/

use super::its90::{FixedPoint, Reference, TRIPLE_POINT_SLOPE, ZERO_CELSIUS_K};
use crate::words::Short;
use serde::Serialize;

/// Effects at one temperature, mK of indicated temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RangeRow {
    /// Temperature, °C.
    pub celsius: f64,
    /// W_r there.
    pub ratio: f64,
    /// Whole resistance scaled, old R at the triple point kept in use.
    pub scaled_kept_mk: f64,
    /// Whole resistance scaled, R at the triple point updated.
    pub scaled_updated_mk: f64,
    /// Constant resistance added, old value kept.
    pub added_kept_mk: f64,
    /// Constant resistance added, value updated.
    pub added_updated_mk: f64,
    /// Standard uncertainty from R at the triple point once it is updated.
    pub u_mk: f64,
}

/// Effects of a change by `change_mk` at the triple point, whose value is known with
/// standard uncertainty `u_mk`, at `celsius` (−259.35 to 961.78 °C).
pub(crate) fn effects(change_mk: f64, u_mk: f64, celsius: f64) -> RangeRow {
    let kelvin = celsius + ZERO_CELSIUS_K;
    let ratio = Reference::Joined.ratio(kelvin);
    let per_slope = TRIPLE_POINT_SLOPE / Reference::Joined.slope(kelvin);
    RangeRow {
        celsius,
        ratio,
        scaled_kept_mk: change_mk * ratio * per_slope,
        scaled_updated_mk: 0.0,
        added_kept_mk: change_mk * per_slope,
        added_updated_mk: -change_mk * (ratio - 1.0) * per_slope,
        u_mk: u_mk * ratio * per_slope,
    }
}

/// Largest error at `celsius` that work with the old value can carry, mK.
pub(crate) fn worst_mk(change_mk: f64, celsius: f64) -> f64 {
    let row = effects(change_mk, 0.0, celsius);
    row.scaled_kept_mk.abs().max(row.added_kept_mk.abs())
}

/// Table over `low_c` to `high_c`: the ends, the fixed points and round temperatures.
pub(crate) fn range_table(change_mk: f64, u_mk: f64, (low_c, high_c): (f64, f64)) -> Vec<RangeRow> {
    const STEP_C: i32 = 100;
    let (low, high) = inside(low_c, high_c);
    let round = (-2..=9).map(|i| f64::from(i * STEP_C));
    let points = FixedPoint::ALL.iter().map(|p| p.celsius());
    let mut temperatures: Vec<f64> = round
        .chain(points)
        .chain([low, high])
        .filter(|t| (low..=high).contains(t))
        .collect();
    temperatures.sort_by(f64::total_cmp);
    temperatures.dedup();
    temperatures
        .into_iter()
        .map(|celsius| effects(change_mk, u_mk, celsius))
        .collect()
}

/// Evenly spaced rows for a chart.
pub(crate) fn range_curve(
    change_mk: f64,
    u_mk: f64,
    (low_c, high_c): (f64, f64),
    count: usize,
) -> Vec<RangeRow> {
    let (low, high) = inside(low_c, high_c);
    let last = count.saturating_sub(1).max(1) as f64;
    (0..count)
        .map(|i| effects(change_mk, u_mk, low + (high - low) * i as f64 / last))
        .collect()
}

fn inside(low_c: f64, high_c: f64) -> (f64, f64) {
    const LIMITS_C: (f64, f64) = (-259.3467, 961.78);
    let low = low_c.clamp(LIMITS_C.0, LIMITS_C.1);
    (low, high_c.clamp(low, LIMITS_C.1))
}

/// A second fixed point measured before and after: the part that updating cannot mend.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RatioChange {
    pub point: FixedPoint,
    /// Change of W there as temperature, mK.
    pub change_mk: f64,
    /// Its standard uncertainty, mK.
    pub u_mk: f64,
    /// What W would show if the change at the triple point were an added constant, mK.
    pub if_added_mk: f64,
    /// One sentence.
    pub words: String,
}

/// Compares W at `point` before and now, after the triple point changed by `change_mk`.
/// `u_mk` is the standard uncertainty of the difference at the point.
pub(crate) fn ratio_change(
    point: FixedPoint,
    (before, now): (f64, f64),
    u_mk: f64,
    change_mk: f64,
) -> RatioChange {
    let slope = Reference::Joined.slope(point.kelvin());
    let moved = (now - before) / slope * 1000.0;
    let if_added_mk = effects(change_mk, 0.0, point.kelvin() - ZERO_CELSIUS_K).added_updated_mk;
    let change = RatioChange {
        point,
        change_mk: moved,
        u_mk,
        if_added_mk,
        words: String::new(),
    };
    RatioChange {
        words: change.words(),
        ..change
    }
}

impl RatioChange {
    /// Expanded uncertainty of the change (k = 2), mK.
    fn expanded_mk(&self) -> f64 {
        2.0 * self.u_mk
    }

    /// True where W has changed by more than its expanded uncertainty.
    pub(crate) fn moved(&self) -> bool {
        self.change_mk.abs() > self.expanded_mk()
    }

    /// How loudly it speaks, to compare points: a change against its uncertainty; without one,
    /// what an added resistance would have shown against it.
    pub(crate) fn weight(&self) -> (bool, f64) {
        let size = if self.moved() {
            self.change_mk
        } else {
            self.if_added_mk
        };
        (self.moved(), size.abs() / self.u_mk)
    }

    fn words(&self) -> String {
        let if_added = Short(self.if_added_mk);
        if self.moved() {
            return format!(
                "W at the {} moved by {:+.2} mK (an added resistance would give {if_added:+.2} mK): \
                 updating R at the triple point does not mend this, recalibrate",
                self.point.name(),
                Short(self.change_mk)
            );
        }
        let same = format!(
            "W at the {} is unchanged within U = {:.2} mK",
            self.point.name(),
            Short(self.expanded_mk())
        );
        match self.if_added_mk.abs() > self.expanded_mk() {
            true => format!(
                "{same}, where an added resistance would give {if_added:+.2} mK: \
                 updating R at the triple point mends the change"
            ),
            false => format!(
                "{same}, yet an added resistance would give no more than {if_added:+.2} mK: \
                 whether updating R at the triple point mends the change is not shown"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Amplification per mK at the triple point, evaluated independently in Python.
    #[test]
    fn amplification_over_the_range() {
        let expected = [
            (-189.3442, 0.198_31, 0.918_68, 0.720_37),
            (-38.8344, 0.834_05, 0.988_04, 0.153_99),
            (0.01, 1.0, 1.0, 0.0),
            (100.0, 1.436_11, 1.031_12, -0.404_99),
            (231.928, 2.033_41, 1.074_29, -0.959_12),
            (420.0, 2.933_72, 1.141_27, -1.792_45),
            (660.323, 4.201_38, 1.244_48, -2.956_90),
            (961.78, 6.018_07, 1.403_99, -4.614_09),
        ];
        for (celsius, scaled, added_kept, added_updated) in expected {
            let row = effects(1.0, 0.05, celsius);
            near!(row.scaled_kept_mk, scaled, 1e-5, "{celsius}");
            near!(row.added_kept_mk, added_kept, 1e-5, "{celsius}");
            near!(row.added_updated_mk, added_updated, 1e-5, "{celsius}");
            near!(row.u_mk, 0.05 * scaled, 1e-6);
            assert_eq!(row.scaled_updated_mk, 0.0);
        }
    }

    /// Amplification of a scaled change to the digits of an independent evaluation in
    /// Python; 1e-6 of R at the triple point is 0.250 719 mK, 25.5 Ω changes by 0.101 707 5 Ω/K.
    #[test]
    fn amplification_and_sensitivity_at_the_triple_point() {
        let expected = [
            (0.0, 0.999_957),
            (100.0, 1.436_113),
            (232.0, 2.033_741),
            (660.0, 4.199_569),
        ];
        for (celsius, scaled) in expected {
            let got = effects(1.0, 0.0, celsius).scaled_kept_mk;
            near!(got, scaled, 2e-6, "{celsius}: {got}");
        }
        near!(1e-6 / TRIPLE_POINT_SLOPE * 1000.0, 0.250_719, 1e-6);
        near!(25.5 * TRIPLE_POINT_SLOPE, 0.101_707_5, 1e-7);
    }

    /// Exact inversion of a scaled resistance, δ = 4e-6, evaluated independently with a
    /// root finder: 4.211 651 mK at 660 °C.
    #[test]
    fn first_order_agrees_with_exact_inversion() {
        let change_mk = 4e-6 / TRIPLE_POINT_SLOPE * 1000.0;
        near!(
            effects(change_mk, 0.0, 660.0).scaled_kept_mk,
            4.211_651,
            1e-5
        );
    }

    /// An added resistance worth +1 mK lowers W at zinc by 6.2576e-6, −1.7903 mK,
    /// evaluated independently in Python.
    #[test]
    fn an_added_resistance_is_seen_at_zinc() {
        let before = FixedPoint::Zinc.reference_ratio();
        let seen = ratio_change(FixedPoint::Zinc, (before, before - 6.2576e-6), 0.3, 1.0);
        assert!((seen.change_mk + 1.7903).abs() < 1e-3);
        assert!((seen.if_added_mk + 1.7903).abs() < 1e-3);
        says!(seen.words, "recalibrate");
        let same = ratio_change(FixedPoint::Zinc, (before, before), 0.3, 1.0);
        says!(same.words, "mends the change");
        // 0.3 mK at the triple point would move W at zinc by 0.54 mK, less than U = 0.6 mK.
        let small = ratio_change(FixedPoint::Zinc, (before, before), 0.3, 0.3);
        says!(small.words, "is not shown");
        assert!(seen.weight() > same.weight() && same.weight() > small.weight());
    }

    #[test]
    fn table_and_curve_stay_in_the_range() {
        let table = range_table(1.0, 0.05, (-40.0, 700.0));
        assert_eq!(table[0].celsius, -40.0);
        assert_eq!(table[table.len() - 1].celsius, 700.0);
        assert!(
            table
                .windows(2)
                .all(|pair| pair[0].celsius < pair[1].celsius)
        );
        assert!(
            range_table(1.0, 0.05, (-5000.0, 5000.0))
                .iter()
                .all(|r| r.u_mk.is_finite())
        );
        assert_eq!(range_curve(1.0, 0.05, (0.0, 100.0), 11)[10].celsius, 100.0);
    }
}
