/*! The settings reference: Markdown made from the same declarations that read the file. */

use super::file::Settings;
use crate::settings::SettingRow;
use std::fmt::Write;

const OPENING: &str = "# Settings\n\n\
    Every key of a pipeline file, with its default. Made by `driftbook settings`; do not edit.\n\n\
    A key that is left out has its default, so an empty table, or none, is fine. Paths are relative \
    to the pipeline file. A key that is not listed here is an error.\n";

/// The reference as Markdown.
pub(crate) fn markdown() -> String {
    let mut page = OPENING.to_string();
    for table in Settings::rows().chunk_by(|a, b| a.table == b.table) {
        let title = match table[0].table {
            "" => "Top of the file".to_string(),
            name => format!("[{name}]"),
        };
        let _ = write!(
            page,
            "\n## {title}\n\n| key | default | allowed | meaning |\n| --- | --- | --- | --- |\n"
        );
        for row in table {
            let _ = writeln!(page, "{}", line(row));
        }
    }
    page
}

fn line(row: &SettingRow) -> String {
    let default = match row.default.as_str() {
        "" => String::new(),
        text => format!("`{}`", cell(text)),
    };
    let (allowed, about) = (cell(&row.allowed), cell(&row.about));
    format!("| `{}` | {default} | {allowed} | {about} |", row.key)
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_in_docs_is_up_to_date() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/settings.md");
        let kept = std::fs::read_to_string(path).unwrap_or_default();
        assert!(
            kept == markdown(),
            "docs/settings.md is out of date: cargo run --release -- settings > docs/settings.md"
        );
    }

    #[test]
    fn every_setting_is_explained() {
        for row in Settings::rows() {
            assert!(!row.about.is_empty(), "[{}] {}", row.table, row.key);
        }
    }
}
