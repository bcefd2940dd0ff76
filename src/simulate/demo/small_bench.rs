/*! A second, small bench: two probes of 100 Ω, a slush cell in a dry well, a readout of one current.

One session a month for a year, its readings as they are typed into a table and nothing else; then one more
session, to be judged. 0.5 mK of noise, 0.1 mΩ of resolution. Invented, like the rest.
*/

use super::DemoFile;
use super::figures::decimal;
use crate::records::DAYS_PER_YEAR;
use crate::simulate::stream;
use crate::words::date;
use rand_distr::{Distribution, StandardNormal};

/// dR/dT over R at the triple point of water, 1/K.
const SLOPE: f64 = 3.988_528_485e-3;
/// First session, 2025-07-02, and days between sessions.
const FIRST_DAY: f64 = 20_271.0;
const STEP_DAYS: f64 = 30.0;
const SESSIONS: u32 = 12;
const READINGS: u32 = 12;
/// Standard deviation of one reading, and of the cell from one slush to the next, mK.
const NOISE_MK: f64 = 0.5;
const SLUSH_MK: f64 = 0.35;
/// Head of 0.12 m of water, mK.
const HEAD_MK: f64 = -0.088;

/// Name, R as read at 1 mA in July 2025, Ω, and rise, mK per year.
const PROBES: [(&str, f64, f64); 2] = [("PB-1", 100.0214, 3.0), ("PB-2", 99.9873, 0.2)];

const HEADER: &str = "session,instrument,date,resistance_ohm,current_ma,cell,cell_kind,depth_m,\
minutes_since_insertion,plateau_minutes,pre_cooled,notes\n";

/// The year, the session after it, and the limits that the laboratory works to.
pub(super) fn small_bench(seed: u64) -> [DemoFile; 3] {
    let sessions = |numbers: std::ops::RangeInclusive<u32>| {
        let rows: String = numbers.map(|number| session(number, seed)).collect();
        format!("{HEADER}{rows}")
    };
    let limits: String = PROBES
        .iter()
        .map(|(name, ..)| format!("{name},triple point of water,mK,-15,15,365\n"))
        .collect();
    [
        DemoFile::new("small-bench/readings.csv", sessions(1..=SESSIONS)),
        DemoFile::new(
            "small-bench/new-session.csv",
            sessions(SESSIONS + 1..=SESSIONS + 1),
        ),
        DemoFile::new(
            "small-bench/register.csv",
            format!("instrument,point,unit,lower,upper,interval_days\n{limits}"),
        ),
    ]
}

fn session(number: u32, seed: u64) -> String {
    let mut random = stream(seed, &[0x5342, u64::from(number)]);
    let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
    let day = FIRST_DAY + STEP_DAYS * f64::from(number - 1);
    let slush = SLUSH_MK * normal();
    let mut rows = String::new();
    for (place, (name, ohm, rise)) in (0..).zip(PROBES) {
        let change = rise * (day - FIRST_DAY) / DAYS_PER_YEAR;
        for reading in 0..READINGS {
            let mk = change + HEAD_MK + slush + NOISE_MK * normal();
            let resistance = ohm * (1.0 + SLOPE * 1e-3 * mk);
            // The first probe goes in half an hour after the freeze, the second an hour later.
            let minute = 60 * place + reading;
            let notes = match (number, place, reading) {
                (1, 0, 0) => "supercooled to -5.6 °C and nucleated by one shake",
                _ => "",
            };
            rows += &format!(
                "B-{number:02},{name},{}T{:02}:{:02}:00,{},1,C-9,small slush,0.12,{},{},true,{notes}\n",
                date(day),
                9 + minute / 60,
                minute % 60,
                decimal(resistance, 4),
                15 + reading,
                45 + minute,
            );
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::date;
    use crate::thermometry::session_findings::session_findings;
    use crate::thermometry::testing::read_text;
    use crate::thermometry::{Thermometers, ThermometrySettings};

    /// On defaults every session stands, with the U of such a cell, and the drift of the one probe is found within its uncertainty.
    #[test]
    fn its_year_runs_on_defaults() {
        let [year, ..] = small_bench(crate::simulate::demo::DEMO_SEED);
        let table = read_text(&year.text).unwrap();
        assert!(table.rejected.is_empty());
        let as_of = date::parse_iso(b"2026-06-30").unwrap();
        let settings = ThermometrySettings::default();
        let findings =
            session_findings(&table.readings, &Thermometers::default(), &settings, as_of);
        assert_eq!(findings.results.len(), 24);
        findings.stand_as_of_a_slush_cell();
        let last = findings
            .results
            .iter()
            .rfind(|r| r.instrument == "PB-1")
            .unwrap();
        near!(last.change_mk(), 2.7, 2.0 * 2f64.sqrt() * last.u_mk());
    }
}
