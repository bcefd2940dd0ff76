/*! Two years of triple-point sessions as raw bridge readings, with what goes wrong in them.

Six invented thermometers, two invented cells, one session a month. TH-101 is the
check standard of every session but one. The other five take turns.
*/

use super::DemoFile;
use super::tables::{decimal, iso};
use crate::simulate::stream;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

/// First session, 2024-07-10.
const FIRST_DAY: f64 = 19_914.0;
const SESSIONS: u32 = 24;
/// Days between sessions.
const STEP_DAYS: f64 = 30.0;
/// Readings in each run of one current.
const RUN: u32 = 6;
/// dR/dT over R at the triple point of water, 1/K.
const SLOPE: f64 = 3.988_528_485e-3;
/// Standard deviation of one reading of the ratio.
const NOISE: f64 = 6e-9;
/// Reference resistor at 20 °C, Ω, and its linear coefficient, 1/K.
const RESISTOR_OHM: f64 = 100.000_213;
const RESISTOR_ALPHA: f64 = 1.5e-6;
/// Departure of the cells at the sensor from 273.16 K: head of 0.265 m and isotopes, K.
const DEPARTURE_K: f64 = -236.8e-6;

const HEADER: &str = "session,instrument,date,point,ratio,resistor_ohm,u_resistor_ohm,resistor_drift_ppm,\
resistor_alpha,resistor_reference_c,resistor_temperature_c,current_ma,depth_m,minutes_since_insertion,\
plateau_minutes,cell,cell_kind,delta_deuterium,delta_oxygen_18,pre_cooled,event,notes\n";

/// One thermometer: value in use, life, coefficients of its certificate.
struct Member {
    name: &'static str,
    ohm: f64,
    /// Drift, mK per year.
    drift: f64,
    /// Self-heating at 1 mA, mK.
    heating: f64,
    maximum_c: f64,
    subrange: &'static str,
}

const MEMBERS: [Member; 6] = [
    member(
        "TH-101",
        25.479_652,
        0.05,
        0.30,
        660.0,
        "{ number = 7, a = -1.313e-4, b = -3.84e-5, c = 8.56e-6 }",
    ),
    member(
        "TH-102",
        25.501_218,
        0.12,
        0.34,
        660.0,
        "{ number = 7, a = -1.027e-4, b = -1.95e-5, c = 4.10e-6 }",
    ),
    member(
        "TH-103",
        25.488_907,
        -0.08,
        0.28,
        420.0,
        "{ number = 8, a = -1.433e-4, b = -1.73e-5 }",
    ),
    member(
        "TH-104",
        25.513_440,
        0.10,
        0.41,
        420.0,
        "{ number = 8, a = -1.108e-4, b = -1.22e-5 }",
    ),
    member(
        "TH-105",
        25.470_115,
        0.95,
        0.36,
        660.0,
        "{ number = 7, a = -1.271e-4, b = -2.88e-5, c = 6.02e-6 }",
    ),
    member(
        "TH-106",
        25.496_731,
        0.20,
        0.33,
        660.0,
        "{ number = 7, a = -0.984e-4, b = -2.07e-5, c = 3.77e-6 }",
    ),
];

const fn member(
    name: &'static str,
    ohm: f64,
    drift: f64,
    heating: f64,
    maximum_c: f64,
    subrange: &'static str,
) -> Member {
    Member {
        name,
        ohm,
        drift,
        heating,
        maximum_c,
        subrange,
    }
}

/// What goes wrong in one session, or happened before it.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Trouble {
    /// The first reading comes too soon.
    Hurry,
    /// The mantle of the large cell is hours old.
    YoungMantle,
    /// The temperature of the resistor was not noted.
    NoTemperature,
    /// All thermometers, not pre-cooled, in the small cell on one plateau.
    Crowd,
    /// The reference resistor reads wrong for everyone.
    WrongResistor,
    /// The check standard stays in its box.
    NoStandard,
    /// TH-104 is knocked before the session.
    Knock,
    /// TH-104 is annealed before the session.
    Anneal,
    /// TH-106 is read at one current only.
    OneCurrent,
    /// TH-106 is noisy: moisture.
    Noise,
    /// The plateau of this session is not flat.
    Slope,
}

fn trouble(session: u32) -> Option<Trouble> {
    Some(match session {
        3 => Trouble::Hurry,
        6 => Trouble::YoungMantle,
        8 => Trouble::NoTemperature,
        10 => Trouble::Crowd,
        13 => Trouble::WrongResistor,
        14 => Trouble::Knock,
        15 => Trouble::Anneal,
        17 => Trouble::NoStandard,
        18 => Trouble::OneCurrent,
        20 => Trouble::Noise,
        22 => Trouble::Slope,
        _ => return None,
    })
}

