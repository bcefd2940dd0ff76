/*! Small pieces of HTML that several pages use. */

use crate::report::text::{escape, unbroken};
use crate::report::view::SectionView;

/// A chart put into a page: its own style goes, the page's holds for all of them; its heading becomes
/// the figure's caption, which wraps on any screen.
pub(super) fn figure(svg: &str) -> String {
    placed_figure(svg, "")
}

/// The same with further `attributes`, which must be escaped already.
pub(super) fn placed_figure(svg: &str, attributes: &str) -> String {
    let bare = svg
        .split_once("<style>")
        .and_then(|(before, rest)| Some((before, rest.split_once("</style>")?.1)))
        .map_or_else(
            || svg.to_string(),
            |(before, after)| before.to_string() + after,
        );
    let (caption, picture) = captioned(&bare).unwrap_or_else(|| (String::new(), bare.clone()));
    format!(
        "<figure tabindex=\"0\"{attributes}>{caption}{}</figure>\n",
        picture.trim_end()
    )
}

/// The heading of a chart as its caption, and the chart without it; `None` for one without a heading.
fn captioned(svg: &str) -> Option<(String, String)> {
    let (before, rest) = svg.split_once("<g class=\"head\" data-below=\"")?;
    let (head, after) = rest.split_once("</g>\n")?;
    let (below, rest) = head.split_once('"')?;
    let second = rest.split_once("data-second=\"")?.1.split_once('"')?.0;
    let (root, inside) = before.split_once('>')?;
    let title = inside.split_once("<title>")?.1.split_once("</title>")?.0;
    // A page has no tooltip that says its caption again: the caption names the picture.
    let inside = inside.split_once("</title>\n")?.1;
    let (size, tail) = root.split_once("viewBox=\"0 0 ")?;
    let (space, tail) = tail.split_once('"')?;
    let (width, height) = space.split_once(' ')?;
    let (below, height): (u32, u32) = (below.parse().ok()?, height.parse().ok()?);
    let left = height.checked_sub(below)?;
    let start = size.split_once(" width")?.0;
    let second = match second {
        "" => String::new(),
        words => format!("<span>{words}</span>"),
    };
    Some((
        format!("<figcaption><b>{title}</b>{second}</figcaption>"),
        format!(
            "{start} viewBox=\"0 {below} {width} {left}\"{tail} aria-label=\"{title}\">{}{after}",
            inside.replacen("<rect width", &format!("<rect y=\"{below}\" width"), 1)
        ),
    ))
}

pub(super) fn heading(text: &str) -> String {
    format!("<h2>{}</h2>\n", escape(text))
}

pub(super) fn paragraph(text: &str) -> String {
    format!("<p>{}</p>\n", escape(&unbroken(text)))
}

/// An unordered list; nothing for no lines.
pub(super) fn list<T: AsRef<str>>(lines: impl IntoIterator<Item = T>) -> String {
    let items: String = lines
        .into_iter()
        .map(|line| format!("<li>{}</li>\n", escape(&unbroken(line.as_ref()))))
        .collect();
    if items.is_empty() {
        String::new()
    } else {
        format!("<ul>\n{items}</ul>\n")
    }
}

/// A plain table with what it holds as its caption; nothing for no rows.
pub(super) fn table<T: AsRef<str>>(
    caption: &str,
    headers: &[&str],
    rows: impl IntoIterator<Item = Vec<T>>,
) -> String {
    let headers: Vec<(&str, bool)> = headers.iter().map(|header| (*header, false)).collect();
    numbers_table(caption, &headers, rows)
}

/// The same with a word on each column, whether it holds numbers, which stand at the right.
pub(super) fn numbers_table<T: AsRef<str>>(
    caption: &str,
    headers: &[(&str, bool)],
    rows: impl IntoIterator<Item = Vec<T>>,
) -> String {
    let class = |number: bool| if number { " class=\"n\"" } else { "" };
    let cells = |row: Vec<T>| -> String {
        row.iter()
            .zip(headers)
            .map(|(cell, (_, number))| {
                format!("<td{}>{}</td>", class(*number), escape(cell.as_ref()))
            })
            .collect()
    };
    let body: String = rows
        .into_iter()
        .map(|row| format!("<tr>{}</tr>\n", cells(row)))
        .collect();
    if body.is_empty() {
        return String::new();
    }
    let head: String = headers
        .iter()
        .map(|(header, number)| {
            format!(
                "<th scope=\"col\"{}>{}</th>",
                class(*number),
                escape(header)
            )
        })
        .collect();
    format!(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{0}\"><table>\n<caption class=\"unseen\">{0}</caption>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}</tbody>\n</table></div>\n",
        escape(caption)
    )
}

/// A part that opens under its title; nothing where it is empty.
pub(super) fn folded(title: &str, html: &str) -> String {
    if html.is_empty() {
        return String::new();
    }
    format!(
        "<details class=\"part\"><summary><h2>{}</h2></summary>\n{html}</details>\n",
        escape(title)
    )
}

/// A titled part of a report.
pub(super) fn section(section: &SectionView) -> String {
    format!(
        "<section>\n{}{}</section>\n",
        heading(&section.title),
        section_body(section)
    )
}

/// A titled part that opens under its title, beside which its first sentence stands.
pub(super) fn lead_section(section: &SectionView) -> String {
    let Some((first, rest)) = section.paragraphs.split_first() else {
        return folded(&section.title, &section_body(section));
    };
    let below = section_body(&SectionView {
        paragraphs: rest.to_vec(),
        ..section.clone()
    });
    led(&section.title, first, &below)
}

/// The same of HTML; a part without more than its sentence has nothing to open.
pub(super) fn led(title: &str, lead: &str, below: &str) -> String {
    let (title, lead) = (escape(title), escape(&unbroken(lead)));
    match below {
        "" => format!("<section class=\"led\"><h2>{title}</h2> <p>{lead}</p></section>\n"),
        below => format!(
            "<details class=\"part led\"><summary><h2>{title}</h2> <span>{lead}</span></summary>\n{below}</details>\n"
        ),
    }
}

/// A part of a report without its title.
pub(super) fn section_body(section: &SectionView) -> String {
    let headers: Vec<&str> = section.headers.iter().map(String::as_str).collect();
    let paragraphs: String = section
        .paragraphs
        .iter()
        .map(|text| paragraph(text))
        .collect();
    let figures: String = section.figures.iter().map(|f| figure(&f.svg)).collect();
    format!(
        "{paragraphs}{}{figures}",
        table(&section.title, &headers, section.rows.iter().cloned())
    )
}
