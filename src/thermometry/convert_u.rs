/*! Standard uncertainty of a converted temperature, from what is known of each part.

u² = u²(number) + u²(R at the triple point) + u²(coefficients) + u²(drift), in mK at the temperature
(JCGM 100:2008, 5.1.2). R at the triple point acts by W·S/W'. The drift since the value in use is not
corrected: its predicted change b counts with its own u as √(b² + u²) (JCGM 100:2008, F.2.4.5, from memory),
by the larger of the two ways in which a resistance can change ([`super::range`]). A tolerance class is a
rectangular half-width (4.3.7). What is not known is named, never taken as zero in silence.
*/

use super::convert::{Converted, Converter, Quantity};
use super::its90::{Calibration, TRIPLE_POINT_SLOPE};
use super::range::{effects, worst_mk};
use serde::Serialize;

/// What is known of the uncertainty.
#[derive(Debug, Clone, Default)]
pub(crate) struct KnownU {
    /// Standard uncertainty of the number, in its own unit.
    pub number: Option<f64>,
    /// Standard uncertainty of R at the triple point of water, Ω.
    pub triple_point_ohm: Option<f64>,
    /// Standard uncertainty of a temperature by the coefficients, mK.
    pub curve_mk: Option<f64>,
    /// Calibrations with the uncertainty of their points: subrange, calibration, u of R at the triple
    /// point in it, mK.
    pub calibrations: Vec<(u8, Calibration, f64)>,
    /// Predicted change since the value in use and its standard uncertainty, mK.
    pub drift_mk: Option<(f64, f64)>,
}

/// The parts at one temperature, mK; `None` where nothing is known.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct TemperatureU {
    /// Of the number that was converted.
    pub number_mk: Option<f64>,
    /// Of R at the triple point of water.
    pub triple_point_mk: Option<f64>,
    /// Of the coefficients or the class.
    pub curve_mk: Option<f64>,
    /// Of the drift up to the date.
    pub drift_mk: Option<f64>,
    /// In all, of the parts that are known.
    pub u_mk: f64,
    /// Parts that are not in it.
    pub not_in_it: Vec<&'static str>,
}

/// Headings of the parts, in the order of [`TemperatureU::parts`].
pub(crate) const PARTS: [&str; 4] = ["number", "triple point", "coefficients", "drift"];

impl KnownU {
    /// True where a part is known: u is asked for. The tolerance of a class is a part beside others.
    pub(crate) fn is_something(&self) -> bool {
        self.number.is_some()
            || self.triple_point_ohm.is_some()
            || self.curve_mk.is_some()
            || self.drift_mk.is_some()
            || !self.calibrations.is_empty()
    }

    /// The parts at `converted`, a `from` that was converted on `scale`; `None` where none is known.
    pub(crate) fn at(
        &self,
        scale: &Converter,
        from: Quantity,
        converted: &Converted,
    ) -> Option<TemperatureU> {
        let celsius = converted.temperature_c;
        let per_ohm = 1000.0 / converted.sensitivity_ohm_per_c;
        let number_mk = self.number.map(|u| match from {
            Quantity::Resistance => u * per_ohm,
            Quantity::Ratio => u * converted.resistance_ohm / converted.ratio * per_ohm,
            Quantity::Temperature => u * 1000.0,
        });
        let of_scale = matches!(scale, Converter::Its90(_));
        let triple_point_ohm = converted.resistance_ohm / converted.ratio;
        let triple_point_mk = self.triple_point_ohm.filter(|_| of_scale).map(|u| {
            let there = 1000.0 * u / (triple_point_ohm * TRIPLE_POINT_SLOPE);
            effects(0.0, there, celsius).u_mk
        });
        let drift_mk = self
            .drift_mk
            .filter(|_| of_scale)
            .map(|(change, u)| worst_mk(change.hypot(u), celsius));
        let all = TemperatureU {
            number_mk,
            triple_point_mk,
            curve_mk: self.curve(converted),
            drift_mk,
            u_mk: 0.0,
            not_in_it: Vec::new(),
        };
        // A temperature that is asked about is no reading.
        let read = from != Quantity::Temperature;
        let known: Vec<f64> = all.parts().into_iter().flatten().collect();
        let wanted = all.parts().into_iter().zip(PARTS);
        // An industrial sensor has neither a triple point nor a value in use.
        let not_in_it = wanted
            .filter(|(part, name)| {
                part.is_none()
                    && match *name {
                        "number" => read,
                        "coefficients" => true,
                        _ => of_scale,
                    }
            })
            .map(|(_, name)| name)
            .collect();
        (self.is_something() && !known.is_empty()).then(|| TemperatureU {
            u_mk: known.iter().map(|u| u * u).sum::<f64>().sqrt(),
            not_in_it,
            ..all
        })
    }

