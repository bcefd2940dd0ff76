/*! Maximum likelihood of one life model: several starts, ends of ranges, covariance. */

use super::likelihood::{LifeData, Scratch};
use super::models::{LifeModelName, MOST_PARAMETERS, rescaled, time_at};
use super::optimum::{Optimum, maximise};
use super::why_not::WhyNot;
use nalgebra::DMatrix;
use serde::{Deserialize, Serialize};

/// One fitted life model. Time in years; covariance is that of the logarithms of the parameters.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct LifeFit {
    /// The model.
    pub name: LifeModelName,
    /// Estimates in the order of the model's parameters; 0 or infinite at an end of its range.
    pub theta: Vec<f64>,
    /// Parameters that ended at an end of their range and were fixed there.
    pub fixed: Vec<bool>,
    /// Covariance of ln θ from the observed information, rows of fixed parameters zero;
    /// `None` where the likelihood does not determine the parameters.
    pub covariance: Option<DMatrix<f64>>,
    /// ln L at the estimates.
    pub ln_likelihood: f64,
    /// Number of parameters of the model.
    pub parameters: usize,
    /// Akaike's criterion with the small-sample term; infinite where lives are too few.
    pub aicc: f64,
    /// The simpler model it has become, where it is one of ours.
    pub became: Option<LifeModelName>,
    /// What a reader must know about this fit.
    pub notes: Vec<String>,
}

/// A gain in ln L below this does not tell a parameter from the end of its range.
const NO_GAIN: f64 = 1e-6;
/// With more distinct times than this, starts are climbed on joined times first.
pub(super) const MANY_TIMES: usize = 400;

/// The model with some parameters free, on the log scale the climb works on.
pub(super) struct Maximisation<'a> {
    pub data: &'a LifeData,
    pub name: LifeModelName,
    pub free: Vec<usize>,
    pub bounds: Vec<(f64, f64)>,
}

impl<'a> Maximisation<'a> {
    pub(super) fn new(data: &'a LifeData, name: LifeModelName, fixed: &[bool]) -> Self {
        let parameters = name.model().parameters();
        let ln_time = data.typical_time.ln();
        let bound = |p: &super::models::Parameter| {
            let shift = f64::from(p.per_time) * ln_time;
            (p.lower.ln() - shift, p.upper.ln() - shift)
        };
        let free: Vec<usize> = (0..parameters.len()).filter(|j| !fixed[*j]).collect();
        Self {
            data,
            name,
            bounds: free.iter().map(|j| bound(&parameters[*j])).collect(),
            free,
        }
    }

    /// Climbs from `theta`; parameters that are not free keep their values.
    fn from(&self, theta: &[f64], scratch: &mut Scratch) -> Option<(Optimum, Vec<f64>)> {
        let start: Vec<f64> = self.free.iter().map(|j| theta[*j].ln()).collect();
        let mut full = theta.to_vec();
        let mut slopes = [0.0; MOST_PARAMETERS];
        let optimum = maximise(&start, &self.bounds, |point, gradient| {
            for (x, j) in point.iter().zip(&self.free) {
                full[*j] = x.exp();
            }
            let n = full.len();
            let model = self.name.model();
            let value = self
                .data
                .ln_likelihood(model, &full, &mut slopes[..n], scratch);
            for (g, j) in gradient.iter_mut().zip(&self.free) {
                *g = slopes[*j] * full[*j];
            }
            value
        })?;
        let mut theta = theta.to_vec();
        for (x, j) in optimum.point.iter().zip(&self.free) {
            theta[*j] = x.exp();
        }
        Some((optimum, theta))
    }
}

/// Fits `name` to `data`.
///
/// # Errors
/// Where no maximum exists (no failure, only failures) or the records cannot tell the parameters
/// apart (fewer distinct times than parameters).
pub(crate) fn fit(name: LifeModelName, data: &LifeData) -> Result<LifeFit, WhyNot> {
    let parameters = name.model().parameters().len();
    let times = data.distinct_times();
    match data {
        _ if data.lives == 0.0 => return Err(WhyNot::NoOutcome),
        _ if data.failures == 0.0 => return Err(WhyNot::NoFailure),
        _ if data.seen_in == 0.0 => return Err(WhyNot::OnlyFailures),
        _ if times < parameters => return Err(WhyNot::FewTimes { parameters, times }),
        _ => {}
    }
    let mut scratch = Scratch::default();
    let (optimum, theta) = maximum(name, data, &mut scratch).ok_or(WhyNot::NoStart)?;
    Ok(finished(name, data, optimum, theta, &mut scratch))
}

