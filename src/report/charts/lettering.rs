/*! How wide a text is, without reading fonts: cutting and breaking lines.

Widths are estimates for common sans-serif fonts, on the generous side, so that
the same bytes come out on every machine.
*/

/// Approximate width of `text` in pixels at a font size, generous for common sans-serifs.
pub(crate) fn text_width(text: &str, size: f64) -> f64 {
    let em: f64 = text
        .chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '|' | '\'' | '\u{202f}' => 0.3,
            ' ' | '\u{a0}' | 'f' | 't' | 'r' | '(' | ')' | '-' | 'I' => 0.37,
            'm' | 'w' | 'M' | 'W' | '%' | '@' | '±' | '×' | '−' | '+' => 0.85,
            c if c.is_ascii_digit() => 0.64,
            c if c.is_ascii_uppercase() => 0.7,
            c if (c as u32) > 0x2e7f => 1.0,
            _ => 0.58,
        })
        .sum();
    em * size
}

/// `text` cut to `width` pixels, with an ellipsis where something was cut.
pub(crate) fn shortened(text: &str, size: f64, width: f64) -> String {
    if text_width(text, size) <= width {
        return text.to_string();
    }
    let mut short = String::new();
    for character in text.chars() {
        short.push(character);
        if text_width(&short, size) > width - size {
            break;
        }
    }
    format!("{}…", short.trim_end())
}

/// `text` broken at spaces, not at no-break spaces nor before a per cent sign, into at most `most` lines of `width` pixels;
/// a word longer than a line is broken too, and the last line is cut.
pub(crate) fn wrapped(text: &str, size: f64, width: f64, most: usize) -> Vec<String> {
    if text_width(text, size) <= width {
        return vec![text.to_string()];
    }
    let text = text.replace(" %", "\u{a0}%");
    let words = text.split(' ').filter(|word| !word.is_empty());
    let mut lines: Vec<String> = vec![String::new()];
    for word in words.flat_map(|word| pieces(word, size, width)) {
        let full = lines.len();
        let Some(line) = lines.last_mut() else { break };
        let longer = match line.is_empty() {
            true => word.clone(),
            false => format!("{line} {word}"),
        };
        if text_width(&longer, size) <= width || line.is_empty() || full == most {
            *line = longer;
        } else {
            lines.push(word);
        }
    }
    lines
        .into_iter()
        .map(|line| shortened(&line, size, width))
        .collect()
}

/// A word as it is where it has room on a line, else in parts that have.
fn pieces(word: &str, size: f64, width: f64) -> Vec<String> {
    let mut parts = vec![String::new()];
    for character in word.chars() {
        let Some(part) = parts.last_mut() else { break };
        part.push(character);
        if text_width(part, size) > width {
            part.pop();
            parts.push(character.to_string());
        }
    }
    parts
}