/// Raw readings and the file of the thermometers.
pub(super) fn season(seed: u64) -> [DemoFile; 2] {
    let mut text = HEADER.to_string();
    for session in 1..=SESSIONS {
        for (place, index) in crew(session).into_iter().enumerate() {
            let mut random = stream(seed, &[0x5450, u64::from(session), index as u64]);
            read(&mut text, session, place as u32, index, &mut random);
        }
    }
    text.push_str(SPOILT);
    [
        DemoFile {
            path: "triple-point-readings.csv",
            text,
        },
        DemoFile {
            path: "thermometers.toml",
            text: thermometers(),
        },
    ]
}

/// Three rows as a hurried hand types them.
const SPOILT: &str = "S-24,TH-103,2026-06-01T12:00:00,,0,100.000213,0.00001,,,,,1,,,,C-1,,,,,,typed by hand\n\
S-24,TH-103,2026-06-01T12:01:00,,0.2548,100.000213,0.00001,,,,,1,,-12,,C-1,,,,,,typed by hand\n\
S-24,TH-103,2026-06-01T12:02:00,,0.2548,,,,,,,1,,,,C-1,,,,,,resistor not noted\n";

/// Thermometers of a session in the order of reading: the standard, then two in turn.
fn crew(session: u32) -> Vec<usize> {
    match trouble(session) {
        Some(Trouble::Crowd) => (0..6).collect(),
        Some(Trouble::NoStandard) => vec![1, 2],
        Some(Trouble::Knock | Trouble::Anneal) => vec![0, 3],
        Some(Trouble::OneCurrent | Trouble::Noise) => vec![0, 5],
        _ => {
            let turn = 2 * session as usize;
            vec![0, 1 + turn % 5, 1 + (turn + 1) % 5]
        }
    }
}

/// Change of a thermometer from the value in use, mK.
fn change_mk(index: usize, session: u32, random: &mut Pcg64Mcg) -> f64 {
    const WANDER_MK: f64 = 0.02;
    let years = f64::from(session - 1) * STEP_DAYS / 365.25;
    let strain = match (index, session) {
        (3, 14) => 1.8,
        (3, 15..) => 0.15,
        _ => 0.0,
    };
    MEMBERS[index].drift * years + strain + WANDER_MK * normal(random)
}

fn read(text: &mut String, session: u32, place: u32, index: usize, random: &mut Pcg64Mcg) {
    let (member, trouble) = (&MEMBERS[index], trouble(session));
    let change = change_mk(index, session, random);
    let day = FIRST_DAY + STEP_DAYS * f64::from(session - 1);
    let resistor_c = 20.0 + 0.03 * normal(random);
    let small = trouble == Some(Trouble::Crowd);
    let wrong = if trouble == Some(Trouble::WrongResistor) {
        9e-6
    } else {
        0.0
    };
    let resistor = RESISTOR_OHM * (1.0 + RESISTOR_ALPHA * (resistor_c - 20.0) - wrong);
    let start = 9 * 60 + 45 * place;
    let wait = if trouble == Some(Trouble::Hurry) && place == 1 {
        4
    } else {
        20
    };
    let runs = if trouble == Some(Trouble::OneCurrent) && index == 5 {
        1
    } else {
        3
    };
    for i in 0..RUN * runs {
        let second = (i / RUN) == 1;
        let minute = start + i;
        let power = if second { 2.0 } else { 1.0 };
        let rise_k = member.heating * power * 1e-3;
        let slope_k = if trouble == Some(Trouble::Slope) {
            1.2e-3 / 60.0 * f64::from(i)
        } else {
            0.0
        };
        let kelvin = change * 1e-3 + DEPARTURE_K + rise_k + slope_k;
        let noisy = if trouble == Some(Trouble::Noise) && index == 5 {
            80.0
        } else {
            1.0
        };
        let ratio = member.ohm * (1.0 + SLOPE * kelvin) / resistor + noisy * NOISE * normal(random);
        let plateau = match trouble {
            Some(Trouble::Crowd) => 30 + 45 * place + i,
            Some(Trouble::YoungMantle) => 5 * 60 + i,
            _ => 4 * 1440 + 45 * place + i,
        };
        let temperature = if trouble == Some(Trouble::NoTemperature) {
            String::new()
        } else {
            decimal(resistor_c, 3)
        };
        let (cell, kind) = if small {
            ("C-2", "small")
        } else {
            ("C-1", "large")
        };
        let (event, notes) = words(trouble, index);
        text.push_str(&format!(
            "S-{session:02},{},{}T{:02}:{:02}:00,triple point of water,{},{RESISTOR_OHM},0.00001,0.05,{RESISTOR_ALPHA},20,{temperature},{},0.265,{},{plateau},{cell},{kind},-0.060,-0.0085,{},{event},{notes}\n",
            member.name,
            iso(day),
            minute / 60,
            minute % 60,
            decimal(ratio, 9),
            if second { "1.41421356" } else { "1" },
            wait + i,
            !small,
        ));
    }
}

