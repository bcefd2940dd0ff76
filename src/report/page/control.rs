/*! `control.html`: the charts of all check standards on one page. */

use super::parts::{figure, list, paragraph};
use super::shell::document;
use crate::report::charts::control_chart;
use crate::report::text::{escape, iso_date};
use crate::report::view::ControlView;

/// The page of the check standards, those out of control first; `process` says whether the process
/// is in control, `as_of` on which day (days since 1970-01-01).
pub(crate) fn control_page(process: &str, as_of: f64, charts: &[ControlView]) -> String {
    let title = "Check standards";
    let mut body = "<nav><a href=\"index.html\">all decisions</a></nav>\n".to_string();
    body += &format!(
        "<header>\n<h1>{title}</h1>\n{}</header>\n<main>\n",
        paragraph(&format!("As of {}. {process}", iso_date(as_of)))
    );
    let (out, others): (Vec<&ControlView>, Vec<&ControlView>) =
        charts.iter().partition(|chart| chart.out_of_control);
    body.extend(out.into_iter().chain(others).map(one));
    body += "</main>\n";
    let foot = format!("{title}, as of {}", iso_date(as_of));
    document(title, &foot, &body, &[])
}

fn one(view: &ControlView) -> String {
    let name = match view.slug.as_str() {
        "" => escape(&view.name),
        slug => format!(
            "<a href=\"instruments/{}.html\">{}</a>",
            escape(slug),
            escape(&view.name)
        ),
    };
    format!(
        "<section>\n<h2>{name}</h2>\n{}{}</section>\n",
        figure(&control_chart(view)),
        list(&view.sentences)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_from_the_records_never_becomes_markup() {
        let evil = "<script>alert('x')</script>\"><img src=x onerror=alert(1)>";
        let view = ControlView {
            name: evil.into(),
            slug: evil.into(),
            finding: evil.into(),
            unit: evil.into(),
            sentences: vec![evil.into()],
            ..ControlView::default()
        };
        let page = control_page(evil, 20_600.0, &[view]);
        assert!(!page.contains("<script") && !page.contains("<img"));
    }
}
