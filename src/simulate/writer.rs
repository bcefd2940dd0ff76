/*! The rows of one simulated instrument: checks with their faults, register, truth. */

use super::fleet_tables::Tables;
use super::life::{TrueCheck, TrueLife, chance};
use super::seeds::Stream;
use super::settings::FleetSettings;
use super::text::{push_decimal, push_padded};
use crate::words::date;
use rand::RngExt;

/// Writes the rows of one instrument.
pub(super) struct Writer<'a> {
    fleet: &'a FleetSettings,
    life: &'a TrueLife,
    name: Vec<u8>,
    states_u: bool,
    outcomes_only: bool,
    stream: Stream,
}

impl<'a> Writer<'a> {
    /// `stream` decides on faults alone: without faults the record is the life itself.
    pub(super) fn new(
        fleet: &'a FleetSettings,
        number: u64,
        life: &'a TrueLife,
        mut stream: Stream,
    ) -> Self {
        let width = fleet.instruments.max(1).ilog10() as usize + 1;
        let mut name = fleet.prefix.clone().into_bytes();
        name.push(b'-');
        push_padded(&mut name, number + 1, width.max(3));
        let states_u = !chance(fleet.reading.without_u, &mut stream);
        let outcomes_only = chance(fleet.reading.outcomes_only, &mut stream);
        Writer {
            fleet,
            life,
            name,
            states_u,
            outcomes_only,
            stream,
        }
    }

    /// Appends all rows of the instrument.
    pub(super) fn write(mut self, true_errors: bool, tables: &mut Tables) {
        for check in &self.life.checks {
            let start = tables.checks.len();
            self.write_check(check, &mut tables.checks);
            tables.rows += 1;
            if chance(self.fleet.faults.repeated, &mut self.stream) {
                tables.checks.extend_from_within(start..);
                tables.rows += 1;
            }
            if true_errors {
                self.write_true_error(check, &mut tables.true_errors);
            }
        }
        self.write_register(&mut tables.register);
        self.write_truth(&mut tables.truth);
    }

    fn number(&self, out: &mut Vec<u8>, half_widths: f64) {
        push_decimal(out, half_widths * self.fleet.tolerance, self.fleet.decimals);
    }

    fn write_check(&mut self, check: &TrueCheck, out: &mut Vec<u8>) {
        let faults = &self.fleet.faults;
        if !chance(faults.no_instrument, &mut self.stream) {
            out.extend_from_slice(&self.name);
        }
        field(out, self.fleet.point.as_bytes());
        out.push(b',');
        out.extend_from_slice(date(check.day).as_bytes());
        if chance(faults.unreadable_date, &mut self.stream) {
            out.push(b'?');
        }
        out.push(b',');
        let noted = check
            .left
            .filter(|_| !chance(faults.silent_adjustment, &mut self.stream));
        let found = self.recorded(check.found);
        if !self.outcomes_only {
            self.number(out, found);
            if chance(faults.unreadable_number, &mut self.stream) {
                out.push(b'?');
            }
        }
        out.push(b',');
        if let (Some(left), false) = (noted, self.outcomes_only) {
            self.number(out, left);
        }
        self.write_rest(check, noted.is_some(), out);
    }

    fn write_rest(&self, check: &TrueCheck, adjusted: bool, out: &mut Vec<u8>) {
        out.push(b',');
        let reading = &self.fleet.reading;
        let states_u = self.states_u && !self.outcomes_only;
        // One decimal more than the values: a rounded u would be another u.
        let decimals = self.fleet.decimals + 1;
        if states_u {
            push_decimal(out, self.life.stated_u * self.fleet.tolerance, decimals);
        }
        out.push(b',');
        if states_u && reading.u_common > 0.0 {
            push_decimal(out, reading.u_common * self.fleet.tolerance, decimals);
        }
        let inside: &[u8] = match (self.outcomes_only, check.found.abs() <= 1.0) {
            (false, _) => b"",
            (true, true) => b"true",
            (true, false) => b"false",
        };
        field(out, inside);
        field(out, if adjusted { b"adjusted" } else { b"" });
        field(
            out,
            if check.calibration {
                b"calibration"
            } else {
                b"check"
            },
        );
        field(out, self.fleet.unit.as_bytes());
        out.push(b'\n');
    }

    /// The reading as the record has it: faults of typing included.
    fn recorded(&mut self, found: f64) -> f64 {
        let faults = &self.fleet.faults;
        let mut value = found;
        if chance(faults.blunder, &mut self.stream) {
            let up = self.stream.random::<bool>();
            value += if up {
                faults.blunder_size
            } else {
                -faults.blunder_size
            };
        }
        if chance(faults.unit_slip, &mut self.stream) {
            value *= 1000.0;
        }
        if chance(faults.sign_flip, &mut self.stream) {
            value = -value;
        }
        value
    }

    fn write_true_error(&self, check: &TrueCheck, out: &mut Vec<u8>) {
        out.extend_from_slice(&self.name);
        field(out, self.fleet.point.as_bytes());
        out.push(b',');
        out.extend_from_slice(date(check.day).as_bytes());
        out.push(b',');
        push_decimal(out, check.error * self.fleet.tolerance, 9);
        out.push(b'\n');
    }

    fn write_register(&self, out: &mut Vec<u8>) {
        let fleet = self.fleet;
        let positive = |value: f64| {
            if value > 0.0 {
                value.to_string()
            } else {
                String::new()
            }
        };
        let calibration_every =
            self.life.interval_days * (fleet.schedule.checks_between + 1) as f64;
        out.extend_from_slice(&self.name);
        let fields = [
            fleet.point.clone(),
            fleet.name.clone(),
            fleet.unit.clone(),
            (-fleet.tolerance).to_string(),
            fleet.tolerance.to_string(),
            calibration_every.round().to_string(),
            positive(fleet.cost),
            positive(fleet.cost_out_of_tolerance),
        ];
        fields.iter().for_each(|text| field(out, text.as_bytes()));
        out.push(b'\n');
    }

    fn write_truth(&self, out: &mut Vec<u8>) {
        let (fleet, life, nature) = (self.fleet, self.life, &self.life.nature);
        out.extend_from_slice(&self.name);
        for text in [&fleet.point, &fleet.name, &fleet.unit] {
            field(out, text.as_bytes());
        }
        let scale = fleet.tolerance;
        let values = [
            scale,
            scale * nature.start,
            scale * nature.drift,
            scale * nature.wander,
            scale * nature.turning,
            nature.jump_rate,
            scale * nature.jump_size,
            scale * nature.season,
            scale * nature.ageing,
            nature.ageing_years,
            scale * nature.wear,
            nature.wear_onset,
            nature.failure_rate,
            scale * nature.failure_size,
            scale * life.u,
            scale * life.stated_u,
            scale * life.common_error,
            f64::from(life.living.jumps),
            scale * life.living.error(),
            scale * life.living.drift,
        ];
        for value in values {
            out.push(b',');
            out.extend_from_slice(value.to_string().as_bytes());
        }
        out.push(b'\n');
    }
}

fn field(out: &mut Vec<u8>, text: &[u8]) {
    out.push(b',');
    out.extend_from_slice(text);
}
