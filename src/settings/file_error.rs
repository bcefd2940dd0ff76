/*! Errors of the pipeline file: the line, a caret, what was expected. */

use crate::words::nearest::nearest;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use std::ops::Range;

/// Lines longer than this are not shown, only numbered.
const LONGEST_SHOWN_LINE: usize = 400;

/// One thing wrong in a pipeline file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Bytes of the file at fault, where they are known.
    pub span: Option<Range<usize>>,
    /// What is wrong.
    pub title: String,
    /// What was expected, written under the caret.
    pub label: String,
    /// More help.
    pub help: Option<String>,
}

impl Problem {
    /// From an error of the TOML reader, inside `table` where it is known.
    pub(crate) fn from_toml(error: &toml::de::Error, table: Option<&str>) -> Self {
        let message = error.message();
        let title = match table {
            Some(table) => format!("[{table}] holds a value that cannot be used"),
            None => "this is not TOML".to_string(),
        };
        Problem {
            span: error.span(),
            title,
            label: plain_words(message),
            help: suggestion(message),
        }
    }

    /// The problem as text with the line of `source` it is about.
    pub(crate) fn render(&self, path: &str, source: &str) -> String {
        let place = self.span.as_ref().map(|span| Place::new(source, span));
        let report = match &place {
            Some(place) if place.line.len() <= LONGEST_SHOWN_LINE => {
                let mark = AnnotationKind::Primary
                    .span(place.span.clone())
                    .label(&self.label);
                let snippet = Snippet::source(place.line)
                    .line_start(place.number)
                    .path(path)
                    .annotation(mark);
                Level::ERROR.primary_title(&self.title).element(snippet)
            }
            _ => {
                let line = place.map_or(String::new(), |p| format!(", line {}", p.number));
                let title = format!("{path}{line}: {}: {}", self.title, self.label);
                return with_help(title, self.help.as_deref());
            }
        };
        let mut groups = vec![report];
        if let Some(help) = &self.help {
            groups.push(Group::with_title(Level::HELP.secondary_title(help)));
        }
        Renderer::plain().render(&groups)
    }
}

fn with_help(title: String, help: Option<&str>) -> String {
    match help {
        Some(help) => format!("error: {title}\nhelp: {help}"),
        None => format!("error: {title}"),
    }
}

/// One line of the source and the part of it at fault.
struct Place<'a> {
    line: &'a str,
    number: usize,
    span: Range<usize>,
}

impl<'a> Place<'a> {
    fn new(source: &'a str, span: &Range<usize>) -> Self {
        let at = floor_boundary(source, span.start.min(source.len()));
        let start = source[..at].rfind('\n').map_or(0, |i| i + 1);
        let length = source[start..].find('\n').unwrap_or(source.len() - start);
        let line = source[start..start + length].trim_end_matches('\r');
        let from = (at - start).min(line.len());
        let to = floor_boundary(line, span.end.saturating_sub(start).clamp(from, line.len()));
        Place {
            line,
            number: source[..at].matches('\n').count() + 1,
            span: from..to.max(from),
        }
    }
}

fn floor_boundary(text: &str, at: usize) -> usize {
    (0..=at)
        .rev()
        .find(|&i| text.is_char_boundary(i))
        .unwrap_or(0)
}

/// Rust's type names in a reader's words.
fn plain_words(message: &str) -> String {
    let mut words = message.trim().replace('`', "");
    for (code, word) in [
        ("expected f64", "expected a number"),
        ("expected u32", "expected a whole number from 0 up"),
        ("expected u64", "expected a whole number from 0 up"),
        ("expected usize", "expected a whole number from 0 up"),
        ("expected i64", "expected a whole number"),
        ("expected a boolean", "expected true or false"),
        (
            "expected a sequence",
            "expected a list, as in [\"a\", \"b\"]",
        ),
        ("unknown variant", "unknown word"),
    ] {
        words = words.replace(code, word);
    }
    words.replace('\n', "; ")
}

/// The nearest of the words that the TOML reader lists, where a word was unknown.
fn suggestion(message: &str) -> Option<String> {
    let rest = message.strip_prefix("unknown variant `")?;
    let (found, rest) = rest.split_once('`')?;
    let words: Vec<&str> = rest.split('`').skip(1).step_by(2).collect();
    nearest(found, words.into_iter()).map(|near| format!("the nearest is \"{near}\""))
}
