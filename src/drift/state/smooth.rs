/*! The level of a past date, given all readings: fixed-interval smoothing for the charts.

Forward the filter of [`super::filter`], backward the recursion of H. E. Rauch, F. Tung and
C. T. Striebel (*Maximum likelihood estimates of linear dynamic systems*, AIAA J. 3 (1965)
1445–1450). A new level passes nothing of the error back, only what later readings say
of the drift; a new drift passes nothing.
*/

use super::annual::remove_annual_term;
use super::filter::StateFilter;
use super::surprise::Surprises;
use super::transition::Transition;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::rates::Rates;
use crate::drift::series::next_u::Latest;
use crate::drift::series::readings::Reading;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::innovation::Innovation;
use crate::drift::{DriftSettings, Prediction};
use crate::records::History;

/// How one moment follows the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Link {
    Continues,
    /// Same segment, but the level stepped.
    Stepped,
    /// Same segment, but the drift broke.
    Broken,
    NewLevel,
    NewDrift,
}

impl Link {
    /// That of a reading by its innovation.
    fn of(found: Option<Innovation>) -> Self {
        match found {
            Some(Innovation { meaning, .. }) if meaning.step > 0.5 => Link::Stepped,
            Some(Innovation { meaning, .. }) if meaning.step + meaning.broken > 0.5 => Link::Broken,
            _ => Link::Continues,
        }
    }
}

/// What the filter found of a reading.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FilteredReading {
    link: Link,
    /// Scale of the noise by the readings before it.
    recent: f64,
}

/// A reading or a date asked for, in order of time.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Moment {
    x: f64,
    link: Link,
    /// Value and stated u in units of the scale; `None` for a date asked for.
    reading: Option<(f64, f64)>,
    /// Scale of its noise.
    recent: f64,
    /// Place in the list of dates asked for.
    asked: usize,
}

/// Level of a history at each of `xs` (years since 1970-01-01, or use), given all its
/// readings and what the class lends, in the segment that held then. Ahead of the last
/// reading it is the forecast without steps; empty where there is no reading.
pub(crate) fn smoothed(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
    xs: &[f64],
) -> Vec<Prediction> {
    let mut readings = Vec::new();
    class.fill_readings(history, settings.axis, &mut readings);
    let scale = class.scale_of(history.item);
    let annual = remove_annual_term(&mut readings, class, scale, settings.axis);
    let mut filter = StateFilter::of(&readings, class, scale);
    let each = readings.iter().map(|reading| FilteredReading {
        recent: filter.recent_scatter(),
        link: Link::of(filter.push(reading)),
    });
    let found: Vec<FilteredReading> = each.collect();
    let recent_at = |x: f64| {
        let next = found.get(readings.partition_point(|reading| reading.x <= x));
        next.map_or(filter.recent_scatter(), |next| next.recent)
    };
    let moments = timeline(&readings, &found, xs, (scale, class.pace));
    if moments.iter().all(|moment| moment.reading.is_none()) {
        return Vec::new();
    }
    let stated_common = history.u_common.last().copied().unwrap_or(0.0);
    let u_common = stated_common.hypot(filter.shared_u());
    let spread = class.surprises.spread();
    let (own, degrees_of_freedom) = filter.own_scatter();
    let narrowed = filter.scale_of_level();
    let noise_of = |reading: &Reading| filter.kept() * class.noise_of(reading.u, scale);
    let next = Latest::of(readings.iter().map(noise_of)).mean();
    let mut sums = vec![(0.0, 0.0, 0.0); xs.len()];
    let points = class.quadrature_points.iter();
    for point in points.filter(|point| point.weight > 0.0) {
        let rates = &point.rates;
        let stated = |u: f64| filter.kept() * class.noise_of(u, 1.0);
        let noise = |u: f64, recent: f64| rates.noise_lately(stated(u), recent);
        let estimates = smooth(&moments, rates, &class.surprises, noise, xs.len());
        for ((sum, estimate), x) in sums.iter_mut().zip(estimates).zip(xs) {
            sum.0 += point.weight * estimate.error;
            sum.1 += point.weight * (estimate.error_variance + estimate.error * estimate.error);
            let lately = own * recent_at(*x);
            sum.2 += point.weight * rates.noise_lately(next, lately) * spread;
        }
    }
    sums.into_iter()
        .zip(xs)
        .map(|((mean, square, noise), x)| {
            let variance = narrowed * (square - mean * mean);
            let level = Prediction {
                degrees_of_freedom,
                ..prediction((mean, variance, noise), scale, u_common)
            };
            annual.map_or(level, |annual| annual.added_to(level, *x))
        })
        .collect()
}

