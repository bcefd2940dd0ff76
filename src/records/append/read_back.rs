/*! Rows about to be added to a file of checks, read as a run would read them: what would come back as
another check is not written. */

use super::check::{AppendError, NewCheck, same_time};
use crate::records::cells::unit::power_between;
use crate::records::date::iso;
use crate::records::load::load;
use crate::records::load::request::Request;
use crate::records::settings::ChecksSettings;
use crate::records::{Display, History, Loaded};
use crate::words::history_name;
use std::path::Path;

/// Refuses `content`, which is to be the file at `path`, where a run would read one of `checks` out of it as
/// anything else. `request` is that of a run; the file is read by `settings`.
///
/// # Errors
/// The first check that does not come back as it is, with what comes back.
pub(crate) fn refuse_misread(
    path: &Path,
    content: &[u8],
    checks: &[NewCheck],
    settings: &ChecksSettings,
    request: &Request<'_>,
) -> Result<(), AppendError> {
    let file = path.display().to_string();
    let misread_as = |what: String| AppendError::shape(&file, what);
    let failed = |why: std::io::Error| AppendError::unusable(&file, why);
    // The name may tell the instrument or the day.
    let folder = tempfile::tempdir().map_err(failed)?;
    let copy = folder.path().join(path.file_name().unwrap_or_default());
    std::fs::write(&copy, content).map_err(failed)?;
    // The grid of a display is seen in all readings of a history, not in one file.
    let settings = ChecksSettings {
        resolution: 0.0,
        display: Display::Rounds,
        ..settings.clone()
    };
    let loaded = load(&Request {
        checks: &[copy],
        base: folder.path(),
        checks_settings: &settings,
        forms: &[0],
        approvals: None,
        ..*request
    })
    .map_err(|why| misread_as(format!("with the new row it cannot be read: {why}")))?;
    match checks.iter().find_map(|check| misread(check, &loaded)) {
        Some(what) => Err(misread_as(what)),
        None => Ok(()),
    }
}

/// What a run would make of the row of `check`, where that is not the check.
fn misread(check: &NewCheck, loaded: &Loaded) -> Option<String> {
    let name = history_name(&check.instrument, &check.point);
    let own = |history: &History<'_>| {
        (&history.item.instrument, &history.item.point) == (&check.instrument, &check.point)
    };
    let history = loaded.histories.iter().find(own);
    let at = history.and_then(|history| {
        let same = |date: &f64| same_time(*date, check.date);
        Some((history, history.date.iter().rposition(same)?))
    });
    let Some((history, at)) = at else {
        let day = iso(check.date);
        return Some(format!(
            "no check of {name} on {day} would be read from the new row{}",
            rejected_last(loaded)
        ));
    };
    let unit = &history.item.unit;
    let Some(power) = power_between(unit, &check.unit) else {
        return Some(format!(
            "the new row of {name} would be read in {unit}, and the check is in {}",
            check.unit
        ));
    };
    if let Some((what, read, stated)) = other_figure(check, &history, at, power) {
        return Some(format!(
            "in the new row of {name} {what} would be read as {read} and not as {stated}"
        ));
    }
    let (read, stated) = (history.event[at], check.event);
    (read != stated).then(|| {
        let (read, stated) = (read.word(), stated.word());
        format!(
            "in the new row of {name} the event would be read as \"{read}\" and not as \"{stated}\""
        )
    })
}

/// The first figure of `check` that is read as another one: what it is, as it is read and as it is stated. The unit of
/// the `history` is 10^`power` of that of the check.
fn other_figure(
    check: &NewCheck,
    history: &History<'_>,
    at: usize,
    power: i32,
) -> Option<(&'static str, f64, f64)> {
    let scale = 10f64.powi(power);
    let nominal = if check.nominal.is_finite() {
        check.nominal
    } else {
        0.0
    };
    let within = 1e-12 * check.as_found.abs().max(nominal.abs());
    let found = check.as_found - nominal;
    let left = check.as_left - nominal;
    let figures = [
        ("the error", history.as_found[at] * scale, found, within),
        (
            "the error as left",
            history.as_left[at] * scale,
            left,
            within,
        ),
        ("u", history.u[at] * scale, check.u, 1e-9 * check.u.abs()),
        (
            "the use",
            history.usage[at],
            check.usage,
            1e-9 * check.usage.abs(),
        ),
    ];
    let differs = |(_, read, stated, slack): &(&str, f64, f64, f64)| {
        let same = (read - stated).abs() <= *slack;
        stated.is_finite() && !same
    };
    let found = figures.into_iter().find(differs);
    found.map(|(what, read, stated, _)| (what, read, stated))
}

/// Why the last row that cannot be used is not, in brackets.
fn rejected_last(loaded: &Loaded) -> String {
    let last = loaded.rejects.iter().max_by_key(|reject| reject.row);
    last.map_or(String::new(), |reject| {
        let (column, value, reason) = (&reject.column, &reject.value, &reject.reason);
        format!(
            " (row {}, column {column}, \"{value}\": {reason})",
            reject.row
        )
    })
}
