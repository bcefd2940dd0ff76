/*! The draft of a pipeline file: what each form of files seems to be, as commented TOML. */

use super::adopted::Adopted;
use super::lines::{letters_lines, list_line, not_read_line};
use super::look::Form;
use crate::records::cells::column::Column;
use crate::records::guess::beside::Kind;
use crate::records::guess::doubt::Doubt;
use crate::records::guess::draft::Guess;
use crate::settings::toml_text::quoted;
use crate::words::and_others;
use std::fmt::Write;

/// The whole file; `tolerance` is that of all where a person states one, `usual` is the distance that nearly all checks have in common, days, where it is not the default interval.
pub(super) fn whole(
    forms: &[Form],
    beside: (&[Adopted], &str),
    report: &str,
    (usual, tolerance): (Option<f64>, Option<&str>),
) -> String {
    let (adopted, beside_text) = beside;
    let mut text = String::from(
        "# Made by driftbook start; every line may be changed. driftbook start adds what is new and\n\
         # keeps what stands here. All settings: driftbook settings\n\n\
         # as_of = \"2026-06-30\"        # decisions are for this date; absent = today\n",
    );
    for (number, form) in forms.iter().enumerate() {
        text.push_str(&tables(form, table(number)));
        if number == 0 {
            doubt_lines(&mut text, forms, adopted);
        }
    }
    text.push_str(beside_text);
    if !adopted
        .iter()
        .any(|table| table.table.kind == Kind::Register)
    {
        text.push_str(&register_lines(tolerance));
    }
    let (interval, why) = match usual {
        None => (365.0, ""),
        Some(days) => (days, "; checks usually lie that far apart"),
    };
    let interval = format!("current_interval_days = {interval}");
    let _ = write!(
        text,
        "\n[intervals]\n\
         reliability_target = 0.95      # lowest probability in tolerance at the due date\n\
         {interval:<30} # where neither register nor checks state one{why}\n\n\
         [output]\n\
         folder = {}\n",
        quoted(report)
    );
    text
}

/// The table of a register that there is not yet, with the tolerance of all where a person states one.
pub(super) fn register_lines(tolerance: Option<&str>) -> String {
    let (open, stated) = match tolerance {
        None => ("# ", quoted("±…")),
        Some(tolerance) => ("", quoted(tolerance)),
    };
    format!(
        "\n{open}[register]                   # tolerances, intervals in use, groups\n\
         # file = \"register.csv\"\n\
         {open}tolerance = {stated}            # where neither register nor checks state limits, with its unit\n"
    )
}

/// The table of the doubts, above its lines.
pub(super) const DOUBTS_TABLE: &str = "\n[checks.doubts]                # no run begins while one begins with ?\n\
     # mend the setting where it is wrong, then write your answer in place of the question,\n\
     # such as \"right\" or \"day first, asked in the workshop\"\n";

/// The header of the table of a form.
pub(super) fn table(number: usize) -> &'static str {
    match number {
        0 => "[checks]",
        _ => "[[checks.other]]",
    }
}

/// The tables of one form, the first under `header`.
pub(super) fn tables(form: &Form, header: &str) -> String {
    let guess = &form.guess;
    let path = header.trim_matches(['[', ']']);
    let mut text = format!("\n{header}\n");
    list_line(&mut text, "files", &form.entries);
    if !guess.sheets.is_empty() {
        list_line(&mut text, "sheets", &guess.sheets);
    }
    written_lines(&mut text, guess);
    checks_lines(&mut text, guess);
    column_lines(&mut text, guess, path);
    wide_lines(&mut text, guess, path);
    text
}

/// The name of a doubt of a form: several forms may have the same.
pub(super) fn doubt_name(doubt: &Doubt, form: usize) -> String {
    match form {
        0 => doubt.name.to_string(),
        form => format!("{}_{}", doubt.name, form + 1),
    }
}

/// The marked doubts of a form that no form before it asks as well, each with its line, which names the forms behind it
/// that ask the same.
pub(super) fn own_lines<'a>(
    form: &'a Form,
    (before, behind): (&'a [Form], &'a [Form]),
    number: usize,
) -> impl Iterator<Item = String> + 'a {
    // What was answered of the others is none of a form that came later.
    let asked = |doubt: &&Doubt| {
        let mut others = before.iter().flat_map(|form| form.guess.marked());
        let stands = |other: &Doubt| other.answer.is_none() || doubt.answer.is_some();
        others.any(|other| other.asks_as(doubt) && stands(other))
    };
    let own = form.guess.marked().filter(move |doubt| !asked(doubt));
    own.map(move |doubt| {
        let asks = |form: &&Form| form.guess.marked().any(|other| other.asks_as(doubt));
        let too: Vec<String> = behind.iter().filter(asks).map(Form::named).collect();
        let words = match (&doubt.answer, too.as_slice()) {
            (None, [_, ..]) => format!(
                "{} The same is asked of {}: {} stands in the table of each, and is mended in each where it is wrong.",
                doubt.words,
                and_others_of(&too),
                doubt.name
            ),
            _ => return doubt_line(doubt, form, number),
        };
        let doubt = Doubt { words, ..doubt.clone() };
        doubt_line(&doubt, form, number)
    })
}

