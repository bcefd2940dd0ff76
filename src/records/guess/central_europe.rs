/*! Whether a text that is read by the letters of Western Europe was written by those of Central Europe. */

use super::columns::header_words;
use super::doubt::{Answer, Doubt};

/// Letters of Windows-1252 whose bytes are other letters in Windows-1250 (the index of
/// windows-1250 in the WHATWG Encoding Standard), in pairs.
const LETTERS: &str =
    "ŒŚœśŸź£Ł¥ĄªŞ¯Ż³ł¹ąºş¼Ľ¾ľ¿żÀŔÃĂÅĹÆĆÈČÊĘÌĚÏĎÐĐÑŃÒŇÕŐØŘÙŮÛŰÞŢàŕãăåĺæćèčêęìěïďðđñńòňõőøřùůûűþţ";

/// Lines among which the header is.
const LINES: usize = 60;

/// The letter that stands in Windows-1250 where Windows-1252 has `c`.
fn central(c: char) -> char {
    let mut letters = LETTERS.chars();
    while let (Some(western), Some(central)) = (letters.next(), letters.next()) {
        if western == c {
            return central;
        }
    }
    c
}

/// Asks about a text, read as Windows-1252, of whose headers more are known words by Windows-1250.
pub(super) fn about_central_europe(text: &str, delimiter: u8) -> Option<Doubt> {
    let known = |line: &str| {
        let fields = line.split(char::from(delimiter));
        let fields: Vec<String> = fields.map(|f| f.trim_matches('"').to_string()).collect();
        header_words(&fields)
    };
    let turned = |line: &str| line.chars().map(central).collect::<String>();
    let more = |line: &&str| !line.is_ascii() && known(&turned(line)) > known(line);
    let line = text.lines().take(LINES).find(more)?;
    let mut fields = line.split(char::from(delimiter));
    let own = fields.find(|field| turned(field) != **field)?;
    let words = format!(
        "\"{own}\" would be \"{}\" by the letters of Central Europe (Windows-1250), which are not read: names, units and words of this file come out wrong. Save the file as UTF-8 (\"CSV UTF-8\" in a spreadsheet program).",
        turned(own)
    );
    Some(Doubt::new("letters", words).or("the letters are right as they are", Answer::AsTaken))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polish_and_czech_headers_are_seen_behind_western_letters() {
        let asked = |text: &str| about_central_europe(text, b';').map(|doubt| doubt.words);
        let polish = asked("Nr;Data wzorcowania;B³¹d [mV];Niepewnoœæ [mV]\n").unwrap();
        assert!(polish.contains("\"Błąd [mV]\""), "{polish}");
        assert!(asked("Mìøidlo;Datum kalibrace;Dovolená odchylka\n").is_some());
        for western in [
            "Repère;Date d'étalonnage;Incertitude élargie\n",
            "Mätdon;Datum;Övre gräns\n",
            "Måleinstrument;Dato;Øvre grense\n",
            "Código;Fecha de calibración;Año\n",
            "Item;Date;Error\n",
        ] {
            assert_eq!(asked(western), None, "{western}");
        }
    }
}
