/*! Six load cells that are checked together each quarter, and the force machines behind their readings.

The second machine, from October 2023 on, is 4 N above the first: a change of source, stated in the export. In its
last session it is 5 N too high and nobody says so: a step that all six cells share. Invented, like the rest.
*/

use super::DemoFile;
use super::figures::decimal;
use crate::records::DAYS_PER_YEAR;
use crate::simulate::stream;
use crate::words::date;
use rand_distr::{Distribution, StandardNormal};

const GROUP: &str = "load cell";
const CELLS: u64 = 6;
/// First session, 2020-02-04, and days between sessions; the last is on 2026-05-05.
const FIRST_DAY: f64 = 18_296.0;
const STEP_DAYS: f64 = 91.0;
const SESSIONS: u64 = 26;
/// First session on the second machine, and how far that one is above the first, N.
const SECOND_MACHINE: u64 = 16;
const ABOVE_THE_FIRST: f64 = 4.0;
/// What nobody states of the last session, N: three standard uncertainties of a reading and more.
const UNSTATED: f64 = 5.0;
/// Standard uncertainty of a reading, and the part that all of one machine share, N.
const U: f64 = 1.5;
const U_COMMON: f64 = 0.8;
/// Standard deviation of the drift, N per year, and of the wander, N per √year.
const DRIFT: f64 = 1.2;
const WANDER: f64 = 0.5;

const HEADER: &str = "instrument,point,date,as_found,u,u_common,kind,unit,source\n";

/// Their checks.
pub(super) fn checks(seed: u64) -> DemoFile {
    let rows: String = (1..=CELLS).map(|cell| life(cell, seed)).collect();
    DemoFile::new("history/load-cells.csv", format!("{HEADER}{rows}"))
}

fn life(cell: u64, seed: u64) -> String {
    let mut random = stream(seed, &[0x4c43, cell]);
    let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
    let years = STEP_DAYS / DAYS_PER_YEAR;
    let (drift, mut error) = (DRIFT * normal(), 3.0 * normal());
    let mut rows = String::new();
    for session in 1..=SESSIONS {
        let day = FIRST_DAY + STEP_DAYS * (session - 1) as f64;
        let (machine, above) = match session {
            SESSIONS => ("FM-2", ABOVE_THE_FIRST + UNSTATED),
            SECOND_MACHINE.. => ("FM-2", ABOVE_THE_FIRST),
            _ => ("FM-1", 0.0),
        };
        let own = (U * U - U_COMMON * U_COMMON).sqrt();
        let found = decimal(error + above + own * normal(), 1);
        let date = date(day);
        rows +=
            &format!("LC-{cell:03},20 kN,{date},{found},{U},{U_COMMON},calibration,N,{machine}\n");
        error += years * drift + WANDER * years.sqrt() * normal();
    }
    rows
}

/// Their rows of a register, with their group or what stands in its place.
pub(super) fn register_rows(group: Option<&str>) -> String {
    let group = group.unwrap_or(GROUP);
    let row = |cell| {
        format!(
            "LC-{cell:03},,{group},N,-60,60,{STEP_DAYS},,,,,,,normal,\"load cell of 20 kN\",,,,,\n"
        )
    };
    (1..=CELLS).map(row).collect()
}
