/*! Whether two points of an instrument change together, by the changes between common checks. */

use crate::records::History;

/// Common changes below which nothing is said of a correlation (common practice, no source).
const FEWEST: usize = 8;

/// Standard normal quantile of the one-sided 95 % limit.
const ONE_SIDED_95: f64 = 1.644_853_626_951_473;

/// A correlation as far as the data know it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Correlation {
    /// One-sided 95 % limits, lower and upper.
    pub limits: (f64, f64),
    /// Common changes it rests on.
    pub changes: usize,
}

/// Correlation of the changes of `a` and `b` from one check to the next, over the stretches that
/// both have, with limits by Fisher's transformation (R. A. Fisher 1921: atanh r is nearly
/// normal with variance 1/(n − 3)). `None` where too few are common or one never changes.
pub(super) fn correlation(a: &History<'_>, b: &History<'_>) -> Option<Correlation> {
    let (first, second) = (changes(a), changes(b));
    let mut pairs = Vec::new();
    let mut other = second.iter().peekable();
    for (stretch, change) in &first {
        while other.next_if(|(own, _)| own.1 < stretch.1).is_some() {}
        if let Some((own, value)) = other.peek()
            && own == stretch
        {
            pairs.push((*change, *value));
        }
    }
    let n = pairs.len();
    if n < FEWEST {
        return None;
    }
    let mean = |get: fn(&(f64, f64)) -> f64| pairs.iter().map(get).sum::<f64>() / n as f64;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let sum = |get: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(get).sum::<f64>();
    let (xx, yy) = (sum(&|p| (p.0 - x).powi(2)), sum(&|p| (p.1 - y).powi(2)));
    let r = sum(&|p| (p.0 - x) * (p.1 - y)) / (xx.sqrt() * yy.sqrt());
    if !r.is_finite() {
        return None;
    }
    let (z, width) = (
        r.clamp(-1.0, 1.0).atanh(),
        ONE_SIDED_95 / ((n - 3) as f64).sqrt(),
    );
    Some(Correlation {
        limits: ((z - width).tanh(), (z + width).tanh()),
        changes: n,
    })
}

/// Changes from each check as left to the next as found, by the days of the two.
fn changes(history: &History<'_>) -> Vec<((f64, f64), f64)> {
    let valued: Vec<usize> = (0..history.len())
        .filter(|&i| history.as_found[i].is_finite())
        .collect();
    valued
        .windows(2)
        .map(|pair| {
            let (before, after) = (pair[0], pair[1]);
            let stretch = (history.date[before].floor(), history.date[after].floor());
            (stretch, history.as_found[after] - history.left(before))
        })
        .filter(|(stretch, change)| stretch.0 < stretch.1 && change.is_finite())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Histories;
    use crate::records::testing::Record;

    fn record(values: &[f64]) -> Histories {
        let mut record = Record::new();
        for (i, value) in values.iter().enumerate() {
            record = record.check(18_000.0 + 100.0 * i as f64, *value);
        }
        record.histories()
    }

    /// The record that begins at nought and changes by `steps`.
    fn walk(steps: &[f64], sign: f64) -> Histories {
        let mut values = vec![0.0];
        values.extend(steps.iter().scan(0.0, |value, step| {
            *value += sign * step;
            Some(*value)
        }));
        record(&values)
    }

    /// r = 0.7428715 with limits 0.2778476 and 0.9258285 by numpy (corrcoef, tanh, arctanh).
    #[test]
    fn limits_are_those_of_fisher() {
        let a = walk(&[1.0, -1.0, 2.0, -2.0, 0.5, -0.5, 1.5, -1.5, 0.0], 1.0);
        let steps = [0.5, 0.0, 1.5, -1.0, 1.0, -1.5, 0.5, -0.5, -1.0];
        let found = correlation(&a.get(0), &walk(&steps, 1.0).get(0)).unwrap();
        assert_eq!(found.changes, 9);
        near!(found.limits.0, 0.277_847_573_6, 1e-9);
        near!(found.limits.1, 0.925_828_449_0, 1e-9);
        let opposite = correlation(&a.get(0), &walk(&steps, -1.0).get(0)).unwrap();
        assert!((opposite.limits.1 + found.limits.0).abs() < 1e-12);
    }

    #[test]
    fn too_few_common_changes_say_nothing() {
        let short = record(&[0.0, 1.0, 0.5, 2.0]);
        assert_eq!(correlation(&short.get(0), &short.get(0)), None);
        let flat = record(&[1.0; 12]);
        assert_eq!(correlation(&flat.get(0), &flat.get(0)), None);
    }
}
