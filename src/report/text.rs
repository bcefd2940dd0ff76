/*! Numbers, dates and names as a reader sees them; safe HTML text. */

use crate::words;
use chrono::{Datelike, NaiveDate};

/// Minus sign of printed numbers.
const MINUS: char = '\u{2212}';

/// Date of `day` (days since 1970-01-01); `None` where it is not a date of years 1 to 9999.
pub(crate) fn date(day: f64) -> Option<NaiveDate> {
    words::calendar(day).filter(|date| (1..=9999).contains(&date.year()))
}

/// "2026-06-30"; "no date" where `day` is none.
pub(crate) fn iso_date(day: f64) -> String {
    date(day).map_or_else(|| "no date".into(), |d| d.to_string())
}

/// "March 2027"; "no date" where `day` is none.
pub(crate) fn month_year(day: f64) -> String {
    date(day).map_or_else(|| "no date".into(), |d| d.format("%B %Y").to_string())
}

/// `value` with `decimals` decimals, a true minus sign and digits in threes.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return match value {
            v if v.is_nan() => "unknown".into(),
            v if v > 0.0 => "∞".into(),
            _ => format!("{MINUS}∞"),
        };
    }
    let plain = format!("{:.*}", decimals.min(17), value.abs());
    let zero = plain.bytes().all(|b| b == b'0' || b == b'.');
    let (whole, fraction) = plain.split_once('.').unwrap_or((&plain, ""));
    let mut text = String::new();
    if value < 0.0 && !zero {
        text.push(MINUS);
    }
    text += &words::in_threes(whole);
    if !fraction.is_empty() {
        text.push('.');
        text += &words::decimals_in_threes(fraction);
    }
    text
}

/// Power of ten of the leading digit; 0 for zero and non-finite values.
pub(crate) fn exponent(value: f64) -> i32 {
    if value == 0.0 || !value.is_finite() {
        return 0;
    }
    value.abs().log10().floor() as i32
}

/// The shortest text that reads back as the same number; `unknown` where there is none.
pub(crate) fn all_digits(value: f64) -> String {
    if !value.is_finite() {
        return "unknown".into();
    }
    let digits = zmij::Buffer::new().format_finite(value).to_string();
    digits
        .strip_suffix(".0")
        .map_or(digits.clone(), String::from)
}

/// `value` with `digits` significant digits; `a × 10ⁿ` beyond 10⁻⁴ … 10⁷.
pub(crate) fn significant(value: f64, digits: i32) -> String {
    let power = exponent(value);
    if value != 0.0 && value.is_finite() && !(-4..7).contains(&power) {
        let mantissa = value / 10f64.powi(power);
        return format!(
            "{}{}",
            fixed(mantissa, (digits - 1).max(0) as usize),
            power_of_ten(power)
        );
    }
    fixed(value, (digits - 1 - power).max(0) as usize)
}

/// " × 10⁻⁶" for −6; empty for 0.
pub(crate) fn power_of_ten(power: i32) -> String {
    if power == 0 {
        return String::new();
    }
    let plain = power.to_string();
    let raised = plain.chars().map(|c| match c {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        digit => char::from_u32(0x2070 + digit as u32 - '0' as u32).unwrap_or(digit),
    });
    format!("\u{202f}×\u{202f}10{}", raised.collect::<String>())
}

/// `value` to the digits its standard uncertainty `u` supports (two of `u`, GUM 7.2.6);
/// four significant digits where `u` is not known.
pub(crate) fn to_uncertainty(value: f64, u: f64) -> String {
    if !(u > 0.0 && u.is_finite()) {
        return significant(value, 4);
    }
    let decimals = -words::last_place(u);
    // Below 10⁻⁴ zeros before the first digit that counts are a power of ten.
    let power = exponent(value);
    let small = value != 0.0 && power < -4 && decimals > 5;
    if small || decimals > 12 || power >= 7 {
        return significant(value, (power + decimals + 1).clamp(2, 12));
    }
    fixed(value, decimals.max(0) as usize)
}