/// The highest top over all starts.
fn maximum(
    name: LifeModelName,
    data: &LifeData,
    scratch: &mut Scratch,
) -> Option<(Optimum, Vec<f64>)> {
    let no_end = vec![false; name.model().parameters().len()];
    let maximisation = Maximisation::new(data, name, &no_end);
    let coarse = (data.distinct_times() > MANY_TIMES).then(|| data.coarse(MANY_TIMES / 2));
    let found = coarse.and_then(|coarse| maximum(name, &coarse, scratch));
    if let Some(optimum) = found.and_then(|(_, theta)| maximisation.from(&theta, scratch)) {
        return Some(optimum);
    }
    starts(name, data, scratch)
        .iter()
        .filter_map(|start| maximisation.from(start, scratch))
        .reduce(|best, next| {
            if next.0.value > best.0.value + 1e-9 {
                next
            } else {
                best
            }
        })
}

/// Starting points: every shape of the model, stretched to the rough rate of failures.
fn starts(name: LifeModelName, data: &LifeData, scratch: &mut Scratch) -> Vec<Vec<f64>> {
    let model = name.model();
    let rough_r = (-data.rough_rate * data.typical_time)
        .exp()
        .clamp(0.02, 0.999);
    let stretched = |shape: &&[f64]| {
        let reached = time_at(model, shape, rough_r);
        let reached = if reached > 0.0 && reached.is_finite() {
            reached
        } else {
            1.0
        };
        rescaled(model, shape, reached / data.typical_time)
    };
    let mut all: Vec<(f64, Vec<f64>)> = model
        .shapes()
        .iter()
        .map(stretched)
        .map(|theta| {
            let mut unused = vec![0.0; theta.len()];
            let value = data.ln_likelihood(model, &theta, &mut unused, scratch);
            (value, theta)
        })
        .collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|(_, theta)| theta).collect()
}

/// Settles parameters at the ends of their ranges, then gathers the figures.
fn finished(
    name: LifeModelName,
    data: &LifeData,
    mut optimum: Optimum,
    mut theta: Vec<f64>,
    scratch: &mut Scratch,
) -> LifeFit {
    let model = name.model();
    let parameters = theta.len();
    let mut fixed = vec![false; parameters];
    let (mut became, mut notes) = (None, Vec::new());
    for reduction in model.reductions() {
        let mut trial = theta.clone();
        trial[reduction.parameter] = reduction.at;
        let mut slopes = [0.0; MOST_PARAMETERS];
        let value = data.ln_likelihood(model, &trial, &mut slopes[..parameters], scratch);
        let last_free = fixed.iter().filter(|f| !**f).count() == 1;
        if last_free
            || fixed[reduction.parameter]
            || value < optimum.value - NO_GAIN
            || value.is_nan()
        {
            continue;
        }
        let mut more = fixed.clone();
        more[reduction.parameter] = true;
        let Some(next) = Maximisation::new(data, name, &more).from(&trial, scratch) else {
            continue;
        };
        (optimum, theta) = next;
        fixed = more;
        became = became.or(reduction.becomes);
        notes.push(reduction.words.to_string());
    }
    if optimum.at_bound.iter().any(|b| *b) {
        notes.push(
            "a parameter ran to the end of the range searched: the records do not bound it".into(),
        );
    }
    let covariance = covariance(&optimum, &fixed);
    if covariance.is_none() {
        notes.push("the likelihood is flat: the parameters are not determined separately".into());
    }
    LifeFit {
        name,
        fixed,
        covariance,
        ln_likelihood: optimum.value,
        parameters,
        aicc: aicc(optimum.value, parameters, data.lives),
        theta,
        became,
        notes,
    }
}

/// AICc = 2p − 2 ln L + 2p(p + 1)/(n − p − 1). Source: C. Hurvich and C.-L. Tsai,
/// Biometrika 76 (1989) 297–307.
fn aicc(ln_likelihood: f64, parameters: usize, lives: f64) -> f64 {
    let p = parameters as f64;
    let room = lives - p - 1.0;
    if room <= 0.0 {
        return f64::INFINITY;
    }
    2.0 * p - 2.0 * ln_likelihood + 2.0 * p * (p + 1.0) / room
}

fn covariance(optimum: &Optimum, fixed: &[bool]) -> Option<DMatrix<f64>> {
    if optimum.at_bound.iter().any(|b| *b) {
        return None;
    }
    let inverse = optimum.information.clone().cholesky()?.inverse();
    let free: Vec<usize> = (0..fixed.len()).filter(|j| !fixed[*j]).collect();
    let mut whole = DMatrix::zeros(fixed.len(), fixed.len());
    for (a, i) in free.iter().enumerate() {
        for (b, j) in free.iter().enumerate() {
            whole[(*i, *j)] = inverse[(a, b)];
        }
    }
    whole.iter().all(|x| x.is_finite()).then_some(whole)
}

#[cfg(test)]
pub(super) mod tests;
