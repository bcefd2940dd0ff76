/*! By which letters a text is read that is no UTF-8: those by which most of its headers are known. */

use super::columns::header_words;
use super::doubt::{Answer, Doubt};
use crate::records::encoding::Encoding;
use crate::records::reading::csv::text::DELIMITERS;
use encoding_rs::{
    EUC_JP, GB18030, ISO_8859_2, ISO_8859_5, KOI8_R, SHIFT_JIS, WINDOWS_1250, WINDOWS_1251,
    WINDOWS_1253, WINDOWS_1254, WINDOWS_1257,
};

/// Lines among which the header is.
const LINES: usize = 60;

/// Encodings of which the words of some headers are known; the first of equals is taken.
const WITH_WORDS: [&encoding_rs::Encoding; 7] = [
    WINDOWS_1250,
    ISO_8859_2,
    WINDOWS_1254,
    WINDOWS_1257,
    SHIFT_JIS,
    EUC_JP,
    GB18030,
];

/// Scripts of which no headers are known, each with its most frequent small letters (from memory): they
/// tell the encodings of one script apart.
const SCRIPTS: [(&encoding_rs::Encoding, &str); 4] = [
    (WINDOWS_1251, "оеаинтсрвл"),
    (KOI8_R, "оеаинтсрвл"),
    (ISO_8859_5, "оеаинтсрвл"),
    (WINDOWS_1253, "αοιετσνηυρ"),
];

/// Of the letters of a header that is of no Latin script so many are beyond ASCII, at least.
const MOST: f64 = 0.6;

/// By which letters a text is read, and why.
pub(super) struct Letters {
    pub encoding: Encoding,
    /// Why, as a sentence.
    pub note: String,
    /// What deserves a look.
    pub to_check: Option<String>,
    pub doubt: Option<Doubt>,
}

/// The encoding of `bytes`, which are no UTF-8 since `why`, and read as Windows-1252 are `western`.
pub(super) fn letters(bytes: &[u8], western: &str, why: &str) -> Letters {
    let head = head(bytes);
    let own: Vec<&str> = western.lines().take(LINES).collect();
    let mut best = Letters {
        encoding: Encoding::Latin1,
        note: format!("Encoding: Latin-1, since {why}."),
        to_check: None,
        doubt: None,
    };
    let mut most = own.iter().map(|line| known(line)).max().unwrap_or(0);
    for named in WITH_WORDS {
        let Some(text) = Encoding::decoded(named, head) else {
            continue;
        };
        let lines = text.lines().zip(&own);
        let Some((line, western)) = lines.max_by_key(|(line, _)| known(line)) else {
            continue;
        };
        let has = known(line);
        if has > most && Encoding::decoded(named, bytes).is_some() {
            most = has;
            let encoding = Encoding::Named(named);
            let word = encoding.word();
            let example = differing(line, western);
            best = Letters {
                encoding,
                note: format!("Encoding: {word}, by whose letters its headers are known."),
                to_check: Some(format!(
                    "The letters are read as {word} (encoding): {example}."
                )),
                doubt: None,
            };
        }
    }
    match best.encoding {
        Encoding::Latin1 => other_script(head, bytes, &own).unwrap_or(best),
        _ => best,
    }
}

/// Another script, where the header is of no Latin one; which encoding of it is asked.
fn other_script(head: &[u8], bytes: &[u8], own: &[&str]) -> Option<Letters> {
    let place = own.iter().position(|line| is_of_other_script(line))?;
    let frequent =
        |text: &str, letters: &str| text.chars().filter(|c| letters.contains(*c)).count();
    let read = SCRIPTS.into_iter().rev().filter_map(|(named, letters)| {
        let text = Encoding::decoded(named, head)?;
        Encoding::decoded(named, bytes)?;
        let line = text.lines().nth(place)?.to_string();
        Some((frequent(&line, letters), named, line))
    });
    let (_, named, line) = read.max_by_key(|(count, ..)| *count)?;
    let encoding = Encoding::Named(named);
    let word = encoding.word();
    let words = format!(
        "The letters are none of Western Europe and are read as {word} (encoding): {}. If they are others, state the encoding, such as \"windows-1251\" or \"koi8-r\", take the headers out of [checks.columns], and run driftbook start again.",
        differing(&line, own[place])
    );
    Some(Letters {
        encoding,
        note: format!("Encoding: {word}, by its most frequent letters."),
        to_check: None,
        doubt: Some(
            Doubt::new("letters", words)
                .of_form()
                .or("the letters are right so", Answer::AsTaken),
        ),
    })
}

