use super::*;
use crate::property_cases::usual;
use proptest::prelude::*;

#[test]
fn a_sentence_ends_with_one_full_stop() {
    assert_eq!(["x", "x.", "x?"].map(full_stop), ["x.", "x.", "x?"]);
}

#[test]
fn days_are_no_daies() {
    assert_eq!([1, 2].map(|n| count(n, "day")), ["1 day", "2 days"]);
}

#[test]
fn a_lower_bound_is_never_rounded_up() {
    let told = [0.95, 0.958_7, 0.999_95, 1.0, 0.0004].map(percent_down);
    assert_eq!(told, ["95 %", "95.8 %", "99.9 %", "100 %", "0 %"]);
}

#[test]
fn one_thing_is_told_in_the_singular_and_many_in_threes() {
    for (number, thing, expected) in [
        (1, "life", "1 life"),
        (2, "life", "2 lives"),
        (0, "check", "0 checks"),
        (3, "history", "3 histories"),
        (9999, "row", "9999 rows"),
        (18_904, "proposal", "18\u{202f}904 proposals"),
        (1_234_567, "check", "1\u{202f}234\u{202f}567 checks"),
    ] {
        assert_eq!(count(number, thing), expected);
    }
}

/// Digits as they come from rounding the binary value itself.
fn rounded(value: f64, digits: i32) -> String {
    let places = (digits - 1 - value.abs().log10().floor() as i32).max(0) as usize;
    let text = format!("{value:.places$}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').into(),
        false => text,
    }
}

proptest! {
    #![proptest_config(usual())]

    #[test]
    fn a_round_number_is_written_as_it_would_be_rounded(
        whole in -999_999i32..999_999,
        power in -4i32..4,
        digits in 1i32..18,
        free in -1.0..1.0f64,
    ) {
        for value in [f64::from(whole) / 10f64.powi(power), free * 10f64.powi(power)] {
            if value.abs() > 1e-5 && value.abs() < 1e8 {
                prop_assert_eq!(significant(value, digits), rounded(value, digits));
            }
        }
    }
}

#[test]
fn numbers_read_as_a_person_writes_them() {
    assert_eq!(date(0.0), "1970-01-01");
    assert_eq!(date(20_634.5), "2026-06-30");
    assert_eq!(date(f64::NAN), "an unknown date");
    assert_eq!(percent(0.95), "95 %");
    assert_eq!(percent(0.99999), "more than 99.9 %");
    assert_eq!(percent(0.00001), "less than 0.1 %");
    assert_eq!(percent(0.0), "0 %");
    assert_eq!(figure(0.001_234_5, "mK"), "0.00123 mK");
    assert_eq!(figure(-1200.0, ""), "-1200");
    assert_eq!(figure(1.5e-9, "kg"), "1.50e-9 kg");
    assert_eq!(figure(f64::INFINITY, "mK"), "too large to tell mK");
    assert_eq!(format!("{:.3}", Short(f64::NAN)), "unknown");
    assert_eq!(count(1, "check"), "1 check");
    assert_eq!(format!("{:+.3}", Short(0.31)), "+0.310");
    assert_eq!(
        format!("{:+.2} {:.1}", Short(-1e308), Short(1e9)),
        "-1.00e308 1.0e9"
    );
}

#[test]
fn a_value_has_the_digits_of_its_uncertainty() {
    assert_eq!(plus_minus(4.4216, 0.6953, "mK"), "4.42 ± 0.70 mK");
    assert_eq!(
        plus_minus(100.000_299, 0.000_035, "ohm"),
        "100.000299 ± 0.000035 ohm"
    );
    assert_eq!(plus_minus(-0.0001, 0.0996, ""), "0.00 ± 0.10");
    assert_eq!(plus_minus(1234.6, 57.3, "µg"), "1235 ± 57 µg");
    assert_eq!(plus_minus(1.5e-13, 2.0e-14, "kg"), "1.50e-13 ± 2.0e-14 kg");
    assert_eq!(resolved(2.345_67, f64::NAN), "2.35");
    assert_eq!(resolved(0.0, 1e-20), "0");
    assert_eq!(resolved(-6.591e307, 1.2e4), "-6.59100000000e307");
}
