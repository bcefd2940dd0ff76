/*! How letters beyond ASCII are stored. */

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// How letters beyond ASCII are stored in a text file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Encoding {
    /// UTF-8, with or without byte order mark; UTF-16 is recognised by its mark.
    #[default]
    Utf8,
    /// ISO 8859-1, Western Europe, with the signs that Windows-1252 has beyond it.
    Latin1,
    /// Each file by itself: UTF-8 where all its bytes are, else Latin-1.
    Auto,
    /// Another one, by its name in the WHATWG Encoding Standard.
    Named(&'static encoding_rs::Encoding),
}

impl Encoding {
    /// The encoding of a file with these bytes.
    pub(crate) fn of(self, bytes: &[u8]) -> Encoding {
        match self {
            Encoding::Auto if std::str::from_utf8(bytes).is_err() => Encoding::Latin1,
            Encoding::Auto => Encoding::Utf8,
            stated => stated,
        }
    }

    /// The setting's text.
    pub(crate) fn word(self) -> String {
        match self {
            Encoding::Utf8 => "utf-8".into(),
            Encoding::Latin1 => "latin-1".into(),
            Encoding::Auto => "auto".into(),
            Encoding::Named(named) => named.name().to_lowercase(),
        }
    }

    /// A text as its bytes; the first letter that the encoding does not have is the error.
    pub(crate) fn encoded(self, text: &str) -> Result<Vec<u8>, char> {
        match self {
            Encoding::Utf8 | Encoding::Auto => Ok(text.as_bytes().to_vec()),
            Encoding::Latin1 => {
                let byte = |c| u8::try_from(u32::from(c)).map_err(|_| c);
                text.chars().map(byte).collect()
            }
            Encoding::Named(named) => match named.encode(text) {
                (bytes, used, false) if used == named => Ok(bytes.into_owned()),
                _ => {
                    let mut letters = text.chars();
                    let lacks = |c: &char| named.encode(c.encode_utf8(&mut [0; 4])).2;
                    Err(letters.find(lacks).unwrap_or_default())
                }
            },
        }
    }

    /// Bytes as a text by an encoding that is named; `None` where they are none of it.
    pub(crate) fn decoded<'a>(
        named: &'static encoding_rs::Encoding,
        bytes: &'a [u8],
    ) -> Option<Cow<'a, str>> {
        named.decode_without_bom_handling_and_without_replacement(bytes)
    }
}

impl From<Encoding> for String {
    fn from(encoding: Encoding) -> Self {
        encoding.word()
    }
}

impl TryFrom<String> for Encoding {
    type Error = String;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        let own = [Encoding::Utf8, Encoding::Latin1, Encoding::Auto];
        let name = text.trim().to_lowercase();
        if let Some(own) = own.into_iter().find(|own| own.word() == name) {
            return Ok(own);
        }
        // By that standard a text without a mark is as UTF-16 not told from others.
        let named = encoding_rs::Encoding::for_label(name.as_bytes());
        match named.filter(|named| named.is_ascii_compatible()) {
            Some(utf8) if utf8 == encoding_rs::UTF_8 => Ok(Encoding::Utf8),
            Some(western) if western == encoding_rs::WINDOWS_1252 => Ok(Encoding::Latin1),
            Some(named) => Ok(Encoding::Named(named)),
            None => Err(format!(
                "\"{text}\" is no encoding: utf-8, latin-1, auto, or another by its standard name, such as windows-1250, iso-8859-2, windows-1251, shift_jis"
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(name: &str) -> Result<Encoding, String> {
        Encoding::try_from(name.to_string())
    }

    #[test]
    fn encodings_go_by_their_names() {
        for name in [
            "utf-8",
            "latin-1",
            "auto",
            "windows-1250",
            "iso-8859-2",
            "shift_jis",
        ] {
            assert_eq!(of(name).unwrap().word(), name);
        }
        assert_eq!(of("ISO-8859-1"), Ok(Encoding::Latin1));
        assert_eq!(of("cp1250"), of("windows-1250").map_err(|_| String::new()));
        for none in ["windows-9999", "utf-16le", ""] {
            assert!(of(none).is_err(), "{none}");
        }
    }

    /// Bytes by the index of windows-1250 in the WHATWG Encoding Standard.
    #[test]
    fn letters_of_central_europe_come_back_as_they_were() {
        let encoding = of("windows-1250").unwrap();
        let bytes = encoding.encoded("Błąd µ ±").unwrap();
        assert_eq!(bytes, b"B\xB3\xB9d \xB5 \xB1");
        assert_eq!(encoding.encoded("ж"), Err('ж'));
        let Encoding::Named(named) = encoding else {
            panic!("{encoding:?}");
        };
        assert_eq!(Encoding::decoded(named, &bytes).unwrap(), "Błąd µ ±");
    }
}