/// "1.90 mK" with the unit after a no-break space; no unit, no space.
pub(crate) fn with_unit(number: &str, unit: &str) -> String {
    if unit.is_empty() {
        number.to_string()
    } else {
        format!("{number}\u{a0}{unit}")
    }
}

/// A value rounded to its uncertainty, with its unit.
pub(crate) fn size(value: f64, u: f64, unit: &str) -> String {
    with_unit(&to_uncertainty(value, u), unit)
}

/// Capital at the start, full stop at the end.
pub(crate) fn as_sentence(words: &str) -> String {
    words::full_stop(&words::capitalised(words))
}

/// "+1.9 mK a year", digits by its uncertainty.
pub(crate) fn rate(drift: f64, u: f64, unit: &str) -> String {
    let sign = if drift > 0.0 { "+" } else { "" };
    let number = format!("{sign}{}", to_uncertainty(drift, u));
    format!("{} a\u{a0}year", with_unit(&number, unit))
}

/// "97.3 %"; never rounds up to 100 % nor down to 0 %.
pub(crate) fn percent(probability: f64) -> String {
    let value = probability * 100.0;
    if value.is_nan() {
        return "unknown".into();
    }
    let text = match value {
        v if v > 99.95 && v < 100.0 => "> 99.9".to_string(),
        v if v > 0.0 && v < 0.05 => "< 0.1".to_string(),
        v => fixed(v, 1).trim_end_matches(".0").to_string(),
    };
    format!("{text}\u{a0}%")
}

