/*! The readings a class is fitted on: in what unit, and without their yearly swings. */

use super::annual::ClassAnnualTerm;
use super::basis::Basis;
use super::left::{About, Left};
pub(crate) use super::sample_scale::median;
use super::sample_scale::{about_levels, aim_of, changes, pace_of, robust_size};
use super::sample_swing::{Known, Phase, phases, remove_annual_terms};
use crate::drift::DriftSettings;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::rates::tolerance_scale;
use crate::drift::class::rates::{ClassScale, Rates};
use crate::drift::class::shared_u::scatter_tells;
use crate::drift::series::join::Join;
use crate::drift::series::readings::{Axis, Reading, fill_readings};

/// Readings of one history that enter the class parameters: the latest ones.
const SAMPLE_READINGS: usize = 3_000;

/// One reading as the class fit sees it, in the class's scale and pace.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Datum {
    pub time: f64,
    pub value: f64,
    pub noise: f64,
    pub join: Join,
    /// No reading, but an event whose value left was not kept: value and noise are the level's.
    pub unread: bool,
}

impl Datum {
    /// Variance of the datum by these rates of readings.
    pub(crate) fn noise_with(&self, rates: &Rates) -> f64 {
        match self.unread {
            true => self.noise,
            false => rates.noise(self.noise),
        }
    }
}

/// The readings a class is fitted on.
#[derive(Debug, Clone)]
pub(crate) struct Sample {
    pub data: Vec<Datum>,
    /// When in the year each stands; none where no swing is sought.
    pub phases: Vec<Phase>,
    pub scale: ClassScale,
    pub pace: f64,
    /// Years (or use, in the pace) in which one step is believed in before any is seen.
    pub years_per_step: f64,
    pub unstated_noise: f64,
    /// Some readings state their u.
    pub some_stated: bool,
    /// Their scatter can tell whether u is shared.
    pub scatter_tells: bool,
    /// Values read as left, with the variance of their reading.
    pub read_left: Vec<(f64, f64)>,
    /// What is believed of the levels after events before any is known.
    pub about: About,
    /// Median squared change between neighbouring readings of a segment; NaN where none.
    pub change: f64,
    pub members: u32,
    pub informed: u32,
    /// How the class swings with the year.
    pub annual: ClassAnnualTerm,
    /// Members in the sample whose yearly swing was taken out.
    pub annual_members: u32,
}

/// False where a square would leave the range of the numbers: such a member tells its class
/// nothing and must not spoil the others.
fn can_be_computed(readings: &[Reading], scale: f64) -> bool {
    const MOST: f64 = 1e60;
    readings.iter().all(|reading| {
        let u = if reading.u.is_nan() { 0.0 } else { reading.u };
        (reading.value / scale).abs() < MOST && u / scale < MOST
    })
}

/// The members whose readings tell how one follows from another.
struct Informing {
    /// Scale and latest readings of each.
    members: Vec<(f64, Vec<Reading>)>,
    /// Number of histories with a reading.
    with_reading: u32,
    /// Number of histories that inform.
    informed: u32,
}

impl Informing {
    fn of(basis: &Basis<'_>, axis: Axis, class: Option<&ClassParameters>) -> Self {
        let mut readings = Vec::new();
        let mut members: Vec<(f64, Vec<Reading>)> = Vec::new();
        let mut with_reading = 0;
        let tested =
            |pair: &[Reading]| pair[0].segment == pair[1].segment || pair[1].unread_since.is_some();
        for history in &basis.histories {
            match class {
                Some(class) => class.fill_readings(history, axis, &mut readings),
                None => fill_readings(history, axis, &mut readings),
            };
            with_reading += u32::from(!readings.is_empty());
            if readings.windows(2).any(tested) {
                let from = readings.len().saturating_sub(SAMPLE_READINGS);
                let scale = tolerance_scale(history.item).filter(|_| basis.by_tolerance);
                members.push((scale.unwrap_or(1.0), readings[from..].to_vec()));
            }
        }
        Self {
            with_reading,
            informed: members.len() as u32,
            members,
        }
    }
}

impl Sample {
    /// True where some event's value left was not kept.
    pub(crate) fn has_unread(&self) -> bool {
        self.data.iter().any(|datum| datum.unread)
    }

    /// Levels that nobody read are taken for left as `left` says.
    pub(crate) fn leave(&mut self, left: &Left) {
        leave(&mut self.data, left);
    }

