/*! What the demo's people signed: the books of approvals and of closings. None of them exists. */

use super::DemoFile;
use super::laboratory::LABORATORY;
use crate::decisions::cases::closings;
use crate::records::{APPROVAL_COLUMNS, book};

const HEAD: &str = "Head of laboratory (invented)";
const QUALITY: &str = "Quality officer (invented)";

/// Day on which the head of the laboratory went through the proposals.
const SIGNED_ON: &str = "2026-06-16";

/// Both books, each line with the hash of the one before.
pub(super) fn books() -> [DemoFile; 2] {
    let approvals = LABORATORY.approvals.iter().map(|line| {
        let mut line = line.to_vec();
        line.splice(5..5, [HEAD.to_string(), SIGNED_ON.to_string()]);
        line
    });
    let closings = LABORATORY.closings.iter().map(|line| {
        let mut line = line.to_vec();
        line.insert(3, QUALITY.to_string());
        line
    });
    [
        written("approvals.csv", &APPROVAL_COLUMNS, approvals.collect()),
        written("cases.csv", &closings::COLUMNS, closings.collect()),
    ]
}

fn written(path: &'static str, columns: &[&str], lines: Vec<Vec<String>>) -> DemoFile {
    let text = book::with_entries("", path, columns, &lines).unwrap_or_default();
    DemoFile::new(path, text)
}
