/*! The nominal value that the name of a point states. */

use super::header_parts::parts;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::written::{Form, written};
use crate::records::cells::unit::Unit;

/// The nominal value of a point such as `5 bar` or `5 bar rising`, with its unit, and the words
/// beside it.
pub(crate) fn nominal(point: &str) -> Option<(String, String)> {
    parts(point, |text| {
        let unit = unit_of(text)?;
        (!unit.is_empty() && Unit::parse(unit).is_some()).then(|| text.to_string())
    })
}

/// The same of a number without a unit.
pub(crate) fn bare_nominal(point: &str) -> Option<(String, String)> {
    parts(point, |text| {
        (unit_of(text)?.is_empty()).then(|| text.to_string())
    })
}

/// What stands behind the number that a text is.
fn unit_of(text: &str) -> Option<&str> {
    [true, false].into_iter().find_map(|comma| {
        let marks = Marks::with_thousands(comma);
        let found = written(text, marks).ok()?;
        (found.form == Form::Plain).then_some(found.unit)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_tells_its_nominal_value_with_its_unit() {
        let of = |text: &str| nominal(text).map(|(value, _)| value);
        assert_eq!(of("5 bar rising").as_deref(), Some("5 bar"));
        assert_eq!(of("found at -0,5 kPa").as_deref(), Some("-0,5 kPa"));
        assert_eq!(of("20°C").as_deref(), Some("20°C"));
        for text in ["channel A", "Error 2", "2020", "5 apples"] {
            assert_eq!(of(text), None, "{text}");
        }
        assert_eq!(bare_nominal("50"), Some(("50".into(), String::new())));
    }
}
