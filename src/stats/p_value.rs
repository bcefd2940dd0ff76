/*! A p-value in words: never "0.000", which no test can give. */

/// Smallest p-value that is printed; smaller ones are below it.
const SMALLEST: f64 = 1e-4;

/// A p-value as words: `p = 0.004`, `p < 0.0001`; `p unknown` where it cannot be computed.
pub(crate) fn p_value(p: f64) -> String {
    if p.is_nan() {
        "p unknown".into()
    } else if p < SMALLEST {
        format!("p < {SMALLEST}")
    } else {
        format!("p = {}", p_digits(p))
    }
}

/// A p-value for a table's cell: `0.12`, `0.0040`, `< 0.0001`; `unknown` where there is none.
pub(crate) fn p_digits(p: f64) -> String {
    if p.is_nan() {
        return "unknown".into();
    }
    if p < SMALLEST {
        return format!("< {SMALLEST}");
    }
    let decimals = match p {
        p if p < 0.01 => 4,
        // Which side of 5 % it lies on is what it is compared with.
        p if (0.045..0.055).contains(&p) => 3,
        _ => 2,
    };
    format!("{p:.decimals$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_ones_are_below_a_limit() {
        assert_eq!(p_value(f64::NAN), "p unknown");
        assert_eq!(p_digits(f64::NAN), "unknown");
        assert_eq!(p_value(0.004), "p = 0.0040");
        assert_eq!(p_value(0.12), "p = 0.12");
        assert_eq!(p_value(0.0477), "p = 0.048");
        assert_eq!(p_value(1e-9), "p < 0.0001");
        assert_eq!(p_digits(0.0), "< 0.0001");
    }
}
