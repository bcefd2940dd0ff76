/*! What readings at the bench come to after the newest of them, and its line. */

use crate::thermometry::readings::ReadingPoint;
use crate::thermometry::reduction::{Average, Slope};
use crate::words::{Short, count};

/// What the readings of one thermometer at one point and current say after the newest of them.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SoFar {
    /// Whose readings.
    pub instrument: String,
    /// Where.
    pub point: ReadingPoint,
    /// Current, mA; NaN where it was not noted.
    pub current_ma: f64,
    /// Their number, mean (Ω) and standard deviation.
    pub average: Average,
    /// mK per Ω at the point.
    pub mk_per_ohm: f64,
    /// Change, mK per hour; `None` for fewer than three readings.
    pub slope: Option<Slope>,
    /// What was to be expected; `None` where nothing was.
    pub from_expected: Option<FromExpected>,
    /// The newest reading from the mean of the others, mK, where it is no neighbour of theirs.
    pub odd_mk: Option<f64>,
    /// Whether more are needed, in words.
    pub more: String,
}

/// The mean beside what was to be expected.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct FromExpected {
    /// Mean minus expectation, mK.
    pub mk: f64,
    /// Half-width of the expectation, mK.
    pub half_width_mk: f64,
    /// What the expectation rests on.
    pub from: String,
    /// True where it can be no reading of this thermometer there.
    pub impossible: bool,
}

impl SoFar {
    /// In one line.
    pub(crate) fn words(&self) -> String {
        let mk = |ohm: f64| Short(ohm * self.mk_per_ohm);
        let current = match self.current_ma.is_finite() {
            true => format!(" at {} mA", self.current_ma),
            false => String::new(),
        };
        let scatter = match self.average.deviation.is_finite() {
            true => format!(", scatter {:.3} mK", mk(self.average.deviation)),
            false => String::new(),
        };
        let slope = self.slope.map_or(String::new(), |s| {
            format!(
                ", {:+.2} mK per hour (u = {:.2})",
                Short(s.rate),
                Short(s.standard_error)
            )
        });
        let away = self.from_expected.as_ref().map_or(
            "; nothing to expect at this point and current yet".into(),
            |e| {
                let outside = match (e.impossible, e.mk.abs() > e.half_width_mk) {
                    (true, _) => ", another thermometer, unit or digit?",
                    (_, true) => {
                        ", outside it: look at current, depth and contacts before going on"
                    }
                    _ => "",
                };
                format!(
                    "; {:+.3} mK from the expected value (± {:.3} mK, {}){outside}",
                    Short(e.mk),
                    Short(e.half_width_mk),
                    e.from
                )
            },
        );
        let odd = self.odd_mk.map_or(String::new(), |odd| {
            format!(
                "; this reading lies {:+.3} mK from the mean of the others, a slip?",
                Short(odd)
            )
        });
        format!(
            "{}, {}{current}, {}: mean {:.7} Ω{scatter}{slope}{away}{odd}; {}.",
            self.instrument,
            self.point.name(),
            count(self.average.count, "reading"),
            Short(self.average.mean),
            self.more
        )
    }
}
