/*! Which model the records support: nested tests, lack of fit, and the ones that tie.

Likelihood ratio: S. Wilks, Annals of Mathematical Statistics 9 (1938) 60–62; where the
smaller model lies on the boundary of the larger, the law is half χ²₀, half χ²₁
(S. Self and K.-Y. Liang, Journal of the American Statistical Association 82 (1987) 605–610).
*/

use super::fit::LifeFit;
use super::models::{LifeModelName as Name, reliability};
use super::outcomes::Outcomes;
use super::why_not::WhyNot;
use crate::records::DAYS_PER_YEAR;
use crate::stats::normal_above;
use serde::{Deserialize, Serialize};
use statrs::function::gamma::checked_gamma_ur;

/// A test of a simpler model inside a larger one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct NestedTest {
    /// The simpler model.
    pub simple: Name,
    /// The model it lies in.
    pub large: Name,
    /// 2(ln L large − ln L simple), one degree of freedom.
    pub ratio: f64,
    /// Probability of a ratio this large where the simpler model holds.
    pub p_value: f64,
}

/// (simple, large, the simple one lies on the boundary of the large one).
const NESTED: [(Name, Name, bool); 7] = [
    (Name::Exponential, Name::Weibull, false),
    (Name::Exponential, Name::Gamma, false),
    (Name::Exponential, Name::MixedExponential, true),
    (Name::Exponential, Name::LinearHazard, true),
    (Name::Exponential, Name::ImperfectStart, true),
    (Name::RandomWalk, Name::RestrictedRandomWalk, true),
    (Name::ModifiedGamma, Name::Gamma, false),
];

/// Every nested pair among `fits`.
pub(crate) fn nested_tests(fits: &[LifeFit]) -> Vec<NestedTest> {
    let find = |name| fits.iter().find(|f: &&LifeFit| f.name == name);
    let test = |(simple, large, boundary): &(Name, Name, bool)| {
        let (a, b) = (find(*simple)?, find(*large)?);
        let ratio = (2.0 * (b.ln_likelihood - a.ln_likelihood)).max(0.0);
        let both_tails = 2.0 * normal_above(ratio.sqrt());
        let p_value = match (boundary, ratio > 0.0) {
            (true, true) => 0.5 * both_tails,
            _ => both_tails,
        };
        Some(NestedTest {
            simple: *simple,
            large: *large,
            ratio,
            p_value,
        })
    };
    NESTED.iter().filter_map(test).collect()
}

/// Differences in AICc below this are rounding.
const EQUAL: f64 = 1e-6;

/// Index of the fit with the smallest AICc, the first of equals.
pub(crate) fn best(fits: &[LifeFit]) -> Option<usize> {
    (0..fits.len())
        .filter(|i| fits[*i].aicc.is_finite())
        .reduce(|a, b| {
            if fits[b].aicc < fits[a].aicc - EQUAL {
                b
            } else {
                a
            }
        })
}

/// Differences in AICc below this do not tell models apart (K. Burnham and D. Anderson,
/// Model Selection and Multimodel Inference, 2002, section 2.6).
const TIED: f64 = 2.0;

/// Fits that the records do not tell from the best, the best among them.
pub(crate) fn tied(fits: &[LifeFit]) -> Vec<usize> {
    let Some(best) = best(fits) else {
        return Vec::new();
    };
    (0..fits.len())
        .filter(|i| fits[*i].aicc - fits[best].aicc < TIED)
        .collect()
}

/// How far a fitted curve lies from the observed proportions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct LackOfFit {
    /// Deviance against free proportions, one a class of times.
    pub deviance: f64,
    /// Classes minus parameters.
    pub degrees_of_freedom: usize,
    /// Probability of a deviance this large where the model holds.
    pub p_value: f64,
    /// True where neighbouring times were pooled, so that each class expects enough of both.
    pub pooled: bool,
}

/// Fewest expected in and out in a class for χ² to be trusted (common practice).
const FEWEST_EXPECTED: f64 = 5.0;

