/*! Two years of triple-point sessions as raw bridge readings, with what goes wrong in them.

Six invented thermometers, two invented cells, one session a month. TH-101 is the
check standard of every session but one. The other five take turns.
*/

mod members;
mod other_points;
mod schedule;
mod sessions;

pub(super) use members::register_rows;

use super::DemoFile;
use super::figures::{decimal, iso};
use crate::simulate::stream;
use crate::thermometry::Thermometers;
use members::MEMBERS;
use other_points::{Visit, read_other};
use rand_pcg::Pcg64Mcg;
use schedule::{Trouble, crew, other_points, trouble};
use sessions::{
    DEPARTURE_K, FIRST_DAY, NOISE, RESISTOR_ALPHA, RESISTOR_OHM, RUN, SESSIONS, SLOPE, STEP_DAYS,
    normal,
};

const HEADER: &str = "session,instrument,date,point,ratio,resistor_ohm,u_resistor_ohm,resistor_drift_ppm,\
resistor_alpha,resistor_reference_c,resistor_temperature_c,current_ma,depth_m,minutes_since_insertion,\
plateau_minutes,cell,cell_kind,delta_deuterium,delta_oxygen_18,pre_cooled,event,notes\n";

/// Raw readings and the file of the thermometers.
pub(super) fn files(seed: u64) -> [DemoFile; 2] {
    let facts = members::thermometers();
    let known = Thermometers::from_text(&facts).unwrap_or_default();
    let mut text = HEADER.to_string();
    for session in 1..=SESSIONS {
        for (place, index) in crew(session).into_iter().enumerate() {
            let mut random = stream(seed, &[0x5450, u64::from(session), index as u64]);
            let change = change_mk(index, session, &mut random);
            for (order, &point) in other_points(session, index).iter().enumerate() {
                let key = [0x5450, u64::from(session), index as u64, 1 + order as u64];
                let visit = Visit {
                    session,
                    place: place as u32,
                    index,
                    change,
                };
                read_other(&mut text, &visit, point, &known, &mut stream(seed, &key));
            }
            read(&mut text, session, place as u32, index, change, &mut random);
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
            text: facts,
        },
    ]
}

/// Three rows as a hurried hand types them.
const SPOILT: &str = "S-24,TH-103,2026-06-01T12:00:00,,0,100.000213,0.00001,,,,,1,,,,C-1,,,,,,typed by hand\n\
S-24,TH-103,2026-06-01T12:01:00,,0.2548,100.000213,0.00001,,,,,1,,-12,,C-1,,,,,,typed by hand\n\
S-24,TH-103,2026-06-01T12:02:00,,0.2548,,,,,,,1,,,,C-1,,,,,,resistor not noted\n";

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

fn read(
    text: &mut String,
    session: u32,
    place: u32,
    index: usize,
    change: f64,
    random: &mut Pcg64Mcg,
) {
    let (member, trouble) = (&MEMBERS[index], trouble(session));
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

#[cfg(test)]
mod tests;
