/*! Distributions as the settings of a simulation name them.

A plain number stands for itself; a table names a shape:
`0.1`, `{ normal = { mean = 0.0, deviation = 0.1 } }`,
`{ mixture = [{ share = 0.8, of = 0.02 }, { share = 0.2, of = 0.3 }] }`.
*/

use super::seeds::Stream;
use rand::RngExt;
use rand_distr::{Distribution as _, Exp1, StandardNormal};
use serde::de::{MapAccess, Visitor, value::MapAccessDeserializer};
use serde::{Deserialize, Deserializer, Serialize};

/// Where a quantity of an instrument is drawn from.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Distribution {
    /// Always this value.
    Constant(f64),
    /// Drawn from a shape.
    Drawn(Shape),
}

/// The shapes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Shape {
    /// Normal.
    Normal {
        mean: f64,
        /// Standard deviation, not negative.
        deviation: f64,
    },
    /// Uniform between two ends.
    Uniform {
        /// Lower end.
        from: f64,
        /// Upper end.
        to: f64,
    },
    /// Log-normal: always positive.
    LogNormal {
        /// Median, above 0.
        median: f64,
        /// Standard deviation of the natural logarithm.
        log_deviation: f64,
    },
    /// Exponential.
    Exponential {
        /// Mean, above 0.
        mean: f64,
    },
    /// Parts with shares, for groups that are mixed.
    Mixture(Vec<Part>),
}

/// One part of a mixture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Relative share, above 0; shares need not add to 1.
    pub share: f64,
    /// Where the part's values come from.
    pub of: Distribution,
}

impl Distribution {
    /// One value.
    pub(crate) fn draw(&self, stream: &mut Stream) -> f64 {
        let normal = |stream: &mut Stream| -> f64 { StandardNormal.sample(stream) };
        match self {
            Distribution::Constant(value) => *value,
            Distribution::Drawn(Shape::Normal { mean, deviation }) => {
                mean + deviation * normal(stream)
            }
            Distribution::Drawn(Shape::Uniform { from, to }) => {
                from + (to - from) * stream.random::<f64>()
            }
            Distribution::Drawn(Shape::LogNormal {
                median,
                log_deviation,
            }) => median * (log_deviation * normal(stream)).exp(),
            Distribution::Drawn(Shape::Exponential { mean }) => {
                let unit: f64 = Exp1.sample(stream);
                mean * unit
            }
            Distribution::Drawn(Shape::Mixture(parts)) => draw_part(parts, stream),
        }
    }

    /// What makes the distribution unusable, in words; `None` where nothing does.
    pub(crate) fn complaint(&self) -> Option<String> {
        let finite = |values: &[f64]| values.iter().all(|value| value.is_finite());
        match self {
            Distribution::Constant(value) if finite(&[*value]) => None,
            Distribution::Constant(_) => Some("must be a finite number".into()),
            Distribution::Drawn(shape) => match shape {
                Shape::Normal { mean, deviation } if finite(&[*mean]) && *deviation >= 0.0 => None,
                Shape::Normal { .. } => Some("normal: the deviation must not be negative".into()),
                Shape::Uniform { from, to } if finite(&[*from, *to]) && from <= to => None,
                Shape::Uniform { .. } => Some("uniform: `from` must not pass `to`".into()),
                Shape::LogNormal {
                    median,
                    log_deviation,
                } if *median > 0.0 && *log_deviation >= 0.0 => None,
                Shape::LogNormal { .. } => Some(
                    "log_normal: the median must be above 0, the deviation not negative".into(),
                ),
                Shape::Exponential { mean } if *mean > 0.0 => None,
                Shape::Exponential { .. } => Some("exponential: the mean must be above 0".into()),
                Shape::Mixture(parts) => mixture_complaint(parts),
            },
        }
    }
}

fn mixture_complaint(parts: &[Part]) -> Option<String> {
    if parts.is_empty() || !parts.iter().all(|part| part.share > 0.0) {
        return Some("mixture: at least one part, each with a share above 0".into());
    }
    parts.iter().find_map(|part| part.of.complaint())
}

fn draw_part(parts: &[Part], stream: &mut Stream) -> f64 {
    let total: f64 = parts.iter().map(|part| part.share).sum();
    let mut left = total * stream.random::<f64>();
    for part in parts {
        left -= part.share;
        if left <= 0.0 {
            return part.of.draw(stream);
        }
    }
    parts.last().map_or(f64::NAN, |part| part.of.draw(stream))
}

impl From<f64> for Distribution {
    fn from(value: f64) -> Self {
        Distribution::Constant(value)
    }
}

impl<'de> Deserialize<'de> for Distribution {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(NumberOrShape)
    }
}

struct NumberOrShape;

impl<'de> Visitor<'de> for NumberOrShape {
    type Value = Distribution;

    fn expecting(&self, formatter: &mut std::fmt::Formatter) -> std::fmt::Result {
        formatter.write_str(
            "a number, or a table { normal | uniform | log_normal | exponential | mixture = … }",
        )
    }

    fn visit_f64<E>(self, value: f64) -> Result<Distribution, E> {
        Ok(Distribution::Constant(value))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Distribution, E> {
        Ok(Distribution::Constant(value as f64))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Distribution, A::Error> {
        Shape::deserialize(MapAccessDeserializer::new(map)).map(Distribution::Drawn)
    }
}

#[cfg(test)]
mod tests {
    use super::super::seeds::stream;
    use super::*;

    #[derive(Deserialize)]
    struct Holder {
        x: Distribution,
    }

    fn read(text: &str) -> Result<Distribution, toml::de::Error> {
        toml::from_str::<Holder>(text).map(|holder| holder.x)
    }

    #[test]
    fn a_number_and_every_shape_can_be_read() {
        assert_eq!(read("x = 2"), Ok(Distribution::Constant(2.0)));
        for text in [
            "x = { normal = { mean = 0.0, deviation = 1.0 } }",
            "x = { uniform = { from = 0.0, to = 1.0 } }",
            "x = { log_normal = { median = 1.0, log_deviation = 0.3 } }",
            "x = { exponential = { mean = 3.0 } }",
            "x = { mixture = [{ share = 1.0, of = 0.1 }, { share = 2.0, of = { exponential = { mean = 1.0 } } }] }",
        ] {
            assert_eq!(read(text).unwrap().complaint(), None, "{text}");
        }
    }

    #[test]
    fn an_unknown_shape_or_key_names_what_was_expected() {
        says!(
            read("x = { norml = { mean = 0.0 } }")
                .unwrap_err()
                .to_string(),
            "normal"
        );
        let error = read("x = { normal = { mean = 0.0, sd = 1.0 } }")
            .unwrap_err()
            .to_string();
        says!(error, "deviation");
        let error = read("x = \"wide\"").unwrap_err().to_string();
        says!(error, "a number");
    }

    #[test]
    fn drawn_values_have_the_mean_they_should() {
        let mut stream = stream(1, &[]);
        let mut mean = |text: &str| {
            let shape = read(text).unwrap();
            (0..40_000).map(|_| shape.draw(&mut stream)).sum::<f64>() / 40_000.0
        };
        assert!((mean("x = { normal = { mean = 2.0, deviation = 1.0 } }") - 2.0).abs() < 0.02);
        assert!((mean("x = { exponential = { mean = 3.0 } }") - 3.0).abs() < 0.06);
        let mixed =
            mean("x = { mixture = [{ share = 3.0, of = 1.0 }, { share = 1.0, of = 5.0 }] }");
        near!(mixed, 2.0, 0.04);
    }
}
