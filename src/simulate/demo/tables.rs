/*! The demo's tables as CSV text: checks by kind, the overlapping export, the registers. */

use super::DemoFile;
use super::figures::decimal;
use super::live::{Check, Life};
use super::load_cells;
use super::member::{Member, Twist};
use super::thermometry::register_rows;
use crate::words::date;

/// Header of every export of checks.
const CHECK_HEADER: &str = "instrument,point,date,as_found,as_left,nominal,u,u_common,lower,upper,in_tolerance,event,usage,kind,unit";
/// Header of the register.
const REGISTER_HEADER: &str = "instrument,point,group,unit,lower,upper,interval_days,cap_days,floor_days,last_calibration,reliability_target,cost,cost_out_of_tolerance,criticality,description,role,control_chart,status,until,formerly";
/// Group of the thermometers with raw readings.
const SEASON_GROUP: &str = "thermometer with raw readings";
/// The export that repeats rows of other exports, as a yearly export on top of a full one does.
const OVERLAP: &str = "history/thermometers-2025.csv";
/// Rows dated from here on appear in the overlapping export too (2025-07-01).
const OVERLAP_FROM_DAY: f64 = 20_270.0;

/// Exports of checks, one a kind, and one that overlaps.
pub(super) fn exports(lives: &[Life]) -> Vec<DemoFile> {
    let mut files: Vec<DemoFile> = Vec::new();
    let mut overlap = format!("{CHECK_HEADER}\n");
    for life in lives {
        let path = life.member.kind.file.as_str();
        if files.last().is_none_or(|file| file.path != path) {
            files.push(DemoFile::new(path, format!("{CHECK_HEADER}\n")));
        }
        for check in &life.checks {
            let line = check_line(life.member, check);
            if life.member.kind.prefix == "TH" && check.day >= OVERLAP_FROM_DAY {
                overlap.push_str(&line);
            }
            if let Some(file) = files.last_mut() {
                file.text.push_str(&line);
            }
        }
    }
    files.push(DemoFile::new(OVERLAP, overlap));
    files
}

fn check_line(member: &Member, check: &Check) -> String {
    let kind = member.kind;
    let nominal = member.twists.iter().find_map(|twist| match twist {
        Twist::ByValue(nominal) => Some(*nominal),
        _ => None,
    });
    let number = |value: f64| decimal(value + nominal.unwrap_or(0.0), kind.decimals);
    let outcomes_only = member.has(Twist::OutcomesOnly);
    let only = |told: bool, text: String| if told { text } else { String::new() };
    let stated = !outcomes_only && !member.has(Twist::NoUncertainty);
    let u = only(stated, kind.u.to_string());
    let u_common = only(stated, kind.u_common.to_string());
    let limit = |limit: f64| only(member.has(Twist::ToleranceInRecord), limit.to_string());
    let (lower, upper) = (limit(-kind.tolerance), limit(kind.tolerance));
    let found = only(!outcomes_only, number(check.found));
    let left = only(!outcomes_only, check.left.map(number).unwrap_or_default());
    let inside = check.found.abs() <= kind.tolerance;
    let inside = only(outcomes_only, inside.to_string());
    let usage = only(kind.use_per_year > 0.0, check.usage.to_string());
    let fields = [
        member.name_on(check.day),
        check.point.to_string(),
        date(check.day),
        found,
        left,
        nominal.map(|value| value.to_string()).unwrap_or_default(),
        u,
        u_common,
        lower,
        upper,
        inside,
        check.event.word().to_string(),
        usage,
        if check.calibration {
            "calibration"
        } else {
            "check"
        }
        .to_string(),
        kind.unit.to_string(),
    ];
    fields.join(",") + "\n"
}

/// The register, one row an instrument; its points share the row.
pub(super) fn register(lives: &[Life]) -> DemoFile {
    let group = |member: &Member| member.kind.group.to_string();
    DemoFile::new(
        "register.csv",
        register_text(lives, REGISTER_HEADER, group, (None, SEASON_GROUP)),
    )
}

/// The quality manager's register: the interval procedure of each instrument in place of its group.
pub(super) fn register_by_procedure(lives: &[Life]) -> DemoFile {
    let quoted = |member: &Member| format!("\"{}\"", member.procedure);
    DemoFile::new(
        "register-by-procedure.csv",
        register_text(
            lives,
            &REGISTER_HEADER.replacen("group", "procedure", 1),
            quoted,
            (
                Some("\"load cell, by its forecast\""),
                "\"thermometer, by its forecast\"",
            ),
        ),
    )
}

fn register_text(
    lives: &[Life],
    header: &str,
    group: impl Fn(&Member) -> String,
    (load_cells, thermometry): (Option<&str>, &str),
) -> String {
    let mut text = format!("{header}\n");
    for life in lives {
        text.push_str(&register_line(life, group(life.member)));
    }
    text + &load_cells::register_rows(load_cells) + &register_rows(thermometry)
}

fn register_line(life: &Life, group: String) -> String {
    let (member, kind) = (life.member, life.member.kind);
    let in_register = !member.has(Twist::NoTolerance) && !member.has(Twist::ToleranceInRecord);
    let limit = |value: f64| {
        if in_register {
            value.to_string()
        } else {
            String::new()
        }
    };
    let text = |value: Option<f64>| value.map(|v| v.to_string()).unwrap_or_default();
    let standard = member.is_check_standard();
    let (status, until) = match member.away() {
        Some(Twist::Lent(until)) => ("lent", until.as_str()),
        Some(_) => ("retired", ""),
        None => ("", ""),
    };
    let last = life.checks.iter().rfind(|check| check.calibration);
    let fields = [
        member.name(),
        String::new(),
        group,
        kind.unit.to_string(),
        limit(-kind.tolerance),
        limit(kind.tolerance),
        (member.every * (member.between + 1) as f64).to_string(),
        member.cap.map(|days| days.to_string()).unwrap_or_default(),
        String::new(),
        last.filter(|_| member.number.is_multiple_of(2))
            .map(|check| date(check.day))
            .unwrap_or_default(),
        text(member.target),
        text(member.harm.map(|_| kind.cost)),
        text(member.harm),
        member
            .criticality
            .as_deref()
            .unwrap_or("normal")
            .to_string(),
        format!("\"{}\"", kind.description),
        standard.map_or("", |_| "check_standard").to_string(),
        standard
            .map_or("", |stable| if stable { "constant" } else { "drift" })
            .to_string(),
        status.to_string(),
        until.to_string(),
        member.former().map_or("", |(name, _)| name).to_string(),
    ];
    fields.join(",") + "\n"
}