/// A level of `mean`, `variance` and noise of a reading in units of `scale`, in those of the history.
pub(crate) fn prediction(
    (mean, variance, noise): (f64, f64, f64),
    scale: f64,
    u_common: f64,
) -> Prediction {
    let variance = variance.max(0.0);
    Prediction {
        expected: mean * scale,
        u_error: (variance.sqrt() * scale).hypot(u_common),
        u_reading: (variance + noise).sqrt() * scale,
        degrees_of_freedom: f64::INFINITY,
        no_step: 1.0,
        no_step_at_most: 1.0,
    }
}

/// Readings, in units of `scale`, and dates asked for in one order of time, in units of `pace`;
/// a date falls after the readings of the same moment.
pub(crate) fn timeline(
    readings: &[Reading],
    found: &[FilteredReading],
    xs: &[f64],
    (scale, pace): (f64, f64),
) -> Vec<Moment> {
    let mut order: Vec<usize> = (0..xs.len()).filter(|i| xs[*i].is_finite()).collect();
    order.sort_by(|a, b| xs[*a].total_cmp(&xs[*b]));
    let mut asked = order.into_iter().peekable();
    let date = |i: usize| Moment {
        x: xs[i] / pace,
        link: Link::Continues,
        reading: None,
        recent: 1.0,
        asked: i,
    };
    let mut moments = Vec::with_capacity(readings.len() + xs.len());
    let mut last: Option<&Reading> = None;
    for (index, reading) in readings.iter().enumerate() {
        while let Some(i) = asked.next_if(|i| xs[*i] < reading.x) {
            moments.push(date(i));
        }
        let link = match last {
            Some(last) if last.drift_segment != reading.drift_segment => Link::NewDrift,
            Some(last) if last.segment != reading.segment => Link::NewLevel,
            Some(_) => found.get(index).map_or(Link::Continues, |found| found.link),
            None => Link::NewDrift,
        };
        moments.push(Moment {
            x: reading.x / pace,
            link,
            reading: Some((reading.value / scale, reading.u / scale)),
            recent: found.get(index).map_or(1.0, |found| found.recent),
            asked: usize::MAX,
        });
        last = Some(reading);
    }
    moments.extend(asked.map(date));
    moments
}

/// Estimates at the dates asked for.
pub(crate) fn smooth(
    moments: &[Moment],
    rates: &Rates,
    surprises: &Surprises,
    noise: impl Fn(f64, f64) -> f64,
    dates: usize,
) -> Vec<StateEstimate> {
    let opening = moments.iter().position(|moment| moment.reading.is_some());
    let (before, known) = moments.split_at(opening.unwrap_or(0));
    let (filtered, predicted) = filter(known, rates, surprises, noise);
    let mut smooth = filtered.clone();
    for i in (0..smooth.len().saturating_sub(1)).rev() {
        let step = Transition::of(known[i + 1].x - known[i].x, rates.damping);
        smooth[i] = back(
            &filtered[i],
            &predicted[i + 1],
            &smooth[i + 1],
            known[i + 1].link,
            &step,
        );
    }
    let mut out = vec![StateEstimate::default(); dates];
    for (moment, estimate) in known.iter().zip(&smooth) {
        if let Some(place) = out.get_mut(moment.asked) {
            *place = *estimate;
        }
    }
    if let Some(first) = smooth.first() {
        for moment in before {
            // Before the first reading the first belief is carried back by its drift.
            let mirrored = StateEstimate {
                drift: -first.drift,
                covariance: -first.covariance,
                ..*first
            };
            if let Some(place) = out.get_mut(moment.asked) {
                *place = mirrored.predicted(known[0].x - moment.x, rates);
            }
        }
    }
    out
}

