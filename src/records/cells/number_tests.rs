use super::*;
use crate::property_cases::usual;
use proptest::prelude::*;

fn read(text: &str) -> Result<f64, NumberProblem> {
    Number::parse(text, false).map(|n| n.value)
}

#[test]
fn reads_what_people_write() {
    assert_eq!(read("-0.132"), Ok(-0.132));
    assert_eq!(read("+7"), Ok(7.0));
    assert_eq!(read("1.5e-6"), Ok(1.5e-6));
    assert_eq!(read("\u{2212}2.5"), Ok(-2.5));
    assert_eq!(read("\u{2013}2.5"), Ok(-2.5));
    assert_eq!(read("0.12-"), Ok(-0.12));
    assert_eq!(read("0.12\u{2212}"), Ok(-0.12));
    assert_eq!(
        read("100.0000123000000001"),
        Ok("100.0000123000000001".parse().unwrap())
    );
    assert_eq!(Number::parse("-0,5", true).map(|n| n.value), Ok(-0.5));
}

#[test]
fn says_why_not() {
    for text in ["nan", "inf", "-Infinity", "1e999"] {
        assert_eq!(read(text), Err(NumberProblem::NotFinite));
    }
    for text in [
        "",
        "-",
        ".",
        "1 000",
        "abc",
        "1,000,000",
        "0x10",
        "-1-",
        "1--",
        "1-2-",
    ] {
        assert_eq!(read(text), Err(NumberProblem::Unreadable), "{text}");
    }
    assert_eq!(read("0,5"), Err(NumberProblem::Comma));
    assert_eq!(Number::parse("1.5", true), Err(NumberProblem::Point));
}

#[test]
fn differences_are_decimal() {
    let number = |text| Number::parse(text, false).unwrap();
    assert_eq!(number("27.8680").minus(number("28")), -0.132);
    assert_eq!(number("100.0000123").minus(number("100")), 0.0000123);
    assert_eq!(number("1e-3").minus(number("0.5")), 0.001 - 0.5);
}

#[test]
fn products_and_numbers_with_powers_of_ten_are_decimal() {
    let number = |text: &str| Number::parse(text, false).unwrap();
    // As doubles 0.0007 · 200 is 0.13999999999999999, and 1.02e-7 − 1e-7 is 2.0000000000000047e-9.
    assert_eq!(number("0.0007").times(number("200")).value, 0.14);
    assert_eq!(number("-0.5").times(number("0.2")).value, -0.1);
    assert_eq!(number("1.02E-07").minus(number("1.00E-07")), 2e-9);
    assert_eq!(number("-2.5").size().value, 2.5);
    let long = number("0.333333333333333");
    assert_eq!(long.times(long).value, long.value * long.value);
}

#[test]
fn means_are_decimal() {
    let mean = |texts: &[&str]| {
        let all = texts.iter().map(|text| Number::parse(text, false).unwrap());
        Number::mean(&all.collect::<Vec<_>>()).map(|number| number.value)
    };
    assert_eq!(mean(&["10.1", "10.2", "10.30"]), Some(10.2));
    assert_eq!(mean(&["1", "2", "2"]), Some(5.0 / 3.0));
    assert_eq!(mean(&["1e300", "3e300"]), Some(2e300));
    assert_eq!(mean(&[]), None);
}

#[test]
fn powers_of_ten_are_exact() {
    let scaled = |text, power| Number::parse(text, false).unwrap().scaled(power);
    assert_eq!(scaled("25.3", -3).value, 0.0253);
    assert_eq!(scaled("0.3", 3).value, 300.0);
    assert_eq!(scaled("0.1", -30).value, 1e-31);
    let difference = scaled("25.3", -3).minus(scaled("25", -3));
    assert_eq!(difference, 0.0003);
}

proptest! {
    #![proptest_config(usual())]

    #[test]
    fn agrees_with_the_standard_library(value in proptest::num::f64::NORMAL) {
        prop_assert_eq!(read(&value.to_string()), Ok(value));
        prop_assert_eq!(read(&format!("{value:e}")), Ok(value));
    }

    #[test]
    fn short_decimals_agree_too(mantissa in -999_999_999i64..999_999_999, scale in 0usize..9) {
        let text = format!("{:.*}", scale, mantissa as f64 / 10f64.powi(scale as i32));
        prop_assert_eq!(read(&text), Ok(text.parse().unwrap()));
    }
}
