/*! The coverage factor that the header of an expanded uncertainty states (GUM 6.2.1). */

use crate::records::cells::digits::has_digit;

/// The coverage factor that a header states: 2 of `U (k=2) [mK]` and `Unc. k = 2`.
pub(crate) fn stated_factor(header: &str) -> Option<f64> {
    let header = header.to_lowercase();
    header.match_indices('k').find_map(|(at, k)| {
        if header[..at].ends_with(char::is_alphanumeric) {
            return None;
        }
        let behind = header[at + k.len()..]
            .trim_start()
            .strip_prefix('=')?
            .trim_start();
        let end = behind.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ','));
        let number = behind[..end.unwrap_or(behind.len())].trim_end_matches(['.', ',']);
        let factor: f64 = number.replace(',', ".").parse().ok()?;
        (1.0..=10.0).contains(&factor).then_some(factor)
    })
}

/// A cell of an uncertainty without the factor that stands behind it, and the factor: `0.5 % (k=2)`, `0.04 mm, k = 2`.
pub(crate) fn with_factor(text: &str) -> Option<(&str, f64)> {
    let factor = stated_factor(text)?;
    let at = text.find('(').or_else(|| text.rfind(['k', 'K']))?;
    let value = text[..at]
        .trim_end()
        .trim_end_matches([',', ';'])
        .trim_end();
    let counts = has_digit(value);
    (counts && !value.contains('=')).then_some((value, factor))
}

#[cfg(test)]
mod tests {
    use super::{stated_factor, with_factor};

    #[test]
    fn a_factor_stands_behind_a_k_of_its_own() {
        assert_eq!(stated_factor("U (k=2) [mK]"), Some(2.0));
        assert_eq!(stated_factor("U (k = 2,37)"), Some(2.37));
        for none in ["U95", "U [mK]", "mk=2", "k=0.5", "k = 95"] {
            assert_eq!(stated_factor(none), None, "{none}");
        }
    }

    #[test]
    fn a_cell_states_its_factor_behind_its_number() {
        for (text, parts) in [
            ("0.5 % (k=2)", ("0.5 %", 2.0)),
            ("0,4 kPa, k = 2", ("0,4 kPa", 2.0)),
            ("0.04 (k = 2.13)", ("0.04", 2.13)),
        ] {
            assert_eq!(with_factor(text), Some(parts), "{text}");
        }
        for none in ["0.5 kPa", "k=2", "0.5 (95 %)"] {
            assert_eq!(with_factor(none), None, "{none}");
        }
    }
}