    /// The readings of a class's basis; yearly swings that are clear by the class as known are
    /// taken out, in the rounds after the first plausible ones instead of the likeliest.
    pub(crate) fn of(
        basis: &Basis<'_>,
        settings: &DriftSettings,
        known: Option<Known<'_>>,
    ) -> Self {
        let axis = settings.axis;
        let Informing {
            members: mut chosen,
            with_reading,
            informed,
        } = Informing::of(basis, axis, known.map(|known| known.class));
        let scale = match basis.by_tolerance {
            true => ClassScale::Tolerance,
            false => robust_size(&chosen).map_or(ClassScale::Unknown, ClassScale::Fixed),
        };
        let size = match scale {
            ClassScale::Fixed(size) => size,
            _ => 1.0,
        };
        chosen.retain(|(scale, readings)| can_be_computed(readings, scale * size));
        let (annual, annual_members) = match known {
            Some(known) => remove_annual_terms(&mut chosen, known, size, axis),
            None => Default::default(),
        };
        let pace = pace_of(&basis.histories, axis);
        let (data, change, unstated_noise, some_stated) = scaled(&chosen, size, pace);
        let phases = match known {
            None if axis == Axis::Time => phases(&chosen),
            _ => Vec::new(),
        };
        let read_left = read_left(&chosen, size, unstated_noise);
        let about = match basis.by_tolerance {
            true => aim_of(&basis.histories),
            false => about_levels(&chosen, size),
        };
        Self {
            data,
            phases,
            read_left,
            about,
            scale,
            pace,
            years_per_step: settings.years_per_step_of(basis.group()),
            unstated_noise,
            some_stated,
            scatter_tells: scatter_tells(chosen.iter().map(|(_, own)| own.as_slice())),
            change,
            members: with_reading * basis.step as u32,
            informed: informed * basis.step as u32,
            annual,
            annual_members,
        }
    }
}

/// Sets the levels that nobody read.
pub(crate) fn leave(data: &mut [Datum], left: &Left) {
    for datum in data.iter_mut().filter(|datum| datum.unread) {
        (datum.value, datum.noise) = (left.mean, left.variance);
    }
}

/// Values read as left, with the variance of their reading.
fn read_left(chosen: &[(f64, Vec<Reading>)], size: f64, unstated: f64) -> Vec<(f64, f64)> {
    let own = |(scale, readings): &(f64, Vec<Reading>)| -> Vec<(f64, f64)> {
        let scale = scale * size;
        let noise = |u: f64| {
            if u.is_nan() {
                unstated
            } else {
                (u / scale).powi(2)
            }
        };
        let left = readings.iter().filter(|reading| reading.as_left);
        left.map(|r| (r.value / scale, noise(r.u))).collect()
    };
    chosen.iter().flat_map(own).collect()
}

/// The data in the class's scale and pace, their median squared change, the noise of a
/// reading without u, and whether any reading states its u.
fn scaled(chosen: &[(f64, Vec<Reading>)], size: f64, pace: f64) -> (Vec<Datum>, f64, f64, bool) {
    let mut change: Vec<f64> = changes(chosen).map(|change| change / size).collect();
    let change = median(&mut change).map_or(f64::NAN, |change| change * change);
    let squares = |(scale, readings): &(f64, Vec<Reading>)| -> Vec<f64> {
        let stated = readings.iter().filter(|reading| !reading.u.is_nan());
        stated
            .map(|reading| (reading.u / (scale * size)).powi(2))
            .collect()
    };
    let mut stated: Vec<f64> = chosen.iter().flat_map(squares).collect();
    let some_stated = !stated.is_empty();
    let unstated_noise = median(&mut stated).unwrap_or(0.0);
    let mut data = Vec::with_capacity(chosen.iter().map(|(_, readings)| readings.len()).sum());
    for (scale, readings) in chosen {
        let mut last: Option<&Reading> = None;
        for reading in readings {
            let join = Join::of(last, reading);
            let mut since = last.map_or(reading.x, |last| last.x);
            if let Some(x) = reading.unread_since {
                let left = Left::default();
                data.push(Datum {
                    time: ((x - since) / pace).max(0.0),
                    value: left.mean,
                    noise: left.variance,
                    join,
                    unread: true,
                });
                since = x;
            }
            let u = reading.u / (scale * size);
            data.push(Datum {
                time: ((reading.x - since) / pace).max(0.0),
                value: reading.value / (scale * size),
                noise: if u.is_nan() { unstated_noise } else { u * u },
                join: match reading.unread_since {
                    Some(_) => Join::Continues,
                    None => join,
                },
                unread: false,
            });
            last = Some(reading);
        }
    }
    (data, change, unstated_noise, some_stated)
}
