/*! What is kept of a class between runs: all of its parameters. */

use super::classes::{ClassParameters, Node, Rates, Scale};
use super::classes_swing::ClassSwing;
use super::own_scatter::OwnScatter;
use super::surprise::Surprises;
use crate::kept;
use crate::kept::Kept;

kept!(Rates {
    drift,
    drift_variance,
    wander,
    turning,
    excess,
    damping
});
kept!(Node { rates, weight });
kept!(OwnScatter {
    degrees,
    typical,
    innovations
});
kept!(Surprises {
    step_rate,
    break_rate,
    outlying_share,
    step_variance,
    break_variance,
    outlying_factor
});
kept!(ClassParameters {
    rates,
    nodes,
    unstated_noise,
    own_scatter,
    surprises,
    scale,
    pace,
    members,
    informed,
    steps,
    pooled,
    swing
});

impl Kept for ClassSwing {
    fn put(&self, to: &mut Vec<u8>) {
        for number in self.mean.iter().chain(self.covariance.iter()) {
            number.put(to);
        }
    }

    fn take(from: &mut &[u8]) -> Option<Self> {
        let mut swing = Self::default();
        for number in swing.mean.iter_mut().chain(swing.covariance.iter_mut()) {
            *number = Kept::take(from)?;
        }
        Some(swing)
    }
}

impl Kept for Scale {
    fn put(&self, to: &mut Vec<u8>) {
        let size = match self {
            Scale::Tolerance => None,
            Scale::Fixed(size) => Some(*size),
        };
        size.put(to);
    }

    fn take(from: &mut &[u8]) -> Option<Self> {
        let size: Option<f64> = Kept::take(from)?;
        Some(size.map_or(Scale::Tolerance, Scale::Fixed))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::suspects::tests::class_of_six;
    use crate::drift::{Borrow, DriftSettings, ModelName, class_parameters};

    #[test]
    fn a_class_is_taken_back_as_it_was_found() {
        let settings = DriftSettings {
            model: ModelName::Line,
            borrow: Borrow::Class,
            ..DriftSettings::default()
        };
        let found = class_parameters(&class_of_six(&|_| 0.0), &settings);
        let class = found.of_history(0);
        assert!(class.pooled.is_some());
        let mut bytes = Vec::new();
        class.put(&mut bytes);
        assert_eq!(
            ClassParameters::take(&mut bytes.as_slice()).as_ref(),
            Some(class)
        );
        let fixed = Scale::Fixed(0.3);
        let mut bytes = Vec::new();
        fixed.put(&mut bytes);
        assert_eq!(Scale::take(&mut bytes.as_slice()), Some(fixed));
    }
}
