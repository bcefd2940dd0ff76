/*! A group of references compared with each other: the values that fit all differences best, under a
restraint (NIST/SEMATECH e-Handbook, 2.3.3 and 2.3.4: calibration designs).

Differences alone leave the level of the group open; the restraint, the known sum of some of them,
closes it. Without one there is no answer, and the design is refused.
*/

mod consistency;
mod file;

pub(crate) use consistency::{Misfit, Residual, misfits};
pub(crate) use file::{Design, DesignError, read};

use nalgebra::{DMatrix, DVector};

/// Share of the largest pivot below which an equation says nothing: rounding.
const NOTHING: f64 = 1e-10;

/// Share of the largest difference below which a residual is rounding alone.
const ROUNDING: f64 = 1e-13;

/// The value of one item.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Adjusted {
    /// Its name.
    pub item: String,
    pub value: f64,
    /// Standard uncertainty from the differences alone.
    pub u_differences: f64,
    /// Standard uncertainty from the restraint, which all items share in proportion.
    pub u_restraint: f64,
    /// By what the standard deviation of one difference is multiplied in `u_differences`.
    pub factor: f64,
}

/// The group, adjusted.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Adjustment {
    /// The items in the order of the design.
    pub items: Vec<Adjusted>,
    /// What each difference leaves, in order.
    pub residuals: Vec<Residual>,
    /// Their standard deviation; NaN without degrees of freedom.
    pub deviation: f64,
    /// Differences beyond those needed.
    pub degrees_of_freedom: usize,
}

