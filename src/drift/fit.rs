/*! What a fitted history owns: how well it is known, and its answer for any date. */

use super::Prediction;
use super::regression::fit::Regression;
use crate::drift::model_name::ModelName;
use crate::drift::series::readings::Reading;
use crate::drift::state::forecast::StateForecast;
use crate::drift::status::Status;
use crate::drift::suspect::Suspect;
use crate::stats::student_two_sided;
use std::fmt::Debug;
use std::sync::Arc;

/// One named coefficient of a fit, in the person's units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficient {
    /// Segment it belongs to; `None` where all segments share it.
    pub segment: Option<u32>,
    /// `intercept`, `slope`, `power_2` …, `cosine`, `sine`, `level`.
    pub term: &'static str,
    /// Estimate: unit, unit per year, unit per year² …
    pub estimate: f64,
    /// Standard error, same unit.
    pub standard_error: f64,
}

impl Coefficient {
    /// One that all segments share, of this variance.
    pub(crate) fn shared(term: &'static str, estimate: f64, variance: f64) -> Self {
        Self {
            segment: None,
            term,
            estimate,
            standard_error: variance.sqrt(),
        }
    }
}

/// How a model came to be chosen among several (`model = "auto"`).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// Weight of the chosen model by AICc, 0 to 1; all weights add up to one.
    pub weight: f64,
    /// The next best model and its weight; `None` where only one could compete.
    pub runner_up: Option<(ModelName, f64)>,
    /// True where no model clearly won and the forecast is the average of several.
    pub averaged: bool,
}

/// The fit of one history: figures for the tables, and the motion that predicts.
///
/// Figures that the data cannot give are NaN; `status` and `notes` say why.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Model that was used (never `Auto`: the choice it made).
    pub model: ModelName,
    /// What could be estimated.
    pub status: Status,
    /// Readings used.
    pub readings: u32,
    /// Degrees of freedom of the residuals; infinite where u is known absolutely.
    pub degrees_of_freedom: f64,
    /// Residual standard deviation about the fit, history's unit.
    pub residual_deviation: f64,
    /// Scatter between checks beyond the stated u, standard uncertainty, history's unit.
    pub excess_u: f64,
    /// Weighted sum of squared residuals against the stated u.
    pub chi_squared: f64,
    /// Drift at the end of the history, unit per year.
    pub drift_per_year: f64,
    /// Its standard uncertainty.
    pub u_drift_per_year: f64,
    /// Drift at the end of the history and its standard uncertainty, unit per unit of use; NaN where
    /// the fit was not made over use.
    pub drift_per_use: (f64, f64),
    /// Wander, unit per √year; 0 or NaN where the model has none.
    pub wander_per_sqrt_year: f64,
    /// Share of the drift that comes from the history's own readings, 0 to 1.
    pub shrinkage_weight: f64,
    /// Drift that the class lent, before the own readings, unit per year; NaN where none was lent.
    pub class_drift_per_year: f64,
    /// Shared uncertainty of the reference, part of `u_error` of predictions.
    pub u_common: f64,
    /// The part of it that the scatter of the readings shows: what their stated u says more.
    pub shared_u: f64,
    /// x of the last reading (years since 1970-01-01, or usage).
    pub last_x: f64,
    /// x from which the coefficients count (the table's `origin`).
    pub origin: f64,
    /// Coefficients for `coefficients.csv`.
    pub coefficients: Vec<Coefficient>,
    /// How the model was chosen; `None` where it was named.
    pub choice: Option<Choice>,
    /// Readings that lie far off the others, most extreme first; none is left out of the fit.
    pub suspects: Vec<Suspect>,
    /// Row of the newest reading at which the state model found a step of the level that no
    /// event explains.
    pub stepped: Option<u32>,
    /// Rows of readings before which the level may have stepped, with the state model's belief
    /// in a step rather than in drift and wander, given that the reading is real.
    pub steps: Vec<(u32, f64)>,
    /// Sentences worth a reader's time: outliers, steps without event, excess, seasons.
    pub notes: Vec<String>,
    /// What predicts; `None` where nothing can be predicted.
    pub motion: Option<Arc<dyn Motion>>,
}

/// The part of a fit that predicts: it answers for any date. Every drift model brings one, its
/// own or that of another model.
pub trait Motion: Debug + Send + Sync {
    /// Forecast at `x` in the current segment.
    fn at(&self, x: f64) -> Option<Prediction>;

    /// Fitted level at a past `x`, in the segment that held then.
    fn fitted(&self, x: f64) -> Option<Prediction> {
        self.at(x)
    }

    /// Degrees of freedom of the drift; infinite where a normal distribution applies.
    fn drift_freedom(&self) -> f64 {
        f64::INFINITY
    }

    /// True where the forecast swings with the year.
    fn has_annual_term(&self) -> bool {
        false
    }

    /// True where the item itself is known to swing, not only its class.
    fn shows_annual_term(&self) -> bool {
        self.has_annual_term()
    }

    /// What residuals are judged about.
    fn curve(&self) -> Curve<'_> {
        Curve::Follows
    }

    /// Level, drift and rates, where the motion is a state.
    fn state(&self) -> Option<&StateForecast> {
        None
    }

    /// The fits that it averages, with their weights.
    fn parts(&self) -> &[(f64, Fit)] {
        &[]
    }
}

