/*! `digest.html`: one page for the person who gets the monthly job's mail. */

use super::parts::{figure, heading, paragraph};
use super::shell::document;
use crate::decisions::policy::leading;
use crate::report::cautions::ADVICE;
use crate::report::charts::{sparkline, workload_chart};
use crate::report::digest::{
    MOST_CHANGES, actions, by_kind, compared, due, due_words, opening, title,
};
use crate::report::text::{escape, iso_date, unbroken};
use crate::report::view::{Action, DigestView, FleetRow};
use crate::words::and_others;

/// The digest as a self-contained page; it prints on one or two sheets.
pub fn digest_page(view: &DigestView) -> String {
    let title = title(view);
    let mut body = "<nav><a href=\"index.html\">all decisions</a></nav>\n".to_string();
    body += &format!("<header>\n<h1>{}</h1>\n</header>\n<main>\n", escape(&title));
    body += &paragraph(&opening(view));
    body += &format!("<section>\n{}", heading("Most urgent"));
    body += &urgent(view);
    body += &format!("</section>\n<section>\n{}", heading("What changed"));
    body += &paragraph(&compared(view));
    body += &changes(view);
    body += &view
        .notes
        .iter()
        .map(|note| paragraph(note))
        .collect::<String>();
    body += &format!("</section>\n<section>\n{}", heading("Due"));
    body += &paragraph(&format!("{} Decisions: {}.", due(view), actions(view)));
    if !view.workload.months.is_empty() {
        body += &figure(&workload_chart(&view.workload));
    }
    body += &format!(
        "</section>\n</main>\n<footer>\n{}</footer>\n",
        paragraph(ADVICE)
    );
    let foot = format!("{title}, as of {}", iso_date(view.as_of));
    document(&title, &foot, &body, &[])
}

fn urgent(view: &DigestView) -> String {
    if view.urgent.is_empty() {
        return paragraph("Nothing is urgent.");
    }
    let item = |row: &FleetRow| {
        let name = named(&row.name(), if row.has_page { &row.slug } else { "" });
        let spark = sparkline(&row.spark, row.tolerance);
        format!(
            "<li>{spark}<strong>{name}</strong> {}{}: {}</li>\n",
            action_word(row.action),
            due_words(row),
            escape(&unbroken(leading(&row.reason)))
        )
    };
    format!(
        "<ul class=\"people\">\n{}</ul>\n",
        view.urgent.iter().map(item).collect::<String>()
    )
}

/// The action; stressed where it needs a person, so that the stress keeps its meaning.
fn action_word(action: Action) -> String {
    match action.needs_person() {
        true => format!("<em>{action}</em>"),
        false => action.to_string(),
    }
}

fn changes(view: &DigestView) -> String {
    let mut html = String::new();
    for (kind, changes) in by_kind(view) {
        html += &format!("<h3>{}</h3>\n<ul>\n", escape(kind));
        for change in changes.iter().take(MOST_CHANGES) {
            let flag = if change.red_flag {
                " <em>(an assessor would ask)</em>"
            } else {
                ""
            };
            html += &format!(
                "<li><strong>{}</strong>: {}{flag}</li>\n",
                named(&change.name, &change.slug),
                escape(&change.sentence)
            );
        }
        if changes.len() > MOST_CHANGES {
            html += &format!(
                "<li>{} in digest.json</li>\n",
                and_others(changes.len() - MOST_CHANGES).trim_start()
            );
        }
        html += "</ul>\n";
    }
    html
}

fn named(name: &str, slug: &str) -> String {
    if slug.is_empty() {
        escape(name)
    } else {
        format!(
            "<a href=\"instruments/{}.html\">{}</a>",
            escape(slug),
            escape(name)
        )
    }
}
