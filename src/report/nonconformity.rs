/*! The record of a nonconformity as Markdown. */

use super::summary::{cell, push_section};
use super::text::iso_date;
use super::view::RecordView;

/// `cases/FILE.md`.
pub(crate) fn record_markdown(view: &RecordView) -> String {
    let mut out = format!(
        "# {}\n\nAs of {}: {}. [Page of the item](../instruments/{slug}.html), [chart](../charts/{slug}.svg).\n\n",
        cell(&view.title),
        iso_date(view.as_of),
        cell(&view.state),
        slug = view.slug
    );
    for section in &view.sections {
        push_section(section, &mut out);
    }
    out
}
