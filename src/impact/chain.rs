/*! Onward: work done with what was calibrated by an instrument in doubt.

A job that calibrated another instrument passes its doubt on to the work of that one, from
the day of the job to the next calibration of it that is listed, and so on.
*/

use super::job::{Effect, Job, JobDoubt};
use crate::records::screening::alike::looked_up;
use crate::words::date;
use std::collections::{HashMap, HashSet, VecDeque};

/// Jobs that are in doubt because of what their instrument was calibrated with.
#[derive(Debug, Clone, Default)]
pub(crate) struct Onward {
    /// The jobs, in the order in which the doubt reaches them.
    pub doubts: Vec<JobDoubt>,
    /// Loops: instruments that come to be calibrated with themselves.
    pub loops: Vec<String>,
}

/// One job in doubt that calibrated an instrument, and the way that led to it from a first row.
struct Reached<'a> {
    job: &'a Job,
    way: Vec<String>,
    first: usize,
}

/// Follows the jobs in doubt onward; `jobs` is the whole table, `doubted` those in doubt by
/// their own instrument.
pub(crate) fn onward(jobs: &[Job], doubted: &[&JobDoubt]) -> Onward {
    let mut found = Onward::default();
    if jobs.iter().all(|job| job.calibrates.is_empty()) {
        return found;
    }
    let (done_with, calibrated) = (
        by_name(jobs, |j| &j.instrument),
        by_name(jobs, |j| &j.calibrates),
    );
    let mut known: HashSet<usize> = doubted.iter().map(|doubt| doubt.job.row).collect();
    let mut seen: HashSet<String> = HashSet::new();
    let mut waiting = first_reached(jobs, &known);
    while let Some(Reached {
        job,
        mut way,
        first,
    }) = waiting.pop_front()
    {
        let next = looked_up(&job.calibrates);
        let back = way.iter().position(|name| looked_up(name) == next);
        way.push(job.calibrates.trim().to_string());
        if let Some(back) = back {
            let words = way[back..].join(" → ");
            if seen.insert(words.clone()) {
                found.loops.push(format!("The jobs form a loop of calibrations, {words}: none of these can vouch for the others; job {} of {} closes it.", job.job, date(job.date)));
            }
            continue;
        }
        let until = calibrated.get(&next).and_then(|own| {
            let later = own.iter().find(|other| other.date > job.date);
            later.map(|other| other.date)
        });
        let own = done_with.get(&next).map_or(&[][..], Vec::as_slice);
        let from = own.partition_point(|work| work.date < job.date);
        let meant = own.get(from..).unwrap_or_default().iter();
        for work in meant.take_while(|work| until.is_none_or(|until| work.date < until)) {
            let new = known.insert(work.row);
            if new {
                found.doubts.push(doubt(work, job, &way, first));
            }
            let next = looked_up(&work.calibrates);
            let closes = || way.iter().any(|name| looked_up(name) == next);
            if !work.calibrates.is_empty() && (new || closes()) {
                let way = way.clone();
                waiting.push_back(Reached {
                    job: work,
                    way,
                    first,
                });
            }
        }
    }
    found
}

/// The calibrations among the jobs in doubt, by date.
fn first_reached<'a>(jobs: &'a [Job], known: &HashSet<usize>) -> VecDeque<Reached<'a>> {
    let in_doubt = |job: &&Job| known.contains(&job.row) && !job.calibrates.is_empty();
    let mut rows: Vec<&Job> = jobs.iter().filter(in_doubt).collect();
    rows.sort_by(|a, b| a.date.total_cmp(&b.date).then(a.row.cmp(&b.row)));
    let reached = rows.into_iter().map(|job| Reached {
        job,
        way: vec![job.instrument.trim().to_string()],
        first: job.row,
    });
    reached.collect()
}

/// Jobs by what names them, each list by date.
fn by_name<'a>(
    jobs: &'a [Job],
    name: impl Fn(&'a Job) -> &'a str,
) -> HashMap<String, Vec<&'a Job>> {
    let mut named: HashMap<String, Vec<&Job>> = HashMap::new();
    for job in jobs.iter().filter(|job| !name(job).trim().is_empty()) {
        named.entry(looked_up(name(job))).or_default().push(job);
    }
    for own in named.values_mut() {
        own.sort_by(|a, b| a.date.total_cmp(&b.date).then(a.row.cmp(&b.row)));
    }
    named
}

fn doubt(work: &Job, by: &Job, way: &[String], first: usize) -> JobDoubt {
    let reason = format!(
        "{} was calibrated on {} by job {} with {}, which is in doubt ({}); until it is calibrated anew its work is in doubt too, and a person has to judge it",
        work.instrument.trim(),
        date(by.date),
        by.job,
        by.instrument.trim(),
        way.join(" → ")
    );
    JobDoubt {
        through: Some(first),
        ..JobDoubt::with_reason(work.clone(), Effect::Doubtful, reason)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job(row: usize, instrument: &str, calibrates: &str, date: f64) -> Job {
        Job {
            row,
            job: format!("J-{row}"),
            instrument: instrument.into(),
            calibrates: calibrates.into(),
            date,
            ..Job::unknown()
        }
    }

    fn followed(jobs: &[Job]) -> (Vec<usize>, Vec<String>) {
        let first = JobDoubt::with_reason(jobs[0].clone(), Effect::Recall, String::new());
        let found = onward(jobs, &[&first]);
        let rows = found.doubts.iter().map(|doubt| doubt.job.row).collect();
        (rows, found.loops)
    }

    #[test]
    fn doubt_goes_on_until_the_next_calibration() {
        let jobs = [
            job(0, "A", "B", 10.0),
            job(1, "b ", "C", 20.0),
            job(2, "C", "", 30.0),
            job(3, "X", "B", 40.0),
            job(4, "B", "", 50.0),
            job(5, "C", "", 15.0),
        ];
        assert_eq!(followed(&jobs), (vec![1, 2], vec![]));
    }

    #[test]
    fn a_loop_ends_and_is_told() {
        let jobs = [
            job(0, "A", "B", 10.0),
            job(1, "B", "A", 20.0),
            job(2, "A", "", 30.0),
            job(3, "B", "", 30.0),
        ];
        let (rows, loops) = followed(&jobs);
        assert_eq!(rows, [1, 3]);
        assert_eq!(loops.len(), 1);
        says!(loops[0], "A → B → A");
    }
}
