/*! Work done with the demo's instruments, for the question of what is in doubt. */

use super::DemoFile;
use super::figures::decimal;
use super::live::{AS_OF_DAY, Life};
use crate::words::date;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

/// Jobs in the table.
const JOBS: usize = 160;
/// Span of the jobs before the as-of date, days.
const SPAN_DAYS: f64 = 1100.0;
/// Tolerance of a job's own item, in tolerances of the instrument used.
const JOB_TOLERANCE: f64 = 3.0;
/// Standard deviation of measured errors, in tolerances of the job's item.
const ERROR_SPREAD: f64 = 0.45;

/// Work with the thermometers, each between two of its sessions.
const SEASON_WORK: [(&str, &str); 6] = [
    ("TH-101", "2025-06-18"),
    ("TH-105", "2024-08-20"),
    ("TH-105", "2025-10-14"),
    ("TH-105", "2026-04-21"),
    ("TH-104", "2025-07-22"),
    ("TH-106", "2025-05-12"),
];

/// The jobs table, dates ascending; work with thermometers follows.
pub(super) fn jobs(lives: &[Life], seed: u64) -> DemoFile {
    let mut random = Pcg64Mcg::seed_from_u64(seed ^ 0x4A4F_4253);
    let mut days: Vec<f64> = (0..JOBS)
        .map(|_| (AS_OF_DAY - random.random_range(0.0..SPAN_DAYS)).floor())
        .collect();
    days.sort_by(f64::total_cmp);
    // Nobody works with a check standard.
    let works = |life: &&Life| life.member.is_check_standard().is_none();
    let used: Vec<&Life> = lives.iter().filter(works).collect();
    let mut text = String::from("job,instrument,point,date,lower,upper,measured_error\n");
    for (i, day) in days.iter().enumerate() {
        let member = used[random.random_range(0..used.len())].member;
        let point = &member.points()[random.random_range(0..member.points().len())];
        let limit = JOB_TOLERANCE * member.kind.tolerance;
        let spread: f64 = StandardNormal.sample(&mut random);
        text.push_str(&format!(
            "J-{:04},{},{point},{},{},{},{}\n",
            i + 1,
            member.name_on(*day),
            date(*day),
            decimal(-limit, 1),
            decimal(limit, 1),
            decimal(ERROR_SPREAD * limit * spread, member.kind.decimals),
        ));
    }
    for (i, (name, day)) in SEASON_WORK.iter().enumerate() {
        text.push_str(&format!("J-{:04},{name},,{day},,,\n", JOBS + i + 1));
    }
    DemoFile::new("jobs.csv", text)
}
