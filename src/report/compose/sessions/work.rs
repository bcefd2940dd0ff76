/*! Work done with a thermometer between two of its sessions: closure, correction, its uncertainty. */

use crate::impact::Job;
use crate::records::{self, Event, date};
use crate::report::SectionView;
use crate::report::compose::results::ThermometryResults;
use crate::thermometry::closure::{AroundWorkSettings, Closure, DatedChange, closure};
use crate::thermometry::session::SessionResult;

/// Work of `jobs` done with this thermometer since its first session; none where there is none.
pub(crate) fn work(
    own: &[&SessionResult],
    jobs: &[Job],
    settings: &AroundWorkSettings,
) -> Option<SectionView> {
    let first = own.first()?;
    let accepted: Vec<&SessionResult> = own.iter().filter(|r| r.is_accepted()).copied().collect();
    let rows: Vec<Vec<String>> = jobs
        .iter()
        .filter(|job| job.instrument == first.instrument && job.date >= first.date.floor())
        .map(|job| row(job, &accepted, settings))
        .collect();
    let words = "The drift between the sessions before and after a piece of work is spread in proportion to time; its moment is \
             unknown, so |closure|/√12 is in u. Work that does not close wants repeating. Work whose hour was not noted lies \
             between the first and the last session of its day, or between the sessions of the days around it.";
    (!rows.is_empty()).then(|| {
        SectionView::of("Work between sessions", [words]).table(
"work | date | before | after | closure/mK | change at the work/mK | u/mK | what it says",
            rows,
        )
    })
}

/// The sessions that surely lie before and after work of `date`.
///
/// A date without an hour stands for the whole day: two sessions of that day bracket the work, a
/// single one may lie on either side of it.
fn around<'a>(
    sessions: &[&'a SessionResult],
    date: f64,
) -> (Option<&'a SessionResult>, Option<&'a SessionResult>) {
    let day = date.floor();
    if date > day {
        let before = sessions.iter().rfind(|r| r.date <= date);
        return (
            before.copied(),
            sessions.iter().find(|r| r.date >= date).copied(),
        );
    }
    let of_day: Vec<_> = sessions.iter().filter(|r| r.date.floor() == day).collect();
    if let [first, .., last] = of_day[..] {
        return (Some(*first), Some(*last));
    }
    let before = sessions.iter().rfind(|r| r.date < day);
    let after = sessions.iter().find(|r| r.date >= day + 1.0);
    (before.copied(), after.copied())
}

/// What happened between two sessions so that their difference is no drift of the work.
fn interrupted(after: &SessionResult) -> Option<Event> {
    records::event(&after.event).filter(|e| !matches!(e, Event::None | Event::Shocked))
}

fn row(job: &Job, accepted: &[&SessionResult], settings: &AroundWorkSettings) -> Vec<String> {
    let (before, after) = around(accepted, job.date);
    let name = |side: Option<&SessionResult>| side.map_or(String::new(), |r| r.session.clone());
    let found = closed(before, after, job.date, settings);
    let figure = |of: fn(&Closure) -> String| found.as_ref().map_or(String::new(), of);
    vec![
        job.job.clone(),
        date::iso(job.date),
        name(before),
        name(after),
        figure(|c| format!("{:+.3}", c.closure_mk)),
        figure(|c| format!("{:+.3}", c.at_work_mk)),
        figure(|c| format!("{:.3}", c.u_at_work_mk)),
        match &found {
            Ok(closure) => closure.words.clone(),
            Err(why) => format!("cannot be closed, because {why}"),
        },
    ]
}

/// Why work cannot be closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
enum NotClosed {
    #[error("no accepted session surely lies before the work")]
    NoneBefore,
    #[error("no accepted session surely lies after the work: check it now")]
    NoneAfter,
    #[error("it was {0} between the sessions")]
    Interrupted(&'static str),
    #[error("its date is no date")]
    NoDate,
}

fn closed(
    before: Option<&SessionResult>,
    after: Option<&SessionResult>,
    date: f64,
    settings: &AroundWorkSettings,
) -> Result<Closure, NotClosed> {
    let before = before.ok_or(NotClosed::NoneBefore)?;
    let after = after.ok_or(NotClosed::NoneAfter)?;
    if let Some(event) = interrupted(after) {
        return Err(NotClosed::Interrupted(event.word()));
    }
    let carried = before.carried_ohm();
    // The middle of the day, where the hour is not known and the sessions are of other days.
    let middle = match date > date.floor() {
        true => date,
        false => (date + 0.5).clamp(before.date, after.date),
    };
    let (from, to) = (
        DatedChange::of(before, carried),
        DatedChange::of(after, carried),
    );
    closure(from, to, middle, settings).ok_or(NotClosed::NoDate)
}

impl ThermometryResults {
    /// The part of a thermometer's page on the work between its sessions.
    pub(crate) fn work_section(&self, own: &[&SessionResult]) -> Option<SectionView> {
        work(own, &self.jobs, &self.around_work)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::testing::Bench;

    const OHM: f64 = 25.5;

    /// Sessions at 9:00 of the given days with the change read, mK, and what is said of work on `date`.
    fn listed(sessions: &[(&str, f64)], on: &str) -> Vec<String> {
        let mut bench = Bench::large().thermometer("TH-1", OHM, "");
        for (number, (day, mk)) in sessions.iter().enumerate() {
            bench = bench.session(&format!("S-{number}"), day, &[("TH-1", OHM, *mk)]);
        }
        let thermometry = bench.findings("2026-12-31");
        let own: Vec<&SessionResult> = thermometry.results.iter().collect();
        let job = Job {
            job: "J-1".into(),
            instrument: "TH-1".into(),
            date: date::parse_iso(on.as_bytes()).unwrap(),
            ..Default::default()
        };
        work(&own, &[job], &AroundWorkSettings::default())
            .unwrap()
            .rows[0]
            .clone()
    }

    /// A knock of 3 mK during the work of the day: the session of that morning lies before it, so
    /// that only the one after the day can show the knock.
    #[test]
    fn work_without_an_hour_is_bracketed_by_sessions_around_the_day() {
        let sessions = [
            ("2026-05-04", 0.0),
            ("2026-05-05", 0.0),
            ("2026-05-06", 3.0),
        ];
        let knocked = listed(&sessions, "2026-05-05");
        assert_eq!(knocked[2..4], ["S-0", "S-2"]);
        says!(knocked[7], "does not close");
        let open = listed(&sessions[..2], "2026-05-05");
        let why = "cannot be closed, because no accepted session surely lies after the work: check it now";
        assert_eq!(open[7], why);
        // With an hour the morning's session counts.
        assert_eq!(listed(&sessions, "2026-05-05T11:00")[2..4], ["S-1", "S-2"]);
    }
}
