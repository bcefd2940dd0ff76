/*! Numbers about a set point, such as what the reference read there, taken for the set point. */

use crate::settings::allowed::Rule;

/// Share of the way from a set point to its neighbour within which a number is taken for it: nobody takes
/// 360 for 400 where 300 is the next. Common practice, no source.
const NEAR: f64 = 0.25;

/// What a list of set points must be: none, or two and more that differ.
pub(crate) struct SetPoints;

impl Rule<Vec<f64>> for SetPoints {
    fn complaint(&self, points: &Vec<f64>) -> Option<String> {
        let mut rising = points.clone();
        rising.sort_by(f64::total_cmp);
        rising.dedup();
        let fits = rising.len() == points.len() && rising.iter().all(|point| point.is_finite());
        (points.len() == 1 || !fits).then(|| format!("expected {}", self.allowed()))
    }

    fn allowed(&self) -> String {
        "two or more numbers that differ, or none".into()
    }
}

/// The set point for which a number is taken; `None` where it is near none of them.
pub(crate) fn near(set_points: &[f64], value: f64) -> Option<f64> {
    let from = |a: f64| move |b: &f64| (b - a).abs();
    let nearest = set_points
        .iter()
        .copied()
        .min_by(|a, b| from(value)(a).total_cmp(&from(value)(b)))?;
    let others = set_points.iter().filter(|other| **other != nearest);
    let next = others.map(from(nearest)).fold(f64::INFINITY, f64::min);
    ((value - nearest).abs() <= NEAR * next).then_some(nearest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_taken_for_the_set_point_that_it_is_near() {
        let points = [-38.8, 0.0, 100.0, 400.0];
        assert_eq!(near(&points, 398.7), Some(400.0));
        assert_eq!(near(&points, 0.02), Some(0.0));
        assert_eq!(near(&points, 60.0), None);
        assert_eq!(near(&points, 500.0), None);
        assert_eq!(near(&points, f64::NAN), None);
        assert_eq!(near(&[], 1.0), None);
    }

    #[test]
    fn one_set_point_tells_nothing_apart() {
        for list in [vec![1.0], vec![1.0, 1.0], vec![1.0, f64::NAN]] {
            assert!(SetPoints.complaint(&list).is_some(), "{list:?}");
        }
        assert!(SetPoints.complaint(&vec![]).is_none());
        assert!(SetPoints.complaint(&vec![10.0, 0.0]).is_none());
    }
}
