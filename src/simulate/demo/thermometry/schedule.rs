/*! Who is read in which session, at which points, and what goes wrong there. */

use crate::thermometry::its90::FixedPoint;
use serde::Deserialize;

/// What goes wrong in one session, or happened before it.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Trouble {
    /// The first reading comes too soon.
    Hurry,
    /// The mantle of the large cell is hours old.
    YoungMantle,
    /// The temperature of the resistor was not noted.
    NoTemperature,
    /// All thermometers, not pre-cooled, in the small cell on one plateau.
    Crowd,
    /// The reference resistor reads wrong for everyone.
    WrongResistor,
    /// The check standard stays in its box.
    NoStandard,
    /// TH-104 is knocked before the session.
    Knock,
    /// TH-104 is annealed before the session.
    Anneal,
    /// TH-106 is read at one current only.
    OneCurrent,
    /// TH-106 is noisy: moisture.
    Noise,
    /// The plateau of this session is not flat.
    Slope,
}

/// One session.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Session {
    /// Its thermometers by their places, in the order of reading.
    pub crew: Vec<usize>,
    /// Fixed points beside water at which a thermometer is read before it.
    #[serde(default)]
    others: Vec<(usize, Vec<FixedPoint>)>,
    pub trouble: Option<Trouble>,
}

impl Session {
    /// Fixed points beside water at which the thermometer at `index` is read before it.
    pub(crate) fn other_points(&self, index: usize) -> &[FixedPoint] {
        let own = self.others.iter().find(|(place, _)| *place == index);
        own.map_or(&[], |(_, points)| points)
    }
}
