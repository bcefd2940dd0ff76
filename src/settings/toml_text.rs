/*! Texts as a pipeline file states them: each on one line, so that a file can be read and changed line by line. */

use std::fmt::Write;

/// A text as a TOML string on one line, fit for a value and for a key; a header of a workbook may hold line breaks.
pub(crate) fn quoted(text: &str) -> String {
    let written = toml::Value::from(text).to_string();
    let over_lines = written.starts_with("\"\"\"") || written.starts_with("'''");
    match over_lines {
        true => escaped(text),
        false => written,
    }
}

/// A list of texts.
pub(crate) fn listed(texts: &[String]) -> String {
    let texts: Vec<String> = texts.iter().map(|text| quoted(text)).collect();
    format!("[{}]", texts.join(", "))
}

fn escaped(text: &str) -> String {
    let mut written = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => written.extend(['\\', letter]),
            '\n' => written.push_str("\\n"),
            control if control.is_control() => {
                let _ = write!(written, "\\u{:04X}", control as u32);
            }
            other => written.push(other),
        }
    }
    written.push('"');
    written
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_text_is_one_line_and_reads_back_as_value_and_as_key() {
        let texts = [
            "",
            "plain",
            "a \"b\" \\ c",
            "two\nlines",
            "\r\n'\"\\",
            "'''",
            "\"\"\"\n",
            "\u{1b}[31m\u{85}\u{7f}",
        ];
        for text in texts {
            let line = format!(
                "value = {}\ntable = {{ {} = 1 }}",
                quoted(text),
                quoted(text)
            );
            assert_eq!(line.lines().count(), 2, "{line}");
            let read: toml::Table = line.parse().unwrap();
            assert_eq!(read["value"].as_str(), Some(text), "{line}");
            assert!(
                read["table"].as_table().unwrap().contains_key(text),
                "{line}"
            );
        }
        let all: Vec<String> = texts.iter().map(|text| text.to_string()).collect();
        let read: toml::Table = format!("all = {}", listed(&all)).parse().unwrap();
        assert_eq!(read["all"].as_array().unwrap().len(), all.len());
    }
}
