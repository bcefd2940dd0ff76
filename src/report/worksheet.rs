/*! The worksheet of a triple-point check as Markdown, as a page for the bench, and as a table to fill in. */

use crate::report::text::escape as html;
use crate::thermometry::readings::COLUMNS;
use crate::thermometry::worksheet::Worksheet;

/// Rows of the table that is filled in at the bench.
const ROWS: usize = 12;

/// The lines before the steps: what it is, and what R should be.
fn head(sheet: &Worksheet) -> Vec<String> {
    let cell = match sheet.cell.is_empty() {
        true => "cell: ________".into(),
        false => format!("cell of last time: {}", sheet.cell),
    };
    let mut lines = vec![cell];
    lines.push(match &sheet.expected {
        Some(e) => format!(
            "expected: R = {:.7} Ω ± {:.7} Ω (± {:.3} mK, by {})",
            e.ohm, e.half_width.0, e.half_width.1, e.from
        ),
        None => "expected: nothing yet, this is its first session".into(),
    });
    lines
}

fn title(sheet: &Worksheet) -> String {
    format!("{}: check at the triple point of water", sheet.instrument)
}

pub(crate) fn markdown(sheet: &Worksheet) -> String {
    let mut lines = vec![format!("# {}", title(sheet)), String::new()];
    lines.extend(head(sheet).iter().map(|line| format!("- {line}")));
    lines.extend([String::new(), "## Steps".into(), String::new()]);
    for (number, step) in sheet.steps.iter().enumerate() {
        lines.push(format!("{}. [ ] {}", number + 1, step.what));
        lines.extend(step.cautions.iter().map(|c| format!("   - caution: {c}")));
    }
    lines.extend([String::new(), "## Note".into(), String::new()]);
    lines.extend(sheet.notes.iter().map(|note| format!("- [ ] {note}: ")));
    lines.extend([
        String::new(),
        "## What it would lead to".into(),
        String::new(),
    ]);
    lines.extend(["| found | then |".into(), "| --- | --- |".into()]);
    lines.extend(
        sheet
            .outcomes
            .iter()
            .map(|(found, then)| format!("| {found} | {then} |")),
    );
    lines.push(String::new());
    lines.push("Advice for the person authorised to act on it. Local rules come first.".into());
    lines.join("\n") + "\n"
}

/// As a page that prints without network.
pub(crate) fn page(sheet: &Worksheet) -> String {
    let item = |text: &str| format!("<li>{}</li>", html(text));
    let list = |items: Vec<String>| format!("<ul>{}</ul>", items.concat());
    let steps: String = sheet
        .steps
        .iter()
        .map(|step| {
            let cautions = step.cautions.iter().map(|c| item(&format!("Caution: {c}")));
            let cautions: Vec<String> = cautions.collect();
            let under = if cautions.is_empty() {
                String::new()
            } else {
                list(cautions)
            };
            format!("<li>☐ {}{under}</li>", html(&step.what))
        })
        .collect();
    let outcomes: String = sheet
        .outcomes
        .iter()
        .map(|(found, then)| format!("<tr><td>{}</td><td>{}</td></tr>", html(found), html(then)))
        .collect();
    let head = list(head(sheet).iter().map(|line| item(line)).collect());
    let notes = sheet
        .notes
        .iter()
        .map(|n| item(&format!("☐ {n}: ________")));
    format!(
        "<!doctype html>\n<html lang=\"en\"><meta charset=\"utf-8\"><title>{0}</title>\
         <style>body{{font:11pt sans-serif;max-width:48em;margin:2em auto}}td{{border:1px solid;padding:.2em .5em}}table{{border-collapse:collapse}}</style>\n\
         <h1>{0}</h1>{head}<h2>Steps</h2><ol>{steps}</ol><h2>Note</h2>{1}<h2>What it would lead to</h2><table>{outcomes}</table>\n\
         <p>Advice for the person authorised to act on it. Local rules come first.</p></html>\n",
        html(&title(sheet)),
        list(notes.collect())
    )
}

/// As a table of raw readings to fill in: its columns, the thermometer and the cell.
pub(crate) fn table(sheet: &Worksheet) -> String {
    let kept = COLUMNS.iter().map(|column| column.name);
    let names: Vec<&str> = kept.filter(|n| !n.contains("cell_correction")).collect();
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory cannot fail; a row that could not be written is left out.
    let _ = writer.write_record(&names);
    for _ in 0..ROWS {
        let cell = |name: &&str| match *name {
            "instrument" => sheet.instrument.clone(),
            "cell" => sheet.cell.clone(),
            _ => String::new(),
        };
        let _ = writer.write_record(names.iter().map(cell));
    }
    String::from_utf8_lossy(&writer.into_inner().unwrap_or_default()).into_owned()
}