/// Deviance test of `fit`. `Err` says why there is none.
///
/// # Errors
/// Where lives have several checks (proportions are then not independent) or too
/// few classes of times remain.
pub(crate) fn lack_of_fit(fit: &LifeFit, outcomes: &Outcomes) -> Result<LackOfFit, WhyNot> {
    if !outcomes.is_current_status() {
        return Err(WhyNot::Dependent);
    }
    let curve = |days: f64| reliability(fit.name.model(), days / DAYS_PER_YEAR, &fit.theta);
    let classes = classes(outcomes, &curve);
    let free = fit.fixed.iter().filter(|f| !**f).count();
    if classes.len() <= free {
        return Err(WhyNot::FewClasses {
            classes: classes.len(),
            expected: FEWEST_EXPECTED,
            free,
        });
    }
    let deviance: f64 = classes.iter().map(Class::deviance).sum();
    let degrees_of_freedom = classes.len() - free;
    Ok(LackOfFit {
        deviance,
        degrees_of_freedom,
        p_value: checked_gamma_ur(0.5 * degrees_of_freedom as f64, 0.5 * deviance).unwrap_or(1.0),
        pooled: classes.len() < outcomes.checks().count(),
    })
}

/// Checks at neighbouring times: observed and expected numbers.
#[derive(Debug, Clone, Copy, Default)]
struct Class {
    inside: f64,
    outside: f64,
    expected_in: f64,
    expected_out: f64,
}

impl Class {
    fn of(inside: u64, outside: u64, r: f64) -> Self {
        let n = (inside + outside) as f64;
        Self {
            inside: inside as f64,
            outside: outside as f64,
            expected_in: n * r,
            expected_out: n * (1.0 - r),
        }
    }

    fn add(&mut self, other: Class) {
        self.inside += other.inside;
        self.outside += other.outside;
        self.expected_in += other.expected_in;
        self.expected_out += other.expected_out;
    }

    fn deviance(&self) -> f64 {
        let part = |n: f64, expected: f64| {
            if n > 0.0 {
                n * (n / expected).ln()
            } else {
                0.0
            }
        };
        2.0 * (part(self.inside, self.expected_in) + part(self.outside, self.expected_out))
    }
}

fn classes(outcomes: &Outcomes, curve: &impl Fn(f64) -> f64) -> Vec<Class> {
    let mut done: Vec<Class> = Vec::new();
    let mut open = Class::default();
    for (days, inside, outside) in outcomes.checks() {
        open.add(Class::of(inside, outside, curve(days)));
        if open.expected_in >= FEWEST_EXPECTED && open.expected_out >= FEWEST_EXPECTED {
            done.push(std::mem::take(&mut open));
        }
    }
    match done.last_mut() {
        Some(last) => last.add(open),
        None => done.push(open),
    }
    done
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reliability::fit::{fit, tests::data_a};
    use crate::reliability::likelihood::LifeData;

    fn fits() -> Vec<LifeFit> {
        let data = LifeData::new(&data_a());
        Name::ALL
            .iter()
            .map(|name| fit(*name, &data).unwrap())
            .collect()
    }

    /// Interval-practice 3.5 (scipy 1.17.1): likelihood ratio, check 24, and G² column.
    #[test]
    fn tests_of_data_a() {
        let fits = fits();
        let tests = nested_tests(&fits);
        assert_eq!(tests.len(), 7);
        near!(tests[0].ratio, 2.844286, 2e-6);
        near!(tests[0].p_value, 0.091699, 2e-6);
        let expected = [
            (Name::Exponential, 3.7018),
            (Name::Weibull, 0.8575),
            (Name::Lognormal, 1.0625),
        ];
        for (name, g2) in expected {
            let fit = fits.iter().find(|f| f.name == name).unwrap();
            let curve = |days: f64| reliability(name.model(), days / DAYS_PER_YEAR, &fit.theta);
            let class =
                |(days, inside, outside)| Class::of(inside, outside, curve(days)).deviance();
            let found: f64 = data_a().checks().map(class).sum();
            near!(found, g2, 6e-5);
            // Check 21: the saturated ln L is the same from every model.
            assert!((fit.ln_likelihood + 0.5 * found + 35.239119).abs() < 6e-7);
        }
    }

    /// The sheet's reading of data A: the records do not choose among most models.
    #[test]
    fn many_models_tie() {
        let fits = fits();
        assert_eq!(fits[best(&fits).unwrap()].name, Name::ModifiedGamma);
        assert!(tied(&fits).len() >= 6);
    }

    #[test]
    fn sparse_times_are_pooled_or_refused() {
        let fits = fits();
        let test = lack_of_fit(&fits[7], &data_a());
        let test = test.unwrap();
        assert!(test.pooled && test.p_value > 0.1, "{test:?}");
        let mut lives = Outcomes::default();
        lives.add_lives(100.0, 200.0, 5).unwrap();
        assert!(lack_of_fit(&fits[0], &lives).is_err());
    }
}