fn words(trouble: Option<Trouble>, index: usize) -> (&'static str, &'static str) {
    match (trouble, index) {
        (Some(Trouble::Knock), 3) => ("shocked", "knocked against the rack"),
        (Some(Trouble::Anneal), 3) => ("annealed", "annealed at 450 °C for 3 h"),
        (Some(Trouble::NoStandard), _) => ("", "check standard was away"),
        (Some(Trouble::Noise), 5) => ("", "display would not settle"),
        _ => ("", ""),
    }
}

/// Rows of the register for these thermometers, a group of their own.
pub(super) fn register_rows() -> String {
    MEMBERS
        .iter()
        .map(|member| {
            format!(
                "{},,thermometer with raw readings,mK,-5,5,365,,,,,,,normal,\"thermometer, by its forecast\",\"standard platinum resistance thermometer, 25 ohm\"\n",
                member.name
            )
        })
        .collect()
}

fn thermometers() -> String {
    let mut text = String::from(
        "# The demo's thermometers with raw readings: invented, like everything here.\n",
    );
    for (index, member) in MEMBERS.iter().enumerate() {
        text.push_str(&format!(
            "\n[[thermometer]]\ninstrument = \"{}\"\ntriple_point_ohm = {}\nu_triple_point_ohm = 0.0000024\n\
             maximum_c = {}\nself_heating_mk = [{}, {}]\ncheck_standard = {}\nsubrange = [{}]\n",
            member.name,
            member.ohm,
            member.maximum_c,
            decimal(member.heating - 0.1, 2),
            decimal(member.heating + 0.1, 2),
            index == 0,
            member.subrange,
        ));
    }
    text
}

fn normal(random: &mut Pcg64Mcg) -> f64 {
    StandardNormal.sample(random)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::reduction::BudgetSettings;
    use crate::thermometry::session::{SessionSettings, Sessions, Standing, reduce_sessions};
    use crate::thermometry::{Thermometers, readings::read_table};
    use std::collections::BTreeMap;

    fn reduced() -> Sessions {
        let [readings, facts] = season(super::super::DEMO_SEED);
        let table = read_table(readings.text.as_bytes(), &BTreeMap::new()).unwrap();
        assert_eq!(table.rejected.len(), 3, "{:?}", table.rejected);
        let facts = Thermometers::from_text(&facts.text).unwrap();
        assert!(facts.thermometer.iter().all(|t| t.thermometer().is_ok()));
        reduce_sessions(
            &table.readings,
            &facts,
            &BudgetSettings::default(),
            &SessionSettings::default(),
        )
    }

    fn rules(sessions: &Sessions, session: &str) -> Vec<&'static str> {
        let of = sessions.results.iter().filter(|r| r.session == session);
        of.flat_map(|r| r.violations.iter().map(|v| v.rule))
            .collect()
    }

    #[test]
    fn every_trouble_is_found_and_nothing_else() {
        let sessions = reduced();
        assert!(sessions.rejected.is_empty());
        let expected = [
            ("S-03", "wait"),
            ("S-06", "mantle"),
            ("S-10", "thermometers"),
            ("S-10", "plateau"),
            ("S-13", "check_standard"),
            ("S-17", "no_check_standard"),
            ("S-18", "readings"),
            ("S-20", "spread"),
            ("S-22", "slope"),
        ];
        for (session, rule) in expected {
            assert!(
                rules(&sessions, session).contains(&rule),
                "{session} {rule}"
            );
        }
        let quiet = [
            "S-01", "S-02", "S-04", "S-05", "S-07", "S-09", "S-11", "S-12", "S-16", "S-23", "S-24",
        ];
        for session in quiet {
            assert!(
                rules(&sessions, session).is_empty(),
                "{session}: {:?}",
                rules(&sessions, session)
            );
        }
        let rejected = sessions
            .results
            .iter()
            .filter(|r| r.standing() == Standing::Rejected);
        assert!(rejected.count() >= 4);
    }

    #[test]
    fn the_reduction_finds_the_lives_again() {
        let sessions = reduced();
        let change = |session: &str, instrument: &str| {
            sessions
                .results
                .iter()
                .find(|r| r.session == session && r.instrument == instrument)
                .map(|r| r.change_mk())
                .unwrap()
        };
        assert!((change("S-14", "TH-104") - 1.9).abs() < 0.15);
        assert!((change("S-15", "TH-104") - 0.27).abs() < 0.15);
        assert!((change("S-01", "TH-101")).abs() < 0.1);
    }
}