/// Adjusts the group by least squares under the restraint.
///
/// # Errors
/// Differences that do not tie every item to the restraint; no stated u, and no degrees of freedom or no scatter at all.
pub(crate) fn adjust(design: &Design) -> Result<Adjustment, DesignError> {
    let (items, n) = (design.items.len(), design.differences.len());
    let equations = DMatrix::from_fn(n, items, |row, item| design.differences[row].terms[item]);
    let observed = DVector::from_iterator(n, design.differences.iter().map(|d| d.value));
    let restraint = DVector::from_fn(items, |item, _| f64::from(design.restraint.holds[item]));
    // Bordered normal equations: the Lagrange multiplier of the restraint stands last.
    let mut bordered = DMatrix::zeros(items + 1, items + 1);
    bordered
        .view_mut((0, 0), (items, items))
        .copy_from(&(equations.transpose() * &equations));
    bordered
        .view_mut((0, items), (items, 1))
        .copy_from(&restraint);
    bordered
        .view_mut((items, 0), (1, items))
        .copy_from(&restraint.transpose());
    let least = bordered.clone().lu().u().diagonal().abs().min();
    let inverse = bordered
        .clone()
        .try_inverse()
        .filter(|_| least > NOTHING * bordered.amax());
    let inverse = inverse.ok_or_else(|| DesignError::untied(design))?;
    let mut right = DVector::zeros(items + 1);
    right
        .rows_mut(0, items)
        .copy_from(&(equations.transpose() * &observed));
    right[items] = design.restraint.value;
    let values = (&inverse * right).rows(0, items).into_owned();
    let mut residuals = &observed - &equations * &values;
    residuals.apply(|r| {
        if r.abs() < ROUNDING * observed.amax() {
            *r = 0.0;
        }
    });
    let freedom = (n + 1).saturating_sub(items);
    let seen = (residuals.norm_squared() / freedom as f64).sqrt();
    let deviation = if freedom > 0 { seen } else { f64::NAN };
    let of_one = design.u_difference.unwrap_or(deviation);
    if !of_one.is_finite() {
        return Err(DesignError::unscattered());
    }
    if of_one == 0.0 {
        return Err(DesignError::exact());
    }
    let hat = &equations * inverse.view((0, 0), (items, items)) * equations.transpose();
    let residual = |(row, value): (usize, &f64)| Residual {
        value: *value,
        share: (1.0 - hat[(row, row)]).max(0.0),
    };
    let adjusted = |item: usize| {
        let factor = inverse[(item, item)].max(0.0).sqrt();
        Adjusted {
            item: design.items[item].clone(),
            value: values[item],
            u_differences: factor * of_one,
            u_restraint: inverse[(item, items)].abs() * design.restraint.u,
            factor,
        }
    };
    Ok(Adjustment {
        items: (0..items).map(adjusted).collect(),
        residuals: residuals.iter().enumerate().map(residual).collect(),
        deviation,
        degrees_of_freedom: freedom,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOUR: &str = r#"
unit = "mg"
restraint = { items = ["A", "B"], value = 0.5, u = 0.02 }
difference = [
    { plus = ["A"], minus = ["B"], value = 0.1 },
    { plus = ["A"], minus = ["C"], value = -0.2 },
    { plus = ["A"], minus = ["D"], value = 0.3 },
    { plus = ["B"], minus = ["C"], value = -0.31 },
    { plus = ["B"], minus = ["D"], value = 0.21 },
    { plus = ["C"], minus = ["D"], value = 0.5 },
]
"#;

    /// The design 1,1,1,1 with the restraint on the first two: all six differences of four items.
    /// Its normal matrix is 4I − J, so that the contrast of item C to the mean of A and B has the
    /// variance (1 + ¼ + ¼)/4 and that of A (¼ + ¼)/4: factors √0.375 = 0.6124 and √0.125 = 0.3536, as
    /// the e-Handbook gives them (2.3.4.1, from memory; here from that algebra).
    #[test]
    fn the_design_of_four_has_the_factors_of_the_handbook() {
        let adjustment = adjust(&read(FOUR).unwrap()).unwrap();
        let factors: Vec<f64> = adjustment.items.iter().map(|item| item.factor).collect();
        for (factor, exact) in factors.iter().zip([0.125_f64, 0.125, 0.375, 0.375]) {
            near!(*factor, exact.sqrt(), 1e-14, "{factors:?}");
        }
        assert_eq!(
            format!("{:.4} {:.4}", factors[0], factors[2]),
            "0.3536 0.6124"
        );
        assert_eq!(adjustment.degrees_of_freedom, 3);
        // By hand: each value is the mean of the two plus a quarter of its row sum less theirs.
        let values: Vec<f64> = adjustment.items.iter().map(|item| item.value).collect();
        near!(values[0] + values[1], 0.5, 1e-14);
        let sums = [0.2, -0.2, 1.01, -1.01];
        for (value, sum) in values.iter().zip(sums) {
            near!(*value, 0.25 + sum / 4.0, 1e-14, "{values:?}");
        }
        let shared: Vec<f64> = adjustment
            .items
            .iter()
            .map(|item| item.u_restraint)
            .collect();
        assert!(
            shared.iter().all(|u| (u - 0.01).abs() < 1e-14),
            "{shared:?}"
        );
    }

    #[test]
    fn what_leaves_the_level_open_is_refused_in_words() {
        let without = FOUR.replace("restraint = {", "other = {");
        assert!(read(&without).is_err());
        let none = FOUR.replace("[\"A\", \"B\"]", "[]");
        let why = read(&none).unwrap_err().to_string();
        says!(why, "restraint");
        // Nothing ties D to the others.
        let apart: String = FOUR
            .lines()
            .filter(|line| !line.contains("\"D\""))
            .map(|line| format!("{line}\n"))
            .collect();
        let apart = format!("items = [\"A\", \"B\", \"C\", \"D\"]\n{apart}");
        let why = read(&apart)
            .and_then(|design| adjust(&design).map(|_| design))
            .unwrap_err();
        says!(why.to_string(), "tie");
        for (from, to) in [
            ("value = 0.5,", "value = nan,"),
            ("u = 0.02", "u = -1.0"),
            (
                "plus = [\"C\"], minus = [\"D\"]",
                "plus = [\"D\"], minus = [\"D\"]",
            ),
        ] {
            assert!(read(&FOUR.replace(from, to)).is_err(), "{to}");
        }
    }
}
