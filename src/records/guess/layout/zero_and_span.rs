/*! Errors at the ends of a range in one row, under their names alone: `Zero [% FS]` beside `Span [% FS]`. */

use super::wide::Wide;
use crate::records::cells::column::Column;
use crate::records::cells::unit::{self, same_unit};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::headers::{date_column, folded, item_column};
use crate::records::reading::wide::{WideSettings, without_unit};
use crate::records::words::{end_words, words};

/// Both ends as points with errors of their own, asked about; `None` where another header is that of what was found.
pub(crate) fn by_ends(headers: &[String]) -> Option<Wide> {
    date_column(headers)?;
    item_column(headers)?;
    let end = |name: &str| {
        let names = end_words(name);
        let mut found = headers.iter().filter(|h| names.contains(&folded(h)));
        found.next().filter(|_| found.next().is_none())
    };
    let (zero, span) = (end("zero")?, end("span")?);
    let alike = match (unit::of_header(zero), unit::of_header(span)) {
        (Some(zero), Some(span)) => same_unit(zero, span),
        (zero, span) => zero == span,
    };
    let found = |header: &String| words(Column::AsFound).contains(&folded(header));
    if !alike || headers.iter().any(found) {
        return None;
    }
    let points = [zero, span].map(|header| without_unit(header).to_string());
    let words = format!(
        "\"{zero}\" and \"{span}\" are taken for two points, each with errors of its own (points under wide), and none for the range."
    );
    Some(Wide {
        settings: WideSettings {
            points: points.to_vec(),
            as_found: Some(String::new()),
            ..WideSettings::default()
        },
        to_check: Vec::new(),
        doubts: vec![Doubt::new("header_points", words).or("they are", Answer::AsTaken)],
    })
}
