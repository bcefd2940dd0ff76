/*! Could any platinum have this deviation function? A slip of a power of ten could not.

Widths: our own choice, from memory of published thermometers, no source. Of the scale's platinum W at
gallium lies between the 1.118 07 of the ITS-90 (−6.9e-5 of the reference function) and a little above
that function; industrial platinum begins at α = 3.75e-3 /°C, which is −6.2e-3 there. Towards the far end
of a subrange the deviation is nearly proportional to W − 1, but for a curvature (the coefficient b of
subranges 7, 8) of a few 1e-5, or 2e-4 for industrial platinum.
*/

use super::deviation::Deviation;
use super::fixed_points::FixedPoint;
use crate::thermometry::ThermometryError;
use serde::Deserialize;

/// What the platinum of a thermometer claims.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PlatinumKind {
    /// It carries the scale: the limits of the ITS-90 on W apply.
    #[default]
    Standard,
    /// It never did: a secondary thermometer, to which those limits say nothing.
    Secondary,
}

/// How far a deviation function may lie from the reference function.
struct Widths {
    /// ΔW at gallium over (W − 1) there: lowest, highest.
    proportion: (f64, f64),
    /// Largest curvature of ΔW, either way.
    curvature: f64,
}

impl PlatinumKind {
    fn widths(self) -> Widths {
        match self {
            Self::Standard => Widths {
                proportion: (-8.5e-4, 2.5e-4),
                curvature: 1e-4,
            },
            Self::Secondary => Widths {
                proportion: (-5.8e-2, 2.5e-4),
                curvature: 1e-3,
            },
        }
    }
}

/// Refuses a deviation function that no platinum of `kind` has.
///
/// # Errors
/// Coefficients that are off by a power of ten or by their sign; names the subrange and what they give.
pub(crate) fn plausible(deviation: &Deviation, kind: PlatinumKind) -> Result<(), ThermometryError> {
    let widths = kind.widths();
    let (low, high) = deviation.subrange().limits_k();
    let near = [FixedPoint::Mercury, FixedPoint::Gallium]
        .into_iter()
        .find(|point| deviation.covers(point.kelvin()));
    let Some(near) = near else { return Ok(()) };
    let w = near.reference_ratio();
    let proportion = deviation.at(w) / (w - 1.0);
    let refused = |what: String| {
        Err(ThermometryError::NoPlatinum {
            subrange: deviation.subrange().number(),
            what,
            mend: match kind {
                PlatinumKind::Standard => {
                    ", or say that it is secondary (platinum = \"secondary\", --secondary) where it never carried the scale"
                }
                PlatinumKind::Secondary => "",
            },
        })
    };
    if !(widths.proportion.0..=widths.proportion.1).contains(&proportion) {
        return refused(format!(
            "they give W = {:.5} at the {}, where the reference function has {w:.5}",
            w + deviation.at(w),
            near.name()
        ));
    }
    // Below the triple point of argon the terms are of another kind.
    let ends = [low.max(FixedPoint::Argon.kelvin()), high];
    for kelvin in ends {
        let end = deviation.subrange().reference().ratio(kelvin);
        let beyond = deviation.at(end) - proportion * (end - 1.0);
        let lever = ((end - 1.0) * (end - w)).abs();
        if beyond.abs() > widths.curvature * lever {
            return refused(format!(
                "at {:.0} °C they lie {:+.1e} in W off the straight line through the {}, more than {:.1e}",
                kelvin - super::ZERO_CELSIUS_K,
                beyond,
                near.name(),
                widths.curvature * lever
            ));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::SubrangeEntry;

    fn judged(text: &str, kind: PlatinumKind) -> Result<(), ThermometryError> {
        let deviation = SubrangeEntry::from_text(text).unwrap().deviation().unwrap();
        plausible(&deviation, kind)
    }

    /// The invented worked thermometer of `worked_tests`, and each coefficient that matters ten times as large.
    #[test]
    fn a_power_of_ten_is_no_platinum() {
        for good in [
            "4:a=-1.423598168e-4,b=-7.377684488e-6",
            "5:a=-1.416964862e-4,b=-3.763644200e-6",
            "7:a=-1.313005379e-4,b=-3.835603795e-5,c=8.561285259e-6",
            "8:a=-1.432886046e-4,b=-1.728409518e-5",
            "9:a=-1.384266288e-4,b=-2.273073506e-5",
            "11:a=-1.421410557e-4",
        ] {
            judged(good, PlatinumKind::Standard).unwrap();
        }
        for slip in [
            "8:a=-1.43e-3,b=-1.73e-5",
            "8:a=-1.43e-4,b=-1.73e-4",
            "8:a=1.43e-3,b=-1.73e-5",
            "7:a=-1.31e-4,b=-3.84e-5,c=8.56e-5",
            "4:a=-1.42e-3,b=-7.4e-6",
            "4:a=-1.42e-4,b=-7.4e-4",
            "11:a=-1.42",
        ] {
            let why = judged(slip, PlatinumKind::Standard)
                .unwrap_err()
                .to_string();
            assert!(
                why.contains("power of ten") && why.contains("secondary"),
                "{why}"
            );
        }
    }

    /// W of the function of IEC 60751 at gallium and zinc, 1.115 776 and 2.537 90: industrial platinum.
    #[test]
    fn industrial_platinum_is_secondary() {
        let industrial = "8:a=-2.0e-2,b=1.8e-4";
        judged(industrial, PlatinumKind::Secondary).unwrap();
        assert!(judged(industrial, PlatinumKind::Standard).is_err());
        assert!(judged("8:a=-2.0e-1,b=1.8e-4", PlatinumKind::Secondary).is_err());
    }
}
