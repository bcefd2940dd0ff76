/*! Appends entries to a book: under a lock, written beside its place and renamed, so that no
line of another writer is lost and none is left half-written. */

use super::CommandError;
use crate::commands::refused::{Refused, refused};
use crate::records::append::held::{Held, replace};
use crate::records::book;
use crate::records::date;
use crate::records::reading::plain_file::{self, LARGEST_MB};
use crate::settings::plan::{Plan, PlanRequest};
use crate::settings::planning::plan;
use std::path::Path;

/// The plan of the pipeline file `records` as of the day `on` that a person signs, today where none
/// is given; and today, days since 1970-01-01.
///
/// # Errors
/// A pipeline file that cannot be used; a day in the future.
pub(crate) fn plan_signed_on(
    records: &Path,
    on: Option<&str>,
) -> Result<(Plan, f64), CommandError> {
    let today = chrono::Local::now().date_naive();
    if let Some(text) = on.filter(|text| date::parse_iso(text.trim().as_bytes()).is_none()) {
        return Err(CommandError::usage(format!(
            "--on \"{text}\" is not a date: expected YYYY-MM-DD"
        )));
    }
    let as_of = on.map_or_else(|| today.to_string(), str::to_string);
    let request = PlanRequest::new(Some(records.to_path_buf()), Some(as_of), today);
    let plan = plan(&request)?;
    let today = date::days_of(today);
    match today < plan.as_of {
        true => Err(CommandError::usage(format!(
            "--on {} lies in the future",
            date::iso(plan.as_of)
        ))),
        false => Ok((plan, today)),
    }
}

/// What is to be said where a line of a day after the one that the pipeline file states was written;
/// `what` names the lines.
pub(crate) fn said_of_pinned(
    plan: &Plan,
    mut days: impl Iterator<Item = f64>,
    what: &str,
) -> String {
    let pinned = plan.settings.as_of.as_deref();
    let pinned = pinned.and_then(|day| date::parse_iso(day.as_bytes()));
    match pinned.filter(|pinned| days.any(|day| day > *pinned)) {
        Some(day) => format!(
            "The pipeline is as of {}: its runs see {what} once as_of lies on their day or later.\n",
            date::iso(day)
        ),
        None => String::new(),
    }
}

/// All of them, or every reason why not.
///
/// # Errors
/// The reasons, the first of them in full.
pub(crate) fn all_or_why<T>(
    made: impl Iterator<Item = Result<T, Refused>>,
) -> Result<Vec<T>, Refused> {
    const NAMED: usize = 10;
    let (good, bad): (Vec<_>, Vec<_>) = made.partition(Result::is_ok);
    let wrong: Vec<String> = bad
        .into_iter()
        .filter_map(Result::err)
        .map(|why| why.to_string())
        .collect();
    match wrong.len() {
        0 => Ok(good.into_iter().filter_map(Result::ok).collect()),
        number => {
            let named = wrong.iter().take(NAMED).cloned().collect::<Vec<_>>();
            let more = match number.saturating_sub(NAMED) {
                0 => String::new(),
                more => format!("\n  and {more} more"),
            };
            Err(refused!(
                "nothing was written:\n  {}{more}",
                named.join("\n  ")
            ))
        }
    }
}

/// Appends to the book at `path` the entries that `entries` gives once nobody else writes.
///
/// # Errors
/// What `entries` refuses; a book of another header; a disk that refuses.
pub(crate) fn append_entries(
    path: &Path,
    columns: &[&str],
    entries: impl FnOnce() -> Result<Vec<Vec<String>>, CommandError>,
) -> Result<(), CommandError> {
    let shown = path.display().to_string();
    let failed = |why: std::io::Error| CommandError::failed(format!("{shown}: {why}"));
    let held = Held::open(path).map_err(failed)?;
    let append = || {
        let text = plain_file::read_text(path, LARGEST_MB).map_err(failed)?;
        let whole =
            book::with_entries(&text, &shown, columns, &entries()?).map_err(CommandError::usage)?;
        let added = whole.get(text.len()..).unwrap_or_default();
        replace(path, text.as_bytes(), added.as_bytes()).map_err(failed)
    };
    let done = append();
    if done.is_err() {
        held.give_up();
    }
    done
}
