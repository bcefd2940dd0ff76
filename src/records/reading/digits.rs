/*! Digits of other scripts, each of which has one reading: full-width ones (`２５．００１`), Arabic-Indic and Persian ones
(`٢٥٫٠٠١`), as spreadsheets and forms of East Asia and the Arab world write them. */

use std::borrow::Cow;

/// What parts the fields of a text table, whatever its delimiter.
const BETWEEN_FIELDS: [char; 7] = [',', ';', '\t', '|', '"', '\n', '\r'];

/// First bytes of such digits in UTF-8: of the full-width forms, and of the two Arabic rows.
const FIRST_BYTES: [u8; 3] = [0xEF, 0xD9, 0xDB];

/// A text table with the digits 0 to 9 in the fields that are a number, an amount or a date in digits of another script;
/// names and remarks stay as they are written.
pub(crate) fn in_own_digits(text: Cow<'_, str>) -> Cow<'_, str> {
    let [full_width, arabic, persian] = FIRST_BYTES;
    if memchr::memchr3(full_width, arabic, persian, text.as_bytes()).is_none() {
        return text;
    }
    let mut rest: &str = &text;
    let mut own = String::with_capacity(text.len());
    while !rest.is_empty() {
        let end = rest.find(BETWEEN_FIELDS).unwrap_or(rest.len());
        let (field, behind) = rest.split_at(end);
        own.push_str(&field_in_own_digits(field));
        let mark = behind.chars().next().map_or(0, char::len_utf8);
        own.push_str(&behind[..mark]);
        rest = &behind[mark..];
    }
    Cow::Owned(own)
}

/// The same of one field.
pub(crate) fn field_in_own_digits(field: &str) -> Cow<'_, str> {
    let other = |c: char| !c.is_ascii() && own(c).is_ascii_digit();
    if field.is_ascii() || !field.chars().any(other) {
        return Cow::Borrowed(field);
    }
    let folded: String = field.chars().map(own).collect();
    match is_amount_or_date(folded.trim()) {
        true => Cow::Owned(folded),
        false => Cow::Borrowed(field),
    }
}

/// The sign of ASCII for one of another script; any other sign as it is.
fn own(c: char) -> char {
    /// How far the full-width forms lie behind those of ASCII (Unicode 15, block FF00).
    const FULL_WIDTH: u32 = 0xFEE0;
    let digit = |first: u32| char::from_digit(u32::from(c) - first, 10).unwrap_or(c);
    match c {
        '\u{660}'..='\u{669}' => digit(0x660),
        '\u{6f0}'..='\u{6f9}' => digit(0x6f0),
        '\u{66a}' => '%',
        '\u{66b}' => '.',
        // The mark of thousands groups digits as a narrow blank does.
        '\u{66c}' => '\u{202f}',
        '\u{3000}' => ' ',
        // What would part two fields stays.
        '，' | '；' | '｜' | '＂' => c,
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(u32::from(c) - FULL_WIDTH).unwrap_or(c),
        other => other,
    }
}

/// True for what begins with a digit or a year of an era, and has digits, their signs and those of dates, and a unit behind
/// them: no name and no remark.
fn is_amount_or_date(text: &str) -> bool {
    const ERAS: [&str; 3] = ["令和", "平成", "昭和"];
    let of_era = ERAS.iter().find_map(|era| text.strip_prefix(era));
    let signs = |c: char| "+-±−–<>≤≥( ".contains(c);
    let text = of_era.unwrap_or(text.trim_start_matches(signs));
    let unit = |c: char| c.is_ascii_alphabetic() || "ΩµμÅ℃°".contains(c);
    let mark = |c: char| {
        c.is_ascii_digit()
            || "年月日時分秒火水木金土년월일.:/-+±−–%()[]=* \u{202f}\u{a0}".contains(c)
    };
    let (number, behind) = text.split_at(text.find(unit).unwrap_or(text.len()));
    text.starts_with(|c: char| c.is_ascii_digit())
        && number.chars().all(mark)
        && behind.chars().all(|c| unit(c) || mark(c))
        // "3A-2" is a name; of an exponent the digits stand behind its letter.
        && (behind.starts_with(['e', 'E']) || !behind.contains(|c: char| c.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_dates_are_read_in_any_digits() {
        for (field, expected) in [
            ("２５．００１", "25.001"),
            ("±０．００５", "±0.005"),
            ("－０．２ ｍＶ", "-0.2 mV"),
            ("２０２１年３月４日", "2021年3月4日"),
            ("令和３年３月４日（木）", "令和3年3月4日(木)"),
            ("２０２１／３／４", "2021/3/4"),
            ("١٠٫٠٢", "10.02"),
            ("۱۰٫۰۲ bar", "10.02 bar"),
            ("٢٠٢١-٠٣-٠٢", "2021-03-02"),
            ("１．２Ｅ－３", "1.2E-3"),
        ] {
            assert_eq!(field_in_own_digits(field), expected, "{field}");
        }
        // Names and remarks, and a comma that would part two fields.
        for field in [
            "ＴＨ－０１",
            "１号機",
            "機器１",
            "３Ａ－２",
            "２５，００１",
            "校正１回目",
            "12.5",
            "",
        ] {
            assert_eq!(field_in_own_digits(field), field);
        }
    }

    #[test]
    fn a_table_keeps_its_fields() {
        let text = "名称１;測定日\n\"ＴＨ－１\";２０２１／３／４\r\nＢ；１,２\n";
        let own = in_own_digits(Cow::Borrowed(text));
        assert_eq!(own, "名称１;測定日\n\"ＴＨ－１\";2021/3/4\r\nＢ；１,2\n");
    }
}
