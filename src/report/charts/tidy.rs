/*! From plotters' plain SVG to the report's: responsive, titled, light and dark, small. */

use super::dash::{DASH_CODE, Dash, UNITS};
use super::palette::{Ink, dark_rules};
use crate::report::text::escape;
use memchr::{memchr, memchr_iter};
use std::fmt::Write as _;
use std::sync::LazyLock;

/// The heading of a sheet: its first texts, which a page takes out and sets as the caption of its figure.
pub(super) struct Head {
    /// Texts that it takes.
    pub texts: usize,
    /// What is drawn, as a sentence of its own, whole.
    pub second: String,
    /// The pixel below which the picture begins.
    pub below: f64,
}

/// Turns plotters' output into the report's SVG: root with `viewBox`, title and
/// description, one style for dark mode, dashes from the dash codes, defaults dropped, and the
/// heading as a part of its own.
pub(super) fn tidy(
    raw: &str,
    (width, height): (u32, u32),
    title: &str,
    description: &str,
    head: Option<Head>,
) -> String {
    let scale = UNITS as u32;
    let mut svg = String::with_capacity(raw.len() + 2000);
    svg.push_str(&format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {} {}\" role=\"img\" font-family=\"sans-serif\">\n\
         <title>{}</title>\n<desc>{}</desc>\n<style>{}</style>\n",
        width * scale,
        height * scale,
        escape(title),
        escape(description),
        *STYLE,
    ));
    let ground = format!("#{:06X}", super::palette::INKS[Ink::Ground as usize].1);
    svg.push_str(&format!(
        "<rect width=\"100%\" height=\"100%\" fill=\"{ground}\"/>\n"
    ));
    let mut of_head = 0;
    if let Some(Head {
        texts,
        second,
        below,
    }) = head
    {
        of_head = texts;
        svg.push_str(&format!(
            "<g class=\"head\" data-below=\"{:.0}\" data-second=\"{}\">\n",
            below * UNITS,
            escape(&second)
        ));
    }
    let mut in_text = false;
    for line in raw.lines().skip(1) {
        if let Some(tag) = line.strip_prefix('<') {
            if tag.starts_with("/text") && svg.ends_with('\n') {
                svg.pop();
            }
            svg.push('<');
            tidy_tag(tag, &mut svg);
            in_text = tag.starts_with("text");
            if of_head > 0 && tag.starts_with("/text") {
                of_head -= 1;
                svg.push_str(if of_head == 0 { "\n</g>" } else { "" });
            }
        } else {
            svg.push_str(line);
        }
        if !in_text {
            svg.push('\n');
        }
    }
    svg
}

/// The one style of each SVG, made once for all of them. The halo of texts stands behind `@supports`: a renderer that
/// knows strokes but not `paint-order` would paint it over the letters.
static STYLE: LazyLock<String> = LazyLock::new(|| {
    format!(
        "text{{font-variant-numeric:tabular-nums}}polyline{{stroke-linejoin:round}}\
         @supports (paint-order:stroke){{text{{paint-order:stroke;stroke:#fff;stroke-width:10;\
         stroke-linejoin:round;stroke-opacity:.85}}}}\
         @media screen and (prefers-color-scheme:dark){{{}@supports (paint-order:stroke){{text{{stroke:#12181f}}}}}}",
        dark_rules()
    )
});

/// Copies one tag, without attributes at their default and with dashes in their place.
fn tidy_tag(tag: &str, svg: &mut String) {
    let mut rest = tag;
    while let Some(start) = value_of(rest) {
        let Some(length) = memchr(b'"', &rest.as_bytes()[start + 2..]) else {
            break;
        };
        let end = start + 2 + length;
        let name_start = rest[..start].rfind(' ').map_or(0, |n| n + 1);
        let (name, value) = (&rest[name_start..start], &rest[start + 2..end]);
        svg.push_str(rest[..name_start].trim_end());
        match (name, value) {
            ("opacity", "1") | ("dy", _) | ("text-anchor", "start") | ("font-family", _) => {}
            ("stroke", "none") => {}
            ("stroke-width", _) if tag.contains("stroke=\"none\"") => {}
            ("stroke-width", code) => push_stroke(code, svg),
            ("font-size", size) => {
                let size = size.parse::<f64>().unwrap_or(48.0).round();
                let _ = write!(svg, " font-size=\"{size}\"");
            }
            ("points", list) => push_attribute(name, list.trim_end(), svg),
            _ => push_attribute(name, value, svg),
        }
        rest = &rest[end + 1..];
    }
    svg.push_str(rest);
}

/// Where the `="` before the first value of a tag stands.
fn value_of(tag: &str) -> Option<usize> {
    let bytes = tag.as_bytes();
    memchr_iter(b'"', bytes).find_map(|quote| quote.checked_sub(1).filter(|at| bytes[*at] == b'='))
}

/// A chart has some thousand of these: they are copied, not formatted.
fn push_attribute(name: &str, value: &str, svg: &mut String) {
    for part in [" ", name, "=\"", value, "\""] {
        svg.push_str(part);
    }
}

fn push_stroke(code: &str, svg: &mut String) {
    let code = code.parse::<u32>().unwrap_or(UNITS as u32);
    let _ = write!(svg, " stroke-width=\"{}\"", code % DASH_CODE);
    if let Some(pattern) = Dash::PATTERNS
        .get((code / DASH_CODE) as usize)
        .filter(|p| !p.is_empty())
    {
        push_attribute("stroke-dasharray", pattern, svg);
    }
}