/// What the residuals of a fit are judged about.
#[derive(Debug, Clone, Copy)]
pub enum Curve<'a> {
    /// The straight line that was fitted.
    Line,
    /// The curve that was fitted.
    Regression(&'a Regression),
    /// None: the model follows the readings, or there is no model.
    Follows,
}

impl Default for Fit {
    /// A fit that says nothing: every figure NaN.
    fn default() -> Self {
        Fit {
            model: ModelName::Line,
            status: Status::NoReading,
            readings: 0,
            degrees_of_freedom: f64::NAN,
            residual_deviation: f64::NAN,
            excess_u: f64::NAN,
            chi_squared: f64::NAN,
            drift_per_year: f64::NAN,
            u_drift_per_year: f64::NAN,
            drift_per_use: (f64::NAN, f64::NAN),
            wander_per_sqrt_year: f64::NAN,
            shrinkage_weight: f64::NAN,
            class_drift_per_year: f64::NAN,
            u_common: 0.0,
            shared_u: 0.0,
            last_x: f64::NAN,
            origin: f64::NAN,
            coefficients: Vec::new(),
            choice: None,
            suspects: Vec::new(),
            stepped: None,
            steps: Vec::new(),
            notes: Vec::new(),
            motion: None,
        }
    }
}

/// Own share of a drift below which nothing is said of what the own readings alone say: they
/// would lie more than √10 deviations of the class from its mean. Ours, no source.
const LEAST_OWN_SHARE: f64 = 0.1;

impl Fit {
    /// What `residual_deviation` is by this model: the wander model takes what wanders out of the
    /// scatter, and what is left is the noise of the next reading.
    pub(crate) fn scatter_name(&self) -> &'static str {
        match self.model {
            ModelName::Wander => "noise of a reading",
            _ => "residual standard deviation",
        }
    }

    /// What the own readings alone say of the drift that the fit states, with its standard
    /// uncertainty; `None` where they say next to nothing.
    ///
    /// Drift lent and drift from the readings meet in the fit weighted by what each is known to,
    /// so that fit − lent = share·(own − lent) and u(own) = u(fit)/√share.
    pub(crate) fn own_drift(&self) -> Option<(f64, f64)> {
        let (drift, u, share) = (
            self.drift_per_year,
            self.u_drift_per_year,
            self.shrinkage_weight,
        );
        if share >= 1.0 {
            return drift.is_finite().then_some((drift, u));
        }
        let own = self.class_drift_per_year + (drift - self.class_drift_per_year) / share;
        (share >= LEAST_OWN_SHARE && own.is_finite()).then(|| (own, u / share.sqrt()))
    }

    /// Takes the forecast back: the value left at the last event was not kept, and without a
    /// class nothing tells the level since then.
    pub(super) fn lose_level(&mut self) {
        self.motion = None;
        if matches!(self.status, Status::Estimated | Status::FromClass) {
            self.status = Status::LevelOnly;
        }
        let note = "no forecast: the value left at the last event was not kept, so the level since then is not known";
        self.notes.push(note.into());
    }

    /// Forecast at `x` (years since 1970-01-01, or usage on the usage axis) in the
    /// current segment; `None` where nothing can be predicted.
    pub fn at(&self, x: f64) -> Option<Prediction> {
        self.motion.as_ref()?.at(x)
    }

    /// Fitted level with its uncertainty at a past `x`, for the chart, in the segment that held
    /// at `x`.
    pub(crate) fn fitted(&self, x: f64) -> Option<Prediction> {
        self.motion.as_ref()?.fitted(x)
    }

    /// Probability of so large a drift by chance where there is none, two-sided: Student's t
    /// with the degrees of freedom of the bands. NaN where there is no drift.
    pub(crate) fn drift_p(&self) -> f64 {
        let freedom = self.motion.as_ref().map(|motion| motion.drift_freedom());
        let ratio = self.drift_per_year / self.u_drift_per_year;
        student_two_sided(ratio, freedom.unwrap_or(f64::INFINITY))
    }

    /// True where the forecast swings with the year, so that a search along it must look at
    /// every month.
    pub(crate) fn has_annual_term(&self) -> bool {
        self.motion
            .as_ref()
            .is_some_and(|motion| motion.has_annual_term())
    }

    /// True where the item itself is known to swing, not only its class.
    pub(crate) fn shows_annual_term(&self) -> bool {
        let shows = |motion: &Arc<dyn Motion>| motion.shows_annual_term();
        self.motion.as_ref().is_some_and(shows)
    }

    /// What the residuals are judged about.
    pub(crate) fn curve(&self) -> Curve<'_> {
        let motion = self.motion.as_ref();
        motion.map_or(Curve::Follows, |motion| motion.curve())
    }

    /// The fits that the forecast averages, with their weights; none where it is no average.
    pub(crate) fn parts(&self) -> &[(f64, Fit)] {
        self.motion.as_ref().map_or(&[], |motion| motion.parts())
    }
}

/// A fit that failed for this reason.
pub(super) fn failed(model: ModelName, readings: &[Reading], reason: String) -> Fit {
    Fit {
        model,
        status: Status::Failed,
        readings: readings.len() as u32,
        last_x: readings.last().map_or(f64::NAN, |r| r.x),
        notes: vec![reason],
        ..Fit::default()
    }
}