/// The forward pass from the first reading on: each moment as its own and earlier readings tell it,
/// and as the earlier ones alone foretold it.
fn filter(
    moments: &[Moment],
    rates: &Rates,
    surprises: &Surprises,
    noise: impl Fn(f64, f64) -> f64,
) -> (Vec<StateEstimate>, Vec<StateEstimate>) {
    let mut estimate = StateEstimate::default();
    let mut x = moments.first().map_or(0.0, |moment| moment.x);
    let mut read = x;
    let step = |moment: &Moment| {
        let before = estimate.predicted((moment.x - x).max(0.0), rates);
        let since = (moment.x - read).max(0.0);
        if moment.reading.is_some() {
            read = moment.x;
        }
        x = moment.x;
        let noise = |u: f64| noise(u, moment.recent);
        estimate = match (moment.reading, moment.link) {
            (None, _) => before,
            (Some((value, u)), Link::NewDrift) => StateEstimate::initial(value, noise(u), rates),
            (Some((value, u)), Link::NewLevel) => before.with_new_level(value, noise(u)),
            (Some((value, u)), _) => {
                let off = value - before.error;
                surprises.update(&before, off, noise(u), since).0
            }
        };
        (estimate, before)
    };
    moments.iter().map(step).unzip()
}

/// One step of the backward recursion: what `after` (smoothed) says of `now` (filtered),
/// `ahead` being what `now` foretold of it.
fn back(
    now: &StateEstimate,
    ahead: &StateEstimate,
    after: &StateEstimate,
    link: Link,
    transition: &Transition,
) -> StateEstimate {
    let cross = [
        [
            now.error_variance + transition.reach * now.covariance,
            transition.left * now.covariance,
        ],
        [
            now.covariance + transition.reach * now.drift_variance,
            transition.left * now.drift_variance,
        ],
    ];
    let gain = match link {
        Link::NewDrift | Link::Broken => return *now,
        Link::NewLevel | Link::Stepped if ahead.drift_variance > 0.0 => [
            [0.0, cross[0][1] / ahead.drift_variance],
            [0.0, cross[1][1] / ahead.drift_variance],
        ],
        Link::NewLevel | Link::Stepped => return *now,
        Link::Continues => match inverse(ahead) {
            Some(inverse) => product(cross, inverse),
            None => return *now,
        },
    };
    let off = [after.error - ahead.error, after.drift - ahead.drift];
    let ee = after.error_variance - ahead.error_variance;
    let eb = after.covariance - ahead.covariance;
    let bb = after.drift_variance - ahead.drift_variance;
    let quadratic = |a: [f64; 2], b: [f64; 2]| {
        a[0] * b[0] * ee + (a[0] * b[1] + a[1] * b[0]) * eb + a[1] * b[1] * bb
    };
    StateEstimate {
        error: now.error + gain[0][0] * off[0] + gain[0][1] * off[1],
        drift: now.drift + gain[1][0] * off[0] + gain[1][1] * off[1],
        error_variance: (now.error_variance + quadratic(gain[0], gain[0])).max(0.0),
        covariance: now.covariance + quadratic(gain[0], gain[1]),
        drift_variance: (now.drift_variance + quadratic(gain[1], gain[1])).max(0.0),
    }
}

/// Inverse of the covariance of a belief; `None` where it is singular past use.
fn inverse(estimate: &StateEstimate) -> Option<[[f64; 2]; 2]> {
    // A relative widening of 1e-12 keeps exactly known levels (u = 0) invertible.
    let ee = estimate.error_variance * (1.0 + 1e-12);
    let bb = estimate.drift_variance * (1.0 + 1e-12);
    let determinant = ee * bb - estimate.covariance * estimate.covariance;
    (determinant > 0.0 && determinant.is_finite()).then(|| {
        let eb = -estimate.covariance / determinant;
        [[bb / determinant, eb], [eb, ee / determinant]]
    })
}

fn product(a: [[f64; 2]; 2], b: [[f64; 2]; 2]) -> [[f64; 2]; 2] {
    let cell = |i: usize, j: usize| a[i][0] * b[0][j] + a[i][1] * b[1][j];
    [[cell(0, 0), cell(0, 1)], [cell(1, 0), cell(1, 1)]]
}
