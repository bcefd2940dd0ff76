/*! The record of a nonconformity as a page that prints with lines to fill in. */

use super::parts::{figure, paragraph, section};
use super::shell::document;
use crate::report::text::{escape, iso_date};
use crate::report::view::RecordView;

/// `cases/FILE.html`, with the chart of the history.
pub(crate) fn record_page(view: &RecordView, chart: &str) -> String {
    let (title, slug) = (escape(&view.title), escape(&view.slug));
    let state = format!("As of {}: {}.", iso_date(view.as_of), view.state);
    let mut body = format!(
        "<nav><a href=\"../index.html\">all decisions</a> · <a href=\"../instruments/{slug}.html\">the item</a> · <a href=\"{}.md\">as Markdown</a></nav>\n\
         <header>\n<h1>{title}</h1>\n{}</header>\n<main class=\"record\">\n{}",
        escape(&view.file),
        paragraph(&state),
        figure(chart)
    );
    body.extend(view.sections.iter().map(section));
    body += "</main>\n";
    let foot = format!("{}, as of {}", view.title, iso_date(view.as_of));
    document(&view.title, &foot, &body, &[])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::SectionView;

    #[test]
    fn text_from_the_records_never_becomes_markup() {
        let evil = "<script>alert('x')</script>\"><b>";
        let view = RecordView {
            title: evil.into(),
            state: evil.into(),
            sections: vec![SectionView {
                title: evil.into(),
                headers: vec![evil.into()],
                rows: vec![vec![evil.into()]],
                ..SectionView::default()
            }],
            ..RecordView::default()
        };
        let page = record_page(&view, "<svg></svg>");
        assert!(!page.contains("<script") && !page.contains("<b>"));
        let text = crate::report::nonconformity::record_markdown(&view);
        assert!(!text.contains("<script") && !text.contains("<b>"));
    }
}