    fn curve(&self, converted: &Converted) -> Option<f64> {
        let subrange = converted.subrange;
        let fitted = self
            .calibrations
            .iter()
            .find(|(n, ..)| Some(*n) == subrange);
        let by_points = fitted.and_then(|(_, calibration, u_water)| {
            calibration
                .u_temperature_mk(converted.temperature_k, *u_water, 0.0)
                .ok()
        });
        let by_class = converted
            .tolerance_c
            .map(|half| 1000.0 * half / 3f64.sqrt());
        self.curve_mk.or(by_points).or(by_class)
    }
}

impl TemperatureU {
    /// The parts, in the order of [`PARTS`].
    pub(crate) fn parts(&self) -> [Option<f64>; 4] {
        [
            self.number_mk,
            self.triple_point_mk,
            self.curve_mk,
            self.drift_mk,
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::{Certificate, convert};

    /// Amplification at 419.527 °C, evaluated independently in Python: 2.93137 for R at the triple point
    /// and for a scaled drift; points of the calibration whose u is 1 mK at zinc count in full there.
    #[test]
    fn the_parts_add_in_quadrature() {
        let text = "triple_point_ohm = 25.4796\n[[subrange]]\nnumber = 8\na = -1.432886046e-4\n\
            b = -1.728409518e-5\nu_points_mk = { tin = 0.5, zinc = 1.0 }";
        let certificate: Certificate = toml::from_str(text).unwrap();
        let scale = Converter::Its90(certificate.thermometer().unwrap());
        let entry = &certificate.subrange[0];
        let per_mk = 25.4796 * TRIPLE_POINT_SLOPE / 1000.0;
        let known = KnownU {
            number: Some(0.0001),
            triple_point_ohm: Some(0.1 * per_mk),
            calibrations: vec![(8, entry.calibration().unwrap().unwrap(), entry.u_water_mk())],
            drift_mk: Some((0.3, 0.4)),
            ..KnownU::default()
        };
        let converted = convert(&scale, Quantity::Temperature, 419.527).unwrap();
        let u = known.at(&scale, Quantity::Temperature, &converted).unwrap();
        let expected = [0.1, 0.293_137, 1.0, 0.5 * 2.931_37];
        for (part, expected) in u.parts().into_iter().zip(expected) {
            near!(part.unwrap(), expected, 2e-5);
        }
        let sum: f64 = expected.iter().map(|u| u * u).sum::<f64>().sqrt();
        assert!((u.u_mk - sum).abs() < 2e-5 && u.not_in_it.is_empty());
        let reading = KnownU {
            number: Some(0.0001),
            ..KnownU::default()
        };
        let u = reading
            .at(&scale, Quantity::Resistance, &converted)
            .unwrap();
        let slope = converted.sensitivity_ohm_per_c;
        near!(u.u_mk, 0.1 / slope, 1e-12);
        assert_eq!(u.not_in_it, ["triple point", "coefficients", "drift"]);
        assert!(
            KnownU::default()
                .at(&scale, Quantity::Ratio, &converted)
                .is_none()
        );
    }
}
