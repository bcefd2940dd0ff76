/*! Decisions that a person wrote into a file: a copy of decisions.csv, or lines as the book has them.

The column `approval` of a copy, `decision` of the book, says `approved`, `rejected` or `other` where
the person decided; a row that still says what the report said is passed over. `approved_days`, `by`,
`on`, `valid_until` and the reason are the person's, where the file has them. The proposal in the row
must be the one that the records give now, else the person saw another.
*/

use super::asked::{Ask, Asked};
use crate::commands::refused::{Refused, refused};
use crate::commands::written_days::WrittenDays;
use crate::decisions::policy::{ApprovalState, Decision, SAME_DAYS};
use crate::decisions::stage::DecisionStage;
use crate::records::reading::table::TableFormat;
use crate::records::{ApprovalVerdict, Marks, Table, TableColumn, Thousands, date};
use crate::words::neutralised;
use crate::words::{agreeing, count};
use std::collections::HashMap;
use std::path::Path;

/// Columns in the order of [`COPY`] and [`BOOK`].
#[derive(Clone, Copy)]
enum Column {
    Instrument,
    Point,
    Proposed,
    Verdict,
    ApprovedDays,
    By,
    On,
    ValidUntil,
    Reason,
}

/// Names of the columns.
type Names = [&'static str; 9];

/// Those of a copy of decisions.csv.
const COPY: Names = [
    "instrument",
    "point",
    "interval_days",
    "approval",
    "approved_days",
    "by",
    "on",
    "valid_until",
    "approval_reason",
];

/// Those of the book of approvals, in which a report's page saves.
const BOOK: Names = [
    "instrument",
    "point",
    "proposed_days",
    "decision",
    "approved_days",
    "by",
    "on",
    "valid_until",
    "reason",
];

fn columns(names: &Names) -> [TableColumn<'static>; 9] {
    let numbers = [Column::Proposed as usize, Column::ApprovedDays as usize];
    let needed = [Column::Instrument, Column::Proposed, Column::Verdict].map(|c| c as usize);
    std::array::from_fn(|place| TableColumn {
        name: names[place],
        own: None,
        text: !numbers.contains(&place),
        needed: needed.contains(&place),
    })
}

/// One row with a person's decision.
pub(super) struct Row {
    pub place: String,
    pub index: usize,
    pub decision: Decision,
    pub asked: Asked,
}

/// The rows of the file.
pub(super) struct Filled {
    pub rows: Vec<Row>,
    pub notes: Vec<String>,
}

/// Reads the decisions of the file at `path`; what a row leaves open is that of `own`.
///
/// # Errors
/// A file that is no such copy, or with rows that cannot be followed: all of them are named.
pub(super) fn read(
    path: &Path,
    own: &Asked,
    stage: &DecisionStage<'_>,
    (days, today): (&WrittenDays, f64),
) -> Result<Filled, Refused> {
    let shown = path.display().to_string();
    let (names, table) = table(path, &shown)?;
    if let Some((row, why)) = table.ragged.first() {
        return Err(refused!("{shown}, row {row}: {why}"));
    }
    let marks = |stated| table.marks(&columns(names), stated, Thousands::None, "file");
    // What the numbers leave open, the decimal sign of the checks decides: a spreadsheet saves all its files with one.
    let marks = match (marks(None), days.decimal_comma) {
        (Err(_), Some(comma)) => marks(Some(comma))?,
        (read, _) => read?,
    };
    let items = &stage.histories.items;
    let named = |(index, item): (usize, &crate::records::Item)| {
        let name = |text: &str| neutralised(text).into_owned();
        ((name(&item.instrument), name(&item.point)), index)
    };
    let reader = Reader {
        names,
        table: &table,
        marks,
        own,
        stage,
        today,
        days,
        places: items.iter().enumerate().map(named).collect(),
    };
    let (mut rows, mut same, mut wrong) = (Vec::new(), 0, Vec::new());
    for row in 0..table.len() {
        match reader.row(row) {
            Ok(Some(found)) => rows.push(found),
            Ok(None) => same += 1,
            Err(why) => wrong.push(format!("{}: {why}", table.place(row))),
        }
    }
    if !wrong.is_empty() {
        return Err(refused!("nothing was written:\n  {}", wrong.join("\n  ")));
    }
    if rows.is_empty() {
        return Err(refused!(
            "{shown} decides nothing: write approved, rejected or other into the column {}",
            names[Column::Verdict as usize]
        ));
    }
    let notes = match same {
        0 => Vec::new(),
        same => vec![format!(
            "{} {} what the report said and {} passed over.",
            count(same, "row"),
            agreeing(same, "says", "say"),
            agreeing(same, "was", "were")
        )],
    };
    Ok(Filled { rows, notes })
}

/// The table of the file, and the names by which its columns were found.
fn table(path: &Path, shown: &str) -> Result<(&'static Names, Table), Refused> {
    let read = |names| Table::read(path, shown, &columns(names), TableFormat::default());
    match (read(&COPY), read(&BOOK)) {
        (Ok(_), Ok(_)) => Err(refused!(
            "{shown} has the columns {} and {}: which one decides? Remove the other",
            COPY[Column::Verdict as usize],
            BOOK[Column::Verdict as usize]
        )),
        (Ok(copy), Err(_)) => Ok((&COPY, copy)),
        (Err(_), Ok(book)) => Ok((&BOOK, book)),
        (Err(why), Err(_)) => Err(why.into()),
    }
}

struct Reader<'a> {
    names: &'static Names,
    table: &'a Table,
    marks: Marks,
    own: &'a Asked,
    stage: &'a DecisionStage<'a>,
    today: f64,
    days: &'a WrittenDays,
    places: HashMap<(String, String), usize>,
}

