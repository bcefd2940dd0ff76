/*! Two years of triple-point sessions as raw bridge readings, with what goes wrong in them.

Six invented thermometers, two invented cells, one session a month. TH-101 is the
check standard of every session but one. The other five take turns.
*/

mod members;
mod other_points;
pub(super) mod schedule;
mod sessions;

pub(super) use members::register_rows;

use super::DemoFile;
use super::figures::decimal;
use super::laboratory::LABORATORY;
use crate::records::DAYS_PER_YEAR;
use crate::simulate::stream;
use crate::thermometry::Thermometers;
use crate::words::date;
use other_points::{Visit, read_other};
use rand_pcg::Pcg64Mcg;
use schedule::Trouble;
use sessions::{
    DEPARTURE_K, FIRST_DAY, NOISE, RESISTOR_ALPHA, RESISTOR_OHM, RUN, SLOPE, STEP_DAYS, normal,
};

const HEADER: &str = "session,instrument,date,point,ratio,resistor_ohm,u_resistor_ohm,resistor_drift_ppm,\
resistor_alpha,resistor_reference_c,resistor_temperature_c,current_ma,depth_m,minutes_since_insertion,\
plateau_minutes,cell,cell_kind,delta_deuterium,delta_oxygen_18,pre_cooled,event,notes\n";

/// Raw readings and the file of the thermometers.
pub(super) fn files(seed: u64) -> [DemoFile; 2] {
    let facts = members::thermometers();
    let known = Thermometers::from_text(&facts).unwrap_or_default();
    let mut text = HEADER.to_string();
    for (session, planned) in (1..).zip(&LABORATORY.sessions) {
        for (place, &index) in planned.crew.iter().enumerate() {
            let mut random = stream(seed, &[0x5450, u64::from(session), index as u64]);
            let visit = Visit {
                session,
                trouble: planned.trouble,
                place: place as u32,
                index,
                change: change_mk(index, session, &mut random),
            };
            for (order, &point) in planned.other_points(index).iter().enumerate() {
                let key = [0x5450, u64::from(session), index as u64, 1 + order as u64];
                read_other(&mut text, &visit, point, &known, &mut stream(seed, &key));
            }
            read(&mut text, &visit, &mut random);
        }
    }
    text.push_str(SPOILT);
    [
        DemoFile::new("triple-point-readings.csv", text),
        DemoFile::new("thermometers.toml", facts),
    ]
}

/// Three rows as a hurried hand types them.
const SPOILT: &str = "S-24,TH-103,2026-06-01T12:00:00,,0,100.000213,0.00001,,,,,1,,,,C-1,,,,,,typed by hand\n\
S-24,TH-103,2026-06-01T12:01:00,,0.2548,100.000213,0.00001,,,,,1,,-12,,C-1,,,,,,typed by hand\n\
S-24,TH-103,2026-06-01T12:02:00,,0.2548,,,,,,,1,,,,C-1,,,,,,resistor not noted\n";

/// Change of a thermometer from the value in use, mK.
fn change_mk(index: usize, session: u32, random: &mut Pcg64Mcg) -> f64 {
    const WANDER_MK: f64 = 0.02;
    let years = f64::from(session - 1) * STEP_DAYS / DAYS_PER_YEAR;
    let strain = match (index, session) {
        (3, 14) => 1.8,
        (3, 15..) => 0.15,
        _ => 0.0,
    };
    LABORATORY.thermometers[index].drift * years + strain + WANDER_MK * normal(random)
}

/// How the readings of a visit are taken, and what the trouble of its session does to them.
struct Course {
    trouble: Option<Trouble>,
    /// Relative error of the reference resistor.
    wrong: f64,
    /// Minutes between the thermometer's insertion and its first reading.
    wait: u32,
    /// Runs of readings, the second of them at the second current.
    runs: u32,
    /// Rise of the plateau between readings, K.
    slope_k: f64,
    /// Noise of a reading in units of the usual.
    noise: f64,
    /// Minutes between the making of the plateau and the first reading.
    plateau: u32,
}

impl Course {
    fn of(visit: &Visit) -> Self {
        let trouble = visit.trouble;
        let (place, last) = (visit.place, visit.index == 5);
        let is = |other: Trouble| trouble == Some(other);
        Self {
            trouble,
            wrong: if is(Trouble::WrongResistor) {
                9e-6
            } else {
                0.0
            },
            wait: if is(Trouble::Hurry) && place == 1 {
                4
            } else {
                20
            },
            runs: if is(Trouble::OneCurrent) && last {
                1
            } else {
                3
            },
            slope_k: if is(Trouble::Slope) {
                1.2e-3 / 60.0
            } else {
                0.0
            },
            noise: if is(Trouble::Noise) && last {
                80.0
            } else {
                1.0
            },
            plateau: match trouble {
                Some(Trouble::Crowd) => 30 + 45 * place,
                Some(Trouble::YoungMantle) => 5 * 60,
                _ => 4 * 1440 + 45 * place,
            },
        }
    }

    fn is(&self, trouble: Trouble) -> bool {
        self.trouble == Some(trouble)
    }

    /// Name and kind of the cell.
    fn cell(&self) -> (&'static str, &'static str) {
        match self.is(Trouble::Crowd) {
            true => ("C-2", "small"),
            false => ("C-1", "large"),
        }
    }
}

/// The runs of a visit at the triple point of water.
fn read(text: &mut String, visit: &Visit, random: &mut Pcg64Mcg) {
    let (session, member, course) = (
        visit.session,
        &LABORATORY.thermometers[visit.index],
        Course::of(visit),
    );
    let day = FIRST_DAY + STEP_DAYS * f64::from(session - 1);
    let resistor_c = 20.0 + 0.03 * normal(random);
    let resistor = RESISTOR_OHM * (1.0 + RESISTOR_ALPHA * (resistor_c - 20.0) - course.wrong);
    let start = 9 * 60 + 45 * visit.place;
    let temperature = match course.is(Trouble::NoTemperature) {
        true => String::new(),
        false => decimal(resistor_c, 3),
    };
    let (cell, kind) = course.cell();
    let pre_cooled = !course.is(Trouble::Crowd);
    let (event, notes) = words(course.trouble, visit.index);
    for i in 0..RUN * course.runs {
        let second = (i / RUN) == 1;
        let minute = start + i;
        let power = if second { 2.0 } else { 1.0 };
        let rise_k = member.heating * power * 1e-3;
        let slope_k = course.slope_k * f64::from(i);
        let kelvin = visit.change * 1e-3 + DEPARTURE_K + rise_k + slope_k;
        let noise = course.noise * NOISE * normal(random);
        let ratio = member.ohm * (1.0 + SLOPE * kelvin) / resistor + noise;
        text.push_str(&format!(
            "S-{session:02},{},{}T{:02}:{:02}:00,triple point of water,{},{RESISTOR_OHM},0.00001,0.05,{RESISTOR_ALPHA},20,{temperature},{},0.265,{},{},{cell},{kind},-0.060,-0.0085,{pre_cooled},{event},{notes}\n",
            member.name,
            date(day),
            minute / 60,
            minute % 60,
            decimal(ratio, 9),
            if second { "1.41421356" } else { "1" },
            course.wait + i,
            course.plateau + i,
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
