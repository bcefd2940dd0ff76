/*! Due dates as a calendar file (RFC 5545) that any calendar program can subscribe to. */

use super::text::{date, replaced};
use super::view::{Action, FleetView, InstrumentRow};
use rayon::prelude::*;
use sha2::{Digest, Sha256};

/// Octets of a content line before it must be folded (RFC 5545, 3.1).
const LINE_OCTETS: usize = 75;

/// Events that one thread writes at a time.
const BLOCK_EVENTS: usize = 1_024;

/// One all-day event an instrument with a due date; no clock is read: the stamp is the as-of date.
pub(crate) fn calendar(view: &FleetView) -> String {
    let mut out = String::new();
    let mut line = |text: String| fold(&text, &mut out);
    line("BEGIN:VCALENDAR".into());
    line("VERSION:2.0".into());
    line("PRODID:-//Driftbook//Recalibration due dates//EN".into());
    line("CALSCALE:GREGORIAN".into());
    line("METHOD:PUBLISH".into());
    let stamp = basic(view.as_of).unwrap_or_else(|| "19700101".into());
    let blocks: Vec<String> = view
        .instruments
        .par_chunks(BLOCK_EVENTS)
        .map(|rows| {
            let mut block = String::new();
            rows.iter().for_each(|row| event(row, &stamp, &mut block));
            block
        })
        .collect();
    out.extend(blocks);
    fold("END:VCALENDAR", &mut out);
    out
}

/// Appends the event of an instrument; nothing where it has no due date.
fn event(row: &InstrumentRow, stamp: &str, out: &mut String) {
    let Some((start, end)) = row
        .due_day
        .and_then(|day| Some((basic(day)?, basic(day + 1.0)?)))
    else {
        return;
    };
    let mut line = |text: String| fold(&text, out);
    line("BEGIN:VEVENT".into());
    line(format!(
        "UID:{}@driftbook.invalid",
        identity(&row.instrument)
    ));
    line(format!("DTSTAMP:{stamp}T000000Z"));
    line(format!("DTSTART;VALUE=DATE:{start}"));
    line(format!("DTEND;VALUE=DATE:{end}"));
    let summary = match row.action {
        Action::Withdraw => format!("withdraw: {} must not be used", row.name()),
        person if person.needs_person() => format!("{person}: calibrate {}", row.name()),
        _ => format!("calibrate {}", row.name()),
    };
    line(format!("SUMMARY:{}", escaped(&summary)));
    line(format!("DESCRIPTION:{}", escaped(&row.reason)));
    if !row.group.is_empty() {
        line(format!("CATEGORIES:{}", escaped(&row.group)));
    }
    line("TRANSP:TRANSPARENT".into());
    line("END:VEVENT".into());
}

/// "20270314", the basic form of a date (RFC 5545, 3.3.4).
fn basic(day: f64) -> Option<String> {
    date(day).map(|date| date.format("%Y%m%d").to_string())
}

/// The same instrument keeps its identity from run to run, so that a changed date moves the event.
fn identity(instrument: &str) -> String {
    let hash = Sha256::digest(instrument);
    hash[..12]
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// Text value (RFC 5545, 3.3.11): backslash, semicolon, comma and line ends escaped.
fn escaped(text: &str) -> String {
    let special = |c: char| matches!(c, '\\' | ';' | ',') || c.is_control();
    replaced(text, special, |letter, out| match letter {
        '\n' => out.push_str("\\n"),
        c if c.is_control() => out.push(' '),
        c => out.extend(['\\', c]),
    })
}

/// Appends a content line, folded at 75 octets between characters, ended by CR LF.
fn fold(text: &str, out: &mut String) {
    let mut rest = text;
    let mut room = LINE_OCTETS;
    while rest.len() > room {
        let (line, tail) = rest.split_at(rest.floor_char_boundary(room));
        out.push_str(line);
        out.push_str("\r\n ");
        rest = tail;
        // The space that begins the line counts.
        room = LINE_OCTETS - 1;
    }
    out.push_str(rest);
    out.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;
    use icalendar::{Calendar, Component};

    #[test]
    fn an_independent_parser_reads_every_due_date_back() {
        let mut view = samples::fleet(40);
        view.instruments[3].instrument = "a; b, c\\d\nEND:VEVENT\u{1F321}".repeat(4);
        let text = calendar(&view);
        assert!(text.split("\r\n").all(|line| line.len() <= LINE_OCTETS));
        let parsed: Calendar = text.parse().unwrap();
        let events: Vec<_> = parsed
            .components
            .iter()
            .filter_map(|c| c.as_event())
            .collect();
        let due: Vec<_> = view
            .instruments
            .iter()
            .filter(|row| row.due_day.is_some())
            .collect();
        assert_eq!(events.len(), due.len());
        for (event, row) in events.iter().zip(due) {
            let expected = date(row.due_day.unwrap()).unwrap();
            assert_eq!(event.get_start().unwrap().date_naive(), expected);
            let summary = event.get_summary().unwrap();
            let withdrawn = row.action == Action::Withdraw;
            assert_eq!(summary.contains("calibrate"), !withdrawn, "{summary}");
        }
    }

    #[test]
    fn each_instrument_has_its_own_identity() {
        assert_ne!(identity("a"), identity("b"));
    }
}
