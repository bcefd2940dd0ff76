/*! A reference thermometer as its calibration certificate gives it: a small TOML text.

```toml
triple_point_ohm = 25.4796
[[subrange]]
number = 8
a = -1.432886046e-4
b = -1.728409518e-5
[[subrange]]          # or: ratios at the fixed points, from which coefficients follow
number = 4
points = { argon = 0.2159625, mercury = 0.8441641 }
```
*/

use super::ThermometryError;
use super::its90::{
    Calibration, CalibrationPoint, Deviation, FixedPoint, PlatinumKind, Subrange, Thermometer,
    plausible,
};
use serde::Deserialize;
use std::collections::BTreeMap;

/// A thermometer as written in a file.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Certificate {
    /// Resistance at the triple point of water, Ω.
    pub triple_point_ohm: f64,
    /// Its standard uncertainty, Ω; 0 where it is not stated.
    #[serde(default)]
    pub u_triple_point_ohm: f64,
    /// Standard uncertainty of a temperature by the coefficients, mK.
    pub u_certificate_mk: Option<f64>,
    /// What the platinum claims.
    #[serde(default)]
    pub platinum: PlatinumKind,
    /// Deviation functions.
    #[serde(default)]
    pub subrange: Vec<SubrangeEntry>,
}

/// One deviation function: coefficients by name, or W at the fixed points.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct SubrangeEntry {
    /// Number of the subrange, 1 to 11.
    pub number: u8,
    /// W at the fixed points, by name of the substance.
    #[serde(default)]
    pub points: BTreeMap<String, f64>,
    /// Standard uncertainty of each point of the calibration by name, mK, `water` among them.
    #[serde(default)]
    pub u_points_mk: BTreeMap<String, f64>,
    /// The coefficients `a`, `b`, …; `aluminium` = own W there, for subrange 6.
    #[serde(flatten)]
    pub coefficients: BTreeMap<String, f64>,
}

impl Certificate {
    /// The thermometer it describes.
    ///
    /// # Errors
    /// A subrange or name that does not exist, missing coefficients or points, coefficients that no
    /// platinum has, or a resistance that is not positive.
    pub(crate) fn thermometer(&self) -> Result<Thermometer, ThermometryError> {
        let deviation = |entry: &SubrangeEntry| {
            let deviation = entry.deviation()?;
            plausible(&deviation, self.platinum)?;
            Ok(deviation)
        };
        let deviations: Result<Vec<_>, _> = self.subrange.iter().map(deviation).collect();
        Thermometer::new(self.triple_point_ohm, deviations?)
    }
}

impl SubrangeEntry {
    /// Reads `8:a=-1.4e-4,b=-1.7e-5`, the form of the command line.
    ///
    /// # Errors
    /// Text of another form.
    pub(crate) fn from_text(text: &str) -> Result<Self, ThermometryError> {
        let wrong = || ThermometryError::CoefficientText {
            text: text.to_string(),
        };
        let (number, list) = text.split_once(':').ok_or_else(wrong)?;
        let mut coefficients = BTreeMap::new();
        for pair in list.split(',') {
            let (name, value) = pair.split_once('=').ok_or_else(wrong)?;
            let value = value.trim().parse().map_err(|_| wrong())?;
            coefficients.insert(name.trim().to_lowercase(), value);
        }
        Ok(Self {
            number: number.trim().parse().map_err(|_| wrong())?,
            points: BTreeMap::new(),
            u_points_mk: BTreeMap::new(),
            coefficients,
        })
    }

    /// Its deviation function.
    ///
    /// # Errors
    /// As [`Certificate::thermometer`].
    pub(crate) fn deviation(&self) -> Result<Deviation, ThermometryError> {
        let subrange = Subrange::new(self.number).ok_or(ThermometryError::NoSubrange {
            number: self.number,
        })?;
        if !self.points.is_empty() {
            return self.fitted(subrange);
        }
        let names = subrange.coefficient_names();
        let known = |name: &String| names.contains(&name.as_str()) || name == "aluminium";
        if let Some(name) = self.coefficients.keys().find(|name| !known(name)) {
            return Err(ThermometryError::CoefficientName {
                subrange: self.number,
                name: name.clone(),
                expected: names.join(", "),
            });
        }
        let values: Vec<f64> = names
            .iter()
            .filter_map(|name| self.coefficients.get(*name).copied())
            .collect();
        Deviation::new(
            subrange,
            &values,
            self.coefficients.get("aluminium").copied(),
        )
    }

    /// The calibration behind it, with the uncertainty of its points; `None` where that is not stated.
    ///
    /// # Errors
    /// As [`Certificate::thermometer`]; a point without uncertainty, or an uncertainty below 0.
    pub(crate) fn calibration(&self) -> Result<Option<Calibration>, ThermometryError> {
        if self.u_points_mk.is_empty() {
            return Ok(None);
        }
        let deviation = self.deviation()?;
        let subrange = deviation.subrange();
        let mut points = Vec::new();
        for point in subrange.calibration_points() {
            let named = |(name, _): &(&String, &f64)| FixedPoint::from_name(name) == Some(*point);
            let u_mk = self.u_points_mk.iter().find(named).map(|(_, u)| *u);
            let u_mk = u_mk.filter(|u| u.is_finite() && *u >= 0.0);
            points.push(CalibrationPoint::new(
                *point,
                deviation.ratio(point.kelvin())?,
                u_mk.ok_or(ThermometryError::PointWithoutU {
                    subrange: self.number,
                    point: point.name(),
                })?,
            ));
        }
        Calibration::fit(subrange, &points).map(Some)
    }

    /// Standard uncertainty of R at the triple point of water in the calibration, mK.
    pub(crate) fn u_water_mk(&self) -> f64 {
        let water =
            |(name, _): &(&String, &f64)| FixedPoint::from_name(name) == Some(FixedPoint::Water);
        self.u_points_mk.iter().find(water).map_or(0.0, |(_, u)| *u)
    }

    fn fitted(&self, subrange: Subrange) -> Result<Deviation, ThermometryError> {
        let mut points = Vec::with_capacity(self.points.len());
        for (name, ratio) in &self.points {
            let point = FixedPoint::from_name(name)
                .ok_or_else(|| ThermometryError::NoFixedPoint { name: name.clone() })?;
            points.push(CalibrationPoint::new(point, *ratio, 0.0));
        }
        Ok(Calibration::fit(subrange, &points)?.deviation)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coefficients_and_points_agree() {
        let text = "triple_point_ohm = 25.4796\n[[subrange]]\nnumber = 8\n\
            points = { tin = 1.892656, zinc = 2.56865 }";
        let fitted: Certificate = toml::from_str(text).unwrap();
        let entry = SubrangeEntry::from_text("8:a=-1.432886046e-4, b=-1.728409518e-5").unwrap();
        let given = Certificate {
            subrange: vec![entry],
            ..fitted.clone()
        };
        let at = |c: &Certificate| c.thermometer().unwrap().at_ratio(2.1).unwrap().kelvin;
        near!(at(&fitted), at(&given), 1e-6);
    }

    #[test]
    fn every_mistake_is_named() {
        let message = |text: &str| {
            SubrangeEntry::from_text(text)
                .and_then(|entry| entry.deviation())
                .unwrap_err()
                .to_string()
        };
        says!(message("8 a=1"), "8:a=");
        says!(message("12:a=1"), "1 to 11");
        assert!(message("8:a=1,q=2").contains('q'));
        says!(message("8:a=1"), "a, b");
        says!(message("6:a=0,b=0,c=0,d=0"), "aluminium");
    }
}
