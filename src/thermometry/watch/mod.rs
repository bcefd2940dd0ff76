/*! Readings at the bench as they come: what they say so far, and whether more are needed. */

mod so_far;

pub(crate) use so_far::{FromExpected, SoFar};

use super::expectation::expected_value;
use super::its90::{FixedPoint, TRIPLE_POINT_SLOPE};
use super::readings::{RawReading, ReadingPoint};
use super::reduction::{
    Average, Distribution, Slope, common_correlation, resolution, same_current, value,
};
use super::session::SessionResult;
use super::{Thermometers, ThermometrySettings};

/// s/√n over the rest of u that is new with a session, below which more readings are not worth their
/// time: u then shrinks by less than a tenth, √(1 + 0.458²) = 1.1 (our own choice, no source).
const WORTH_MORE: f64 = 0.458;
/// Readings that a single one is first compared with.
const FEWEST_BESIDE: usize = 4;
const HOURS_PER_DAY: f64 = 24.0;

/// The readings of a session that is under way.
pub(crate) struct Watch<'a> {
    earlier: &'a [SessionResult],
    facts: &'a Thermometers,
    settings: &'a ThermometrySettings,
    read: Vec<RawReading>,
}

impl<'a> Watch<'a> {
    /// Beside the `earlier` sessions, by date.
    pub(crate) fn new(
        earlier: &'a [SessionResult],
        facts: &'a Thermometers,
        settings: &'a ThermometrySettings,
    ) -> Self {
        Self {
            earlier,
            facts,
            settings,
            read: Vec::new(),
        }
    }

    /// The readings so far.
    pub(crate) fn readings(&self) -> &[RawReading] {
        &self.read
    }

    /// Adds a reading and says what it and its like come to.
    pub(crate) fn take(&mut self, reading: RawReading) -> SoFar {
        self.read.push(reading);
        let newest = &self.read[self.read.len() - 1];
        let alike = |r: &&RawReading| {
            r.session == newest.session
                && r.instrument == newest.instrument
                && r.point == newest.point
                && same_current(r.current_ma, newest.current_ma)
        };
        let own: Vec<&RawReading> = self.read.iter().filter(alike).collect();
        self.said(newest, &own)
    }

    /// Takes the newest reading back.
    pub(crate) fn undo(&mut self) -> Option<RawReading> {
        self.read.pop()
    }

    fn said(&self, newest: &RawReading, own: &[&RawReading]) -> SoFar {
        let ohms: Vec<f64> = own.iter().map(|r| ohm(r)).collect();
        let means = own.iter().map(|r| (ohm(r), deviation_ohm(r), r.count));
        let average = match own.iter().any(|r| r.count > 1) {
            true => Average::of_means(means),
            false => Average::of(&ohms),
        };
        // There is a reading at least: the newest.
        let average = average.unwrap_or(Average {
            count: 0,
            mean: f64::NAN,
            deviation: f64::NAN,
            noise: f64::NAN,
            neighbour_correlation: 0.0,
        });
        let slope_here = super::reduction::relative_slope(newest.point);
        let mk_per_ohm = 1000.0 / (average.mean * slope_here);
        let line: Vec<(f64, f64)> = own
            .iter()
            .map(|r| {
                let hours = (r.date - own[0].date) * HOURS_PER_DAY;
                (hours, (ohm(r) - ohms[0]) * mk_per_ohm)
            })
            .collect();
        let slope = Slope::of(&line);
        let others = Average::of(&ohms[..ohms.len() - 1]).filter(|a| a.count >= FEWEST_BESIDE);
        // A display that hides the noise shows one step at least.
        let step = resolution(own) * unit_ohm(newest);
        let odd = others.map(|a| (ohm(newest) - a.mean, a.deviation.max(step)));
        let factor = self.settings.session.spread_factor;
        SoFar {
            instrument: newest.instrument.clone(),
            point: newest.point,
            current_ma: newest.current_ma,
            average,
            mk_per_ohm,
            slope,
            from_expected: self.distance(newest, average.mean),
            odd_mk: odd
                .filter(|(apart, s)| apart.abs() > factor * s)
                .map(|(apart, _)| apart * mk_per_ohm),
            more: self.more(newest, &average, mk_per_ohm, slope),
        }
    }

    /// Accepted earlier sessions of the thermometer at the triple point of water.
    fn accepted(&self, newest: &RawReading) -> Vec<&SessionResult> {
        let water = ReadingPoint::Fixed(FixedPoint::Water);
        let own = self.earlier.iter().filter(|r| {
            r.instrument == newest.instrument && r.point == water && r.date <= newest.date
        });
        own.filter(|r| r.is_accepted()).collect()
    }