/// The names in a list, the first of many alone.
fn and_others_of(names: &[String]) -> String {
    const LISTED: usize = 4;
    let first: Vec<&str> = names.iter().take(LISTED).map(String::as_str).collect();
    let more = and_others(names.len().saturating_sub(LISTED));
    format!("{}{more}", first.join(", "))
}

/// A doubt as a line: its question while it is open, else the answer.
pub(super) fn doubt_line(doubt: &Doubt, form: &Form, number: usize) -> String {
    let entry = form.entries.first().map_or("", String::as_str);
    let place = match number {
        0 => String::new(),
        _ if doubt.words.starts_with(entry) => String::new(),
        _ => format!("{entry}: "),
    };
    let text = match &doubt.answer {
        Some(answer) => format!("{place}{answer}"),
        None => format!("? {place}{}", doubt.words),
    };
    format!("{} = {}", doubt_name(doubt, number), quoted(&text))
}

fn doubt_lines(text: &mut String, forms: &[Form], adopted: &[Adopted]) {
    let each = forms.iter().enumerate();
    let lines = each.flat_map(|(number, form)| {
        own_lines(form, (&forms[..number], &forms[number + 1..]), number)
    });
    let mut lines = lines.chain(adopted.iter().flat_map(Adopted::doubt_lines));
    let Some(first) = lines.next() else {
        return;
    };
    text.push_str(DOUBTS_TABLE);
    for line in std::iter::once(first).chain(lines) {
        let _ = writeln!(text, "{line}");
    }
}

/// How the files are written: what checks and raw readings state alike.
pub(super) fn written_lines(text: &mut String, guess: &Guess) {
    letters_lines(text, guess.delimiter, guess.encoding);
    if guess.decimal_comma && guess.to_state.get("decimal_comma").is_none() {
        text.push_str("decimal_comma = true           # 0,5 rather than 0.5\n");
    }
    if !guess.date_format.is_empty() {
        let _ = writeln!(text, "date_format = {}", quoted(&guess.date_format));
    }
}

/// What else is stated of the files of checks.
fn checks_lines(text: &mut String, guess: &Guess) {
    let asked = guess
        .doubts
        .iter()
        .any(|doubt| doubt.setting == "coverage_factor");
    if guess.coverage_factor != 1.0 || asked {
        let _ = writeln!(
            text,
            "coverage_factor = {:?}          # divides the column u, for expanded uncertainties with this k",
            guess.coverage_factor
        );
    }
    if guess.may_read_events() {
        text.push_str(&guess.event_words.line());
    }
    for line in guess.to_state.lines() {
        let _ = writeln!(text, "{line}");
    }
    if !guess.unit.is_empty() {
        let _ = writeln!(text, "unit = {}", quoted(&guess.unit));
    }
    list_line(text, "not_read", &guess.left_out());
}

/// How the headers of a wide table state dates or points.
fn wide_lines(text: &mut String, guess: &Guess, path: &str) {
    let Some(wide) = &guess.wide else {
        return;
    };
    let shape = match wide.by_points() {
        _ if wide.by_numbers() => "one row an item, several checks in it",
        true if wide.by_instruments() => "one row a date, one column an instrument",
        true => "one row a date, one column a point",
        false => "one row an item, one column a date",
    };
    let _ = write!(text, "\n[{path}.wide]                  # {shape}\n");
    if wide.by_instruments() {
        list_line(text, "instruments", &wide.instruments);
    } else if wide.by_points() {
        list_line(text, "points", &wide.points);
    } else if !wide.by_numbers() {
        let _ = writeln!(text, "date_format = {}", quoted(&wide.date_format));
    }
    if !wide.by_points() && !wide.by_numbers() && wide.leaves_open().is_some() {
        let _ = writeln!(
            text,
            "unstated = {}             # month and day of every check",
            quoted(&wide.unstated)
        );
    }
    for (column, beside) in wide.words() {
        let _ = writeln!(text, "{} = {}", column.name(), quoted(beside));
    }
    text.push_str(
        "# what stands beside the date, point, instrument or number in the headers of each column; \"\": nothing\n",
    );
}

fn column_lines(text: &mut String, guess: &Guess, path: &str) {
    let _ = write!(
        text,
        "\n[{path}.columns]               # our name = your header\n"
    );
    let missing = guess.missing();
    for column in Column::ALL {
        let _ = match guess.header(column) {
            _ if guess.off.contains(&column) => writeln!(text, "{} = false", column.name()),
            _ if guess.is_wide(column) => continue,
            Some(header) => writeln!(text, "{} = {}", column.name(), quoted(header)),
            None if missing.contains(&column) => {
                writeln!(
                    text,
                    "# {} = \"…\"             # needed: state it",
                    column.name()
                )
            }
            None => writeln!(text, "# {} = \"…\"", column.name()),
        };
    }
    if guess.wide.is_some() {
        not_read_line(text, &guess.ignored);
    }
}
