/*! What a stretch of time does to level and drift: the integrals of the state model.

A drift *b* fades by the share κ a year, b(t) = b·e^(−κt), and so carries the error by
b·(1 − e^(−κt))/κ; a negative κ lets it grow. Turning of variance *q* a year³ adds
q·∫φ² to the variance of the error, q·φ²/2 to the covariance and q·(1 − e^(−2κt))/2κ to
the variance of the drift, with φ(t) = (1 − e^(−κt))/κ (a mean-reverting drift:
G. E. Uhlenbeck and L. S. Ornstein, *On the theory of the Brownian motion*, 1930). With
κ = 0 these are t³/3, t²/2 and t.
*/

/// What a stretch of time does to level and drift.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Transition {
    /// How far a drift of one carries the error.
    pub reach: f64,
    /// Share of the drift that is left.
    pub left: f64,
    /// What turning of one adds to the variance of the error, to the covariance and to
    /// the variance of the drift.
    pub error: f64,
    pub both: f64,
    pub drift: f64,
}

impl Transition {
    /// The integrals of a drift that fades by `damping` a year over `time`.
    pub(crate) fn of(time: f64, damping: f64) -> Self {
        let t = time;
        if damping == 0.0 {
            return Self {
                reach: t,
                left: 1.0,
                error: t * t * t / 3.0,
                both: t * t / 2.0,
                drift: t,
            };
        }
        let left = (-damping * t).exp();
        let reach = -(-damping * t).exp_m1() / damping;
        let drift = -(-2.0 * damping * t).exp_m1() / (2.0 * damping);
        Self {
            reach,
            left,
            error: ((t - 2.0 * reach + drift) / (damping * damping)).max(0.0),
            both: reach * reach / 2.0,
            drift,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Simpson's rule on the definitions, for a fading and a growing drift.
    #[test]
    fn integrals_agree_with_their_definitions() {
        for damping in [0.8, 0.1, -0.2] {
            let time = 2.5;
            let transition = Transition::of(time, damping);
            let fade = |t: f64| (-damping * t).exp();
            let reach = |t: f64| (1.0 - fade(t)) / damping;
            let integral = |f: &dyn Fn(f64) -> f64| {
                let (n, h) = (2000, time / 2000.0);
                let weight = |i: usize| match i {
                    0 => 1.0,
                    i if i == n => 1.0,
                    i if i % 2 == 1 => 4.0,
                    _ => 2.0,
                };
                (0..=n).map(|i| weight(i) * f(i as f64 * h)).sum::<f64>() * h / 3.0
            };
            let pairs = [
                (transition.reach, integral(&fade)),
                (transition.error, integral(&|t| reach(t).powi(2))),
                (transition.both, integral(&|t| reach(t) * fade(t))),
                (transition.drift, integral(&|t| fade(t).powi(2))),
            ];
            for (found, wanted) in pairs {
                near!(found / wanted, 1.0, 1e-9);
            }
        }
    }

    #[test]
    fn a_drift_that_hardly_fades_moves_as_one_that_stays() {
        let (kept, fading) = (Transition::of(1.7, 0.0), Transition::of(1.7, 1e-4));
        for (a, b) in [
            (kept.reach, fading.reach),
            (kept.error, fading.error),
            (kept.both, fading.both),
            (kept.drift, fading.drift),
        ] {
            near!(a / b, 1.0, 4e-4);
        }
    }
}
