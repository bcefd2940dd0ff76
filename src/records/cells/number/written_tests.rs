use super::*;

fn read(text: &str, comma: bool) -> Result<(Form, f64, &str), NumberProblem> {
    let marks = Marks::with_thousands(comma);
    written(text, marks).map(|w| (w.form, w.number.value, w.unit))
}

#[test]
fn what_stands_around_a_number_is_told_apart() {
    use Form::{Below, Plain, Within};
    for (text, comma, expected) in [
        ("25,3 mK", true, (Plain, 25.3, "mK")),
        ("25.3mK", false, (Plain, 25.3, "mK")),
        ("1 234", false, (Plain, 1234.0, "")),
        ("1\u{a0}234,5 Ω", true, (Plain, 1234.5, "Ω")),
        ("1'234.5", false, (Plain, 1234.5, "")),
        ("- 0.5", false, (Plain, -0.5, "")),
        ("100.000 012 3", false, (Plain, 100.000_012_3, "")),
        ("1.234,5", true, (Plain, 1234.5, "")),
        ("±0.05", false, (Within, 0.05, "")),
        ("± 0,5 K", true, (Within, 0.5, "K")),
        ("+0.5 %", false, (Plain, 0.5, "%")),
        ("+/- 3", false, (Within, 3.0, "")),
        ("< 0,5", true, (Below, 0.5, "")),
        ("1.5e-6 m", false, (Plain, 1.5e-6, "m")),
        ("2E3", false, (Plain, 2000.0, "")),
        ("20 g + 0.013 mg", false, (Plain, 20_000.013, "mg")),
        ("200 g − 0,02 mg", true, (Plain, 199_999.98, "mg")),
        ("1 kg - 1.5 mg", false, (Plain, 999_998.5, "mg")),
        ("100 mm +0.12 µm", false, (Plain, 100_000.12, "µm")),
    ] {
        assert_eq!(read(text, comma), Ok(expected), "{text}");
    }
}

#[test]
fn a_word_for_none_is_no_number_and_no_outcome() {
    for text in ["néant", "NÉANT", "Keine", "none", "–", "n/a"] {
        assert!(is_no_number(text), "{text}");
    }
    assert!(!is_nothing("keine") && !is_no_number("nine"));
}

#[test]
fn what_has_two_readings_is_no_number() {
    for text in [
        "1 23",
        "5 1234",
        "12 .5",
        "1 234.5 6 7",
        "12-14",
        "1.2.3",
        "K",
        "±",
        "",
    ] {
        assert!(read(text, false).is_err(), "{text}");
    }
}

#[test]
fn a_range_is_no_value_with_its_rest() {
    for text in [
        "0 bar - 10 bar",
        "990 hPa – 1010 hPa",
        "20 g + 0.013 mg + 1 mg",
        "20 g + 0.013 mK",
    ] {
        let (_, number, unit) = read(text, false).unwrap();
        assert!(
            unit.contains(' ') && text.starts_with(&number.to_string()),
            "{text}: {unit}"
        );
    }
}

#[test]
fn two_numbers_in_a_cell_are_a_pair() {
    assert_eq!(pair("5.2 / 0.3"), Some(("5.2", "0.3")));
    assert_eq!(pair("-5,2/+0,3"), Some(("-5,2", "+0,3")));
    assert_eq!(pair("0,40 ± 0,10"), Some(("0,40", "0,10")));
    assert_eq!(pair("0.63 mV +/- 10 µV"), Some(("0.63 mV", "10 µV")));
    assert_eq!(pair("0.2 / ±0.04"), Some(("0.2", "±0.04")));
    assert_eq!(
        pair("+0.28 mm (U = 0.10 mm)"),
        Some(("+0.28 mm", "0.10 mm"))
    );
    assert_eq!(pair("0,28; U=0,10"), Some(("0,28", "0,10")));
    for other in [
        "0.28 (U = 0.1, k = 2)",
        "0.28 (TU = 0.1)",
        "U = 0.1",
        "0.28 (U = 0.1",
    ] {
        assert_eq!(pair(other), None, "{other}");
    }
    assert_eq!(pair("± 0.1"), None);
    assert_eq!(pair("5 m/s"), None);
    assert_eq!(pair("1/2/2020"), None);
    assert_eq!(pair("n/a"), None);
}

#[test]
fn a_bare_number_has_nothing_around_it_and_nothing_between() {
    for text in ["5", "-0.5", "+1,25", "1.234", "0.", "007"] {
        assert!(is_bare(text) && pair(text).is_none(), "{text}");
    }
    let others = [
        "",
        "-",
        "+",
        ".",
        "--5",
        "1..2",
        "1.234,5",
        "1-2",
        "5 V",
        "±5",
        "1e3",
        "½",
        "1/2",
        "\u{2212}5",
    ];
    assert!(others.iter().all(|text| !is_bare(text)));
}
