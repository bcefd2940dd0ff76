/*! Readings at gallium, tin and zinc: what tells a scaled resistance from an added one. */

use super::schedule::Trouble;
use super::sessions::{
    FIRST_DAY, NOISE, RESISTOR_ALPHA, RESISTOR_OHM, RUN, SLOPE, STEP_DAYS, normal,
};
use crate::simulate::demo::figures::decimal;
use crate::simulate::demo::laboratory::{Change, LABORATORY};
use crate::thermometry::Thermometers;
use crate::thermometry::its90::{FixedPoint, Reference};
use crate::words::date;
use rand_pcg::Pcg64Mcg;

/// One thermometer in one session.
pub(super) struct Visit {
    pub session: u32,
    /// What goes wrong in it.
    pub trouble: Option<Trouble>,
    pub place: u32,
    pub index: usize,
    /// Change at the triple point of water, mK.
    pub change: f64,
}

/// Three runs at another fixed point early on the day of the session.
pub(super) fn read_other(
    text: &mut String,
    visit: &Visit,
    point: FixedPoint,
    known: &Thermometers,
    random: &mut Pcg64Mcg,
) {
    /// Repeatability of a realisation, mK.
    const REPEAT_MK: f64 = 0.1;
    const DEPTH_M: f64 = 0.16;
    let member = &LABORATORY.thermometers[visit.index];
    let own = known.of(&member.name).and_then(|f| f.thermometer().ok());
    let ratio = own
        .and_then(|t| t.at_temperature(point.kelvin()).ok())
        .map_or(point.reference_ratio(), |state| state.ratio);
    let slope = Reference::Joined.slope(point.kelvin());
    let change = SLOPE * visit.change * 1e-3;
    let ratio = match member.change {
        Change::Scaled => ratio * (1.0 + change),
        Change::Added => ratio + change,
    };
    let off_k = DEPTH_M * point.head_k_per_m() + REPEAT_MK * 1e-3 * normal(random);
    let resistor_c = 20.0 + 0.03 * normal(random);
    let resistor = RESISTOR_OHM * (1.0 + RESISTOR_ALPHA * (resistor_c - 20.0));
    let day = FIRST_DAY + STEP_DAYS * f64::from(visit.session - 1);
    let start = match point {
        FixedPoint::Gallium => 5 * 60,
        _ => 7 * 60,
    } + 25 * visit.place;
    for i in 0..3 * RUN {
        let second = (i / RUN) == 1;
        let rise_k = member.heating * if second { 2.0 } else { 1.0 } * 1e-3;
        let ohm = member.ohm * (ratio + slope * (off_k + rise_k));
        let minute = start + i;
        text.push_str(&format!(
            "S-{:02},{},{}T{:02}:{:02}:00,{},{},{RESISTOR_OHM},0.00001,0.05,{RESISTOR_ALPHA},20,{},{},{DEPTH_M},{},{},{},large,,,,,\n",
            visit.session,
            member.name,
            date(day),
            minute / 60,
            minute % 60,
            point.name(),
            decimal(ohm / resistor + NOISE * normal(random), 9),
            decimal(resistor_c, 3),
            if second { "1.41421356" } else { "1" },
            25 + i,
            60 + 25 * visit.place + i,
            cell(point),
        ));
    }
}

fn cell(point: FixedPoint) -> &'static str {
    match point {
        FixedPoint::Gallium => "C-3",
        FixedPoint::Tin => "C-4",
        _ => "C-5",
    }
}