impl Reader<'_> {
    /// The decision of a row; `None` where it still says what the report said.
    fn row(&self, row: usize) -> Result<Option<Row>, Refused> {
        let word = self.text(row, Column::Verdict);
        let Some(verdict) = ApprovalVerdict::of_word(&word) else {
            return match word.as_str() {
                "pending" | "none" | "" => Ok(None),
                other => Err(refused!(
                    "{} \"{other}\": expected approved, rejected or other",
                    self.names[Column::Verdict as usize]
                )),
            };
        };
        let key = (
            self.text(row, Column::Instrument),
            self.text(row, Column::Point),
        );
        let Some(&index) = self.places.get(&key) else {
            let named = format!("{} {}", key.0, key.1);
            return Err(refused!("no history is named {}", named.trim_end()));
        };
        let (_, decision) = self.stage.decide(index);
        let approved_days = self.days_of(row, Column::ApprovedDays)?;
        let standing = matches!(
            (verdict, decision.approval),
            (ApprovalVerdict::Approved, ApprovalState::Approved)
                | (ApprovalVerdict::Rejected, ApprovalState::Rejected)
        );
        if standing && approved_days.is_none() {
            return Ok(None);
        }
        let seen = self.days_of(row, Column::Proposed)?;
        if let Some(seen) = seen
            && (seen - decision.interval_days).abs() >= SAME_DAYS
        {
            return Err(refused!(
                "the row says {seen} d, the records now propose {} d: decide on a new copy",
                decision.interval_days
            ));
        }
        let ask = ask_of(verdict, approved_days, decision.interval_days)?;
        let asked = self.asked(row, ask)?;
        Ok(Some(Row {
            place: self.table.place(row),
            index,
            decision,
            asked,
        }))
    }

    fn asked(&self, row: usize, ask: Ask) -> Result<Asked, Refused> {
        let own = self.own;
        let or = |text: String, otherwise: &str| match text.is_empty() {
            true => otherwise.to_string(),
            false => text,
        };
        let on = self
            .days
            .day("on", &self.text(row, Column::On))?
            .unwrap_or(own.on);
        if on > self.today {
            return Err(refused!("on {} lies in the future", date::iso(on)));
        }
        let until = self
            .days
            .day("valid_until", &self.text(row, Column::ValidUntil))?;
        Ok(Asked {
            ask,
            by: or(self.text(row, Column::By), &own.by),
            on,
            valid_until: until.or(own.valid_until),
            reason: or(self.text(row, Column::Reason), &own.reason),
        })
    }

    fn text(&self, row: usize, column: Column) -> String {
        let field = self.table.field(row, column as usize);
        field.text().trim().to_string()
    }

    fn days_of(&self, row: usize, column: Column) -> Result<Option<f64>, Refused> {
        let field = self.table.field(row, column as usize);
        let number = field.number(self.marks);
        let name = self.names[column as usize];
        let read = number.map(|number| number.map(|number| number.value));
        let text = field.text();
        read.map_err(|why| match text.contains(',') {
            // No setting tells the decimal sign of such a file.
            true => refused!("{name} \"{text}\": not a number of days: write 500, or 500.5"),
            false => refused!("{name} \"{text}\": {}", why.words()),
        })
    }
}

/// What a filled-in row asks for, where `proposed` is the interval that the records propose, days.
fn ask_of(
    verdict: ApprovalVerdict,
    approved_days: Option<f64>,
    proposed: f64,
) -> Result<Ask, Refused> {
    match (verdict, approved_days) {
        (ApprovalVerdict::Rejected, None) => Ok(Ask::Reject),
        (ApprovalVerdict::Rejected, Some(_)) => Err(refused!(
            "a rejected row has approved_days: leave it empty, or write other"
        )),
        (ApprovalVerdict::Other, Some(days)) => Ok(Ask::Own(days)),
        (ApprovalVerdict::Other, None) => {
            Err(refused!("other needs the interval in approved_days"))
        }
        (ApprovalVerdict::Approved, None) => Ok(Ask::Proposal),
        (ApprovalVerdict::Approved, Some(days)) if (days - proposed).abs() < SAME_DAYS => {
            Ok(Ask::Proposal)
        }
        (ApprovalVerdict::Approved, Some(days)) => Err(refused!(
            "approved_days {days} is not the proposed {proposed}: write other for an interval of one's own"
        )),
    }
}