    /// The mean at one current in the cell, as it is read, against the R of the earlier sessions: head
    /// and self-heating are those of the last session with that current.
    fn distance(&self, newest: &RawReading, mean_ohm: f64) -> Option<FromExpected> {
        let water = newest.point == ReadingPoint::Fixed(FixedPoint::Water);
        let own = self.accepted(newest);
        let facts = self.facts.of(&newest.instrument);
        let limits = self.settings.advice.of(facts);
        let expected = expected_value(&own, facts, &limits, newest.date).filter(|_| water)?;
        let as_read = own.iter().rev().find_map(|r| {
            let mut series = r.reduced.series.iter();
            let same = series.find(|s| same_current(s.current_ma, newest.current_ma))?;
            Some(same.mean() * r.reduced.scale_ohm - r.reduced.resistance_ohm)
        });
        let (offset, from) = match (own.is_empty(), as_read) {
            (true, _) => (0.0, format!("{}, as it stands", expected.from)),
            (false, Some(offset)) => (offset, expected.from),
            (false, None) => return None,
        };
        let per_mk = expected.ohm * TRIPLE_POINT_SLOPE / 1000.0;
        let mk = (mean_ohm - expected.ohm - offset) / per_mk;
        Some(FromExpected {
            mk,
            impossible: mk.abs() > self.settings.session.plausible_mk,
            half_width_mk: expected.half_width.1,
            from,
        })
    }

    fn more(
        &self,
        newest: &RawReading,
        average: &Average,
        mk_per_ohm: f64,
        slope: Option<Slope>,
    ) -> String {
        let rules = &self.settings.session;
        let fewest = rules.readings as usize;
        if average.count < fewest {
            return format!("{} more at least", fewest - average.count);
        }
        if slope.is_some_and(|s| s.is_beyond(rules.slope_mk_per_hour)) {
            return format!(
                "wait, they are not flat within {} mK per hour",
                rules.slope_mk_per_hour
            );
        }
        let u_mk = average.u_mean(common_correlation(&[*average])) * mk_per_ohm;
        let rest = self.accepted(newest).last().map(|r| rest_mk(r));
        let Some(rest) = rest.filter(|rest| u_mk > WORTH_MORE * rest) else {
            return "enough".into();
        };
        let wanted = average.count as f64 * (u_mk / (WORTH_MORE * rest)).powi(2);
        let more = wanted.ceil() as usize - average.count;
        format!("about {more} more, until their scatter adds less than a tenth to u")
    }
}

/// Standard uncertainty new with a session, without the scatter of its readings, mK.
fn rest_mk(session: &SessionResult) -> f64 {
    let rows = session.reduced.budget.rows.iter();
    let rest = rows.filter(|r| !r.is_shared() && r.distribution != Distribution::Observed);
    let squares: f64 = rest.map(|r| r.contribution_ohm.powi(2)).sum();
    session.reduced.in_mk(squares.sqrt())
}

/// What a reading is in Ω.
fn ohm(reading: &RawReading) -> f64 {
    value(reading) * unit_ohm(reading)
}

fn deviation_ohm(reading: &RawReading) -> f64 {
    reading.deviation * unit_ohm(reading)
}

fn unit_ohm(reading: &RawReading) -> f64 {
    reading.resistor.map_or(1.0, |r| r.value())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::testing::Bench;
    use crate::thermometry::testing::read_text;

    const P: (&str, f64) = ("P-1", 100.0);

    /// Five earlier sessions of a slush cell, and what is said of the readings of a sixth, `mk` away.
    fn said(mk: f64, change: impl Fn(usize, &mut RawReading)) -> Vec<SoFar> {
        let mut bench = Bench::slush();
        for month in 1..6 {
            bench = bench.session(
                &format!("S-{month}"),
                &format!("2026-0{month}-05"),
                &[(P.0, P.1, 0.0)],
            );
        }
        let thermometry = bench.findings("2026-12-31");
        let new = Bench::slush().session("S-6", "2026-06-05", &[(P.0, P.1, mk)]);
        let facts = Thermometers::default();
        let settings = ThermometrySettings::default();
        let mut watch = Watch::new(&thermometry.results, &facts, &settings);
        let readings = read_text(&new.text()).unwrap().readings.into_iter();
        readings
            .enumerate()
            .map(|(place, mut reading)| {
                change(place, &mut reading);
                watch.take(reading)
            })
            .collect()
    }

    #[test]
    fn mean_scatter_and_distance_settle_as_readings_come() {
        let all = said(3.0, |_, _| ());
        assert_eq!(all[0].more, "9 more at least");
        assert!(all[0].average.deviation.is_nan() && all[1].slope.is_none());
        let last = all.last().unwrap();
        assert_eq!((last.average.count, last.more.as_str()), (12, "enough"));
        assert!((0.3..0.9).contains(&(last.average.deviation * last.mk_per_ohm)));
        // 0.5 mK of noise in twelve readings, and a display of 0.1 mΩ.
        let away = last.from_expected.as_ref().unwrap();
        near!(away.mk, 3.0, 0.4);
        says!(last.words(), "outside it");
    }

    #[test]
    fn readings_that_move_want_waiting_and_a_slip_is_told() {
        let moving = said(0.0, |place, r| r.resistance_ohm += 4e-4 * place as f64);
        assert!(moving.last().unwrap().more.starts_with("wait"));
        let slip = said(0.0, |place, r| {
            if place == 8 {
                r.resistance_ohm += 0.009;
            }
        });
        says!(slip[8].words(), "a slip?");
        assert!(slip[7].odd_mk.is_none());
    }

    #[test]
    fn another_current_is_not_compared() {
        let other = said(0.0, |_, r| r.current_ma = 2.0);
        assert!(other[0].from_expected.is_none());
    }
}