/// A sentence in which no line may end between a number and its short unit, nor beside "±"
/// and "=": "95 %", "365 d", "k = 2".
pub(crate) fn unbroken(sentence: &str) -> String {
    const LONGEST_UNIT: usize = 3;
    let words: Vec<&str> = sentence.split(' ').collect();
    let mut out = String::with_capacity(sentence.len() + 16);
    for (index, word) in words.iter().enumerate() {
        if index > 0 {
            let before = words[index - 1];
            let core = word.trim_end_matches([',', '.', ';', ':', ')']);
            let unit = before.ends_with(|c: char| c.is_ascii_digit())
                && (1..=LONGEST_UNIT).contains(&core.chars().count())
                && core.chars().all(|c| c.is_alphabetic() || "%°√".contains(c));
            let sign = |word: &str| matches!(word, "±" | "=");
            let joined = unit || sign(before) || sign(word);
            out.push(if joined { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
    }
    out
}

/// "1 check", "12 checks".
pub(crate) fn count(number: usize, noun: &str) -> String {
    words::count(number, noun).replace(' ', "\u{a0}")
}

/// A sentence with true minus signs before its negative numbers; ranges, dates and names keep
/// their hyphens.
pub(crate) fn with_minus_signs(sentence: &str) -> String {
    let mut out = String::with_capacity(sentence.len() + 8);
    let mut copied = 0;
    for (at, _) in sentence.match_indices('-') {
        let number = sentence
            .as_bytes()
            .get(at + 1)
            .is_some_and(u8::is_ascii_digit);
        let before = sentence[..at].chars().next_back().unwrap_or(' ');
        if number && (before.is_whitespace() || before == '(') {
            out.push_str(&sentence[copied..at]);
            out.push(MINUS);
            copied = at + 1;
        }
    }
    out.push_str(&sentence[copied..]);
    out
}

/// A path as a shell takes it: in quotation marks where a sign in it has a meaning there.
pub(crate) fn shell_word(path: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "/\\._-:+~".contains(c);
    match path.chars().all(plain) {
        true => path.to_string(),
        false => format!("'{}'", path.replace('\'', "'\\''")),
    }
}

/// `text` for a terminal or a mail: characters that would steer it, or turn the order in which the
/// others are read, are shown by their number, as in `\u{1b}`.
pub(crate) fn harmless(text: &str) -> String {
    let steers = |c: char| {
        (c.is_control() && !matches!(c, '\n' | '\t'))
            || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    replaced(text, steers, |letter, out| {
        out.extend(letter.escape_unicode());
    })
}

/// Escapes text for HTML, XML content and attributes; drops characters XML forbids.
pub(crate) fn escape(text: &str) -> String {
    let plain = |byte: u8| {
        matches!(byte, b' '..=b'~') && !matches!(byte, b'&' | b'<' | b'>' | b'"' | b'\'')
    };
    if text.bytes().all(plain) {
        return text.to_string();
    }
    let special = |c: char| {
        matches!(c, '&' | '<' | '>' | '"' | '\'' | '\u{fffe}' | '\u{ffff}') || c.is_control()
    };
    replaced(text, special, |letter, out| match letter {
        '&' => out.push_str("&amp;"),
        '<' => out.push_str("&lt;"),
        '>' => out.push_str("&gt;"),
        '"' => out.push_str("&quot;"),
        '\'' => out.push_str("&#39;"),
        '\n' | '\t' => out.push(' '),
        _ => {}
    })
}

/// `text` with what `write` puts in the place of each `special` character; all between is copied.
pub(super) fn replaced(
    text: &str,
    special: impl Fn(char) -> bool,
    write: impl Fn(char, &mut String),
) -> String {
    let mut out = String::with_capacity(text.len() + 16);
    let mut rest = text;
    while let Some(at) = rest.find(&special) {
        let (plain, tail) = rest.split_at(at);
        out.push_str(plain);
        let mut letters = tail.chars();
        if let Some(letter) = letters.next() {
            write(letter, &mut out);
        }
        rest = letters.as_str();
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_well() {
        assert_eq!(fixed(-1234567.0, 0), "−1\u{202f}234\u{202f}567");
        assert_eq!(fixed(-0.0001, 2), "0.00");
        assert_eq!(to_uncertainty(1.8973, 0.031), "1.897");
        assert_eq!(to_uncertainty(1897.3, 31.0), "1897");
        assert_eq!(to_uncertainty(4.4216, 0.0996), "4.42");
        let tiny = "1.90\u{202f}×\u{202f}10⁻¹¹";
        assert_eq!(to_uncertainty(1.9e-11, 4e-12), tiny);
        // A ratio beside one keeps its places.
        assert_eq!(
            to_uncertainty(1.000_000_023, 1.2e-9),
            "1.000\u{202f}000\u{202f}023\u{202f}0"
        );
        assert_eq!(significant(0.0, 3), "0.00");
        assert_eq!(significant(1.5e-9, 2), "1.5\u{202f}×\u{202f}10⁻⁹");
        assert_eq!(rate(1.9, 0.2, "mK"), "+1.90\u{a0}mK a\u{a0}year");
        assert_eq!(percent(0.99999), "> 99.9\u{a0}%");
        assert_eq!(percent(1.0), "100\u{a0}%");
        assert_eq!(count(2, "history"), "2\u{a0}histories");
    }

    #[test]
    fn only_negative_numbers_of_a_sentence_get_a_minus_sign() {
        let sentence = "TH-003: -701 µg (-500 to 500), 2026-06-30, IEC 60751-1, x - 3, 1e-9";
        let expected = "TH-003: −701 µg (−500 to 500), 2026-06-30, IEC 60751-1, x - 3, 1e-9";
        assert_eq!(with_minus_signs(sentence), expected);
    }

    #[test]
    fn impossible_days_are_no_dates() {
        assert_eq!(iso_date(f64::NAN), "no date");
        assert_eq!(iso_date(1e300), "no date");
        assert_eq!(iso_date(0.0), "1970-01-01");
        assert_eq!(iso_date(-1.5), "1969-12-30");
    }
}
