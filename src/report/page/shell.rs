/*! What surrounds every page: head, styles, script, and a policy that allows only these. */

use crate::report::charts::dark_rules;
use crate::report::text::escape;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;

/// The one style sheet.
const STYLE: &str = include_str!("style.css");

/// Set before the table is read, so that a long one is not laid out twice.
const EARLY: &str = "document.documentElement.classList.add('loading')";

/// Search, filters, sorting and paging of the fleet's table.
pub(super) const TABLE_SCRIPT: &str = include_str!("table.js");

/// A whole HTML document around `body`, which must be escaped already; `foot` stands at the foot of
/// every printed page, `scripts` run at its end.
pub(super) fn document(title: &str, foot: &str, body: &str, scripts: &[&str]) -> String {
    let style = format!(
        "{STYLE}@media screen and (prefers-color-scheme:dark){{{}}}@page{{@bottom-left{{content:\"{}\";font-size:8pt}}}}",
        dark_rules(),
        css_string(foot)
    );
    let early = match scripts.contains(&TABLE_SCRIPT) {
        true => EARLY,
        false => "",
    };
    let run: Vec<&str> = std::iter::once(&early)
        .chain(scripts)
        .copied()
        .filter(|code| !code.is_empty())
        .collect();
    let hashes: Vec<String> = run.iter().map(|code| hash_source(code)).collect();
    let allowed = match hashes.is_empty() {
        true => String::new(),
        false => format!("script-src {}; ", hashes.join(" ")),
    };
    let policy = format!(
        "default-src 'none'; style-src {}; {allowed}img-src 'self' data:; base-uri 'none'; form-action 'none'",
        hash_source(&style)
    );
    let tag = |code: &str| {
        if code.is_empty() {
            String::new()
        } else {
            format!("<script>{code}</script>\n")
        }
    };
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n\
         <title>{}</title>\n<style>{style}</style>\n{}</head>\n<body>\n{body}{}</body>\n</html>\n",
        escape(title),
        tag(early),
        scripts.iter().map(|code| tag(code)).collect::<String>(),
    )
}

/// Text inside a CSS string: all but letters, digits and blanks by code point (CSS Syntax level 3,
/// section 4.3.7), with the blank that ends an escape: without it the text's own would be taken for it.
fn css_string(text: &str) -> String {
    let mut css = String::new();
    for letter in text.chars() {
        match letter {
            ' ' => css.push(' '),
            plain if plain.is_alphanumeric() => css.push(plain),
            other => {
                let _ = write!(css, "\\{:06x} ", u32::from(other));
            }
        }
    }
    css
}

/// `'sha256-…'` of an inline script or style, as Content Security Policy level 3 defines it.
fn hash_source(code: &str) -> String {
    format!("'sha256-{}'", base64(&Sha256::digest(code)))
}

/// Base64 with padding (RFC 4648, section 4).
fn base64(bytes: &[u8]) -> String {
    const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::new();
    for group in bytes.chunks(3) {
        let word = group
            .iter()
            .fold(0u32, |word, byte| word << 8 | u32::from(*byte))
            << (8 * (3 - group.len()));
        for i in 0..4 {
            let index = (word >> (18 - 6 * i)) & 63;
            text.push(if i <= group.len() {
                ALPHABET[index as usize] as char
            } else {
                '='
            });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{base64, css_string};

    #[test]
    fn a_blank_after_a_comma_is_kept() {
        assert_eq!(css_string("TH-1, at"), "TH\\00002d 1\\00002c  at");
    }

    #[test]
    fn base64_follows_rfc_4648_section_10() {
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in vectors {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
