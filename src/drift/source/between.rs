/*! How much sources differ: the variance of a random laboratory effect, by REML.

Offsets of sources are known up to their mean only. In the directions in which their information
matrix is diagonal the estimates are independent, each with variance θ² + v, where v is that of the
estimate (S. R. Searle, G. Casella and C. E. McCulloch, *Variance Components*, 1992, chapter 6).
*/

/// Rounds of Fisher scoring; each gains some digits.
const ROUNDS: usize = 200;

/// θ from independent contrasts of the offsets, each with the variance of its estimate; 0 where
/// they differ no more than those say.
pub(super) fn between_sources(contrasts: &[(f64, f64)]) -> f64 {
    let mut variance = 0.0_f64;
    for _ in 0..ROUNDS {
        let weights = contrasts.iter().map(|(_, v)| (variance + v).powi(-2));
        let (sum, squares) = contrasts
            .iter()
            .zip(weights)
            .fold((0.0, 0.0), |sums, ((d, v), w)| {
                (sums.0 + w, sums.1 + w * (d * d - v))
            });
        let next = (squares / sum).max(0.0);
        if !next.is_finite() || next == variance {
            break;
        }
        variance = next;
    }
    variance.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Equal variances have a closed form: mean of the squares less v.
    #[test]
    fn equal_variances_give_the_closed_form_and_agreement_gives_none() {
        let found = between_sources(&[(3.0, 0.5), (-1.0, 0.5)]);
        near!(found, 4.5_f64.sqrt(), 1e-12);
        assert_eq!(between_sources(&[(0.1, 0.5), (-0.2, 0.5)]), 0.0);
        assert_eq!(between_sources(&[]), 0.0);
    }
}