/// True for a line of several fields whose letters are beyond ASCII for the most part.
fn is_of_other_script(line: &str) -> bool {
    let fields = |delimiter: &u8| line.split(char::from(*delimiter)).count();
    let widest = DELIMITERS.iter().map(fields).max().unwrap_or(0);
    let letters = || line.chars().filter(|c| c.is_alphabetic());
    let beyond = letters().filter(|c| !c.is_ascii()).count();
    widest > 2 && beyond > 2 && beyond as f64 >= MOST * letters().count() as f64
}

/// The first lines of a text.
fn head(bytes: &[u8]) -> &[u8] {
    let mut ends = memchr::memchr_iter(b'\n', bytes);
    &bytes[..ends.nth(LINES - 1).unwrap_or(bytes.len())]
}

/// How many of our columns the words of a line name.
fn known(line: &str) -> usize {
    let words = |delimiter: u8| {
        let fields = line.split(char::from(delimiter));
        let fields: Vec<String> = fields.map(|f| f.trim_matches('"').to_string()).collect();
        header_words(&fields)
    };
    DELIMITERS.into_iter().map(words).max().unwrap_or(0)
}

/// The first field of a line that other letters change, both ways.
fn differing(line: &str, western: &str) -> String {
    let most = DELIMITERS
        .into_iter()
        .max_by_key(|delimiter| line.matches(char::from(*delimiter)).count());
    let delimiter = char::from(most.unwrap_or(b','));
    let mut fields = line.split(delimiter).zip(western.split(delimiter));
    let (own, other) = fields
        .find(|(own, other)| own != other)
        .unwrap_or((line, western));
    format!("\"{}\", not \"{}\"", own.trim(), other.trim())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::reading::decoding::decode;

    fn read(named: &'static encoding_rs::Encoding, text: &str) -> Letters {
        let bytes = Encoding::Named(named).encoded(text).unwrap();
        let western = decode(&bytes, Encoding::Latin1, "f").unwrap();
        letters(&bytes, &western, "it is none")
    }

    #[test]
    fn headers_tell_by_which_letters_they_are_written() {
        for (named, text) in [
            (
                WINDOWS_1250,
                "Nr;Data wzorcowania;Błąd [mV];Niepewność [mV]\n",
            ),
            (WINDOWS_1250, "Měřidlo;Datum kalibrace;Dovolená odchylka\n"),
            (
                ISO_8859_2,
                "Nr;Data wzorcowania;Błąd [mV];Niepewność [mV]\n",
            ),
            (SHIFT_JIS, "管理番号,校正日,誤差(℃)\n"),
            (GB18030, "编号,校准日期,误差\n"),
        ] {
            let found = read(named, text);
            assert_eq!(found.encoding, Encoding::Named(named), "{text}");
            assert!(found.doubt.is_none() && found.to_check.is_some());
        }
        for western in [
            "Repère;Date d'étalonnage;Incertitude élargie\n",
            "Mätdon;Datum;Övre gräns\n",
            "Måleinstrument;Dato;Øvre grense\n",
            "Código;Fecha de calibración;Año\n",
        ] {
            let found = read(encoding_rs::WINDOWS_1252, western);
            assert_eq!(found.encoding, Encoding::Latin1, "{western}");
            assert!(found.doubt.is_none(), "{western}");
        }
    }

    #[test]
    fn other_scripts_are_read_by_their_most_frequent_letters_and_asked_about() {
        for (named, text) in [
            (
                WINDOWS_1251,
                "Прибор;Дата поверки;Погрешность, мВ\nВ-1;2021-03-05;0,4\n",
            ),
            (
                KOI8_R,
                "Прибор;Дата поверки;Погрешность, мВ\nВ-1;2021-03-05;0,4\n",
            ),
            (
                WINDOWS_1253,
                "Όργανο;Ημερομηνία;Σφάλμα\nΟ-1;2021-03-05;0,4\n",
            ),
        ] {
            let found = read(named, text);
            assert_eq!(found.encoding, Encoding::Named(named), "{text}");
            assert!(found.doubt.is_some(), "{text}");
        }
    }
}
