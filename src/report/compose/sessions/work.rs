/*! Work done with a thermometer between two of its sessions: closure, correction, its uncertainty. */

use crate::impact::Job;
use crate::pipeline::season::SeasonResults;
use crate::records::date;
use crate::report::SectionView;
use crate::thermometry::closure::{AroundWorkSettings, Closure, DatedChange, closure};
use crate::thermometry::session::{SessionResult, Standing};

/// Work of `jobs` that lies between two accepted sessions in `own`; none where there is none.
pub(crate) fn work(
    own: &[&SessionResult],
    jobs: &[Job],
    settings: &AroundWorkSettings,
) -> Option<SectionView> {
    let instrument = &own.first()?.instrument;
    let accepted: Vec<&SessionResult> = own
        .iter()
        .filter(|r| r.standing() != Standing::Rejected)
        .copied()
        .collect();
    let rows: Vec<Vec<String>> = jobs
        .iter()
        .filter(|job| job.instrument == *instrument)
        .filter_map(|job| {
            let (before, after) = around(&accepted, job.date)?;
            let carried = before.carried_ohm();
            let (from, to) = (dated(before, carried), dated(after, carried));
            let found = closure(from, to, job.date, settings)?;
            Some(row(job, before, after, &found))
        })
        .collect();
    (!rows.is_empty()).then(|| SectionView {
        title: "Work between sessions".into(),
        paragraphs: vec![
            "The drift between the sessions before and after a piece of work is spread in proportion to time; its moment is \
             unknown, so |closure|/√12 is in u. Work that does not close wants repeating."
                .into(),
        ],
        headers: [
            "work",
            "date",
            "before",
            "after",
            "closure/mK",
            "change at the work/mK",
            "u/mK",
            "what it says",
        ]
        .map(String::from)
        .to_vec(),
        rows,
        ..Default::default()
    })
}

/// The last session not after `day` and the first not before it.
fn around<'a>(
    sessions: &[&'a SessionResult],
    day: f64,
) -> Option<(&'a SessionResult, &'a SessionResult)> {
    let before = sessions.iter().rfind(|r| r.date <= day)?;
    let after = sessions.iter().find(|r| r.date >= day)?;
    Some((before, after))
}

/// A session's change from the value carried between the two sessions.
fn dated(result: &SessionResult, carried_ohm: f64) -> DatedChange {
    DatedChange {
        date: result.date,
        change_mk: result.change_from_mk(carried_ohm),
        u_mk: result.u_mk(),
    }
}

fn row(job: &Job, before: &SessionResult, after: &SessionResult, found: &Closure) -> Vec<String> {
    vec![
        job.job.clone(),
        date::iso(job.date),
        before.session.clone(),
        after.session.clone(),
        format!("{:+.3}", found.closure_mk),
        format!("{:+.3}", found.at_work_mk),
        format!("{:.3}", found.u_at_work_mk),
        found.words.clone(),
    ]
}

impl SeasonResults {
    /// The part of a thermometer's page on the work between its sessions.
    pub(crate) fn work_section(&self, own: &[&SessionResult]) -> Option<SectionView> {
        work(own, &self.jobs, &self.around_work)
    }
}
