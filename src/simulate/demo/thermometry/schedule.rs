/*! Who is read in which session, at which points, and what goes wrong there. */

use crate::thermometry::its90::FixedPoint;

/// What goes wrong in one session, or happened before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Trouble {
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

pub(super) fn trouble(session: u32) -> Option<Trouble> {
    Some(match session {
        3 => Trouble::Hurry,
        6 => Trouble::YoungMantle,
        8 => Trouble::NoTemperature,
        10 => Trouble::Crowd,
        13 => Trouble::WrongResistor,
        14 => Trouble::Knock,
        15 => Trouble::Anneal,
        17 => Trouble::NoStandard,
        18 => Trouble::OneCurrent,
        20 => Trouble::Noise,
        22 => Trouble::Slope,
        _ => return None,
    })
}

/// Thermometers of a session in the order of reading: the standard, then two in turn.
pub(super) fn crew(session: u32) -> Vec<usize> {
    match trouble(session) {
        Some(Trouble::Crowd) => (0..6).collect(),
        Some(Trouble::NoStandard) => vec![1, 2],
        Some(Trouble::Knock | Trouble::Anneal) => vec![0, 3],
        Some(Trouble::OneCurrent | Trouble::Noise) => vec![0, 5],
        _ => {
            let turn = 2 * session as usize;
            vec![0, 1 + turn % 5, 1 + (turn + 1) % 5]
        }
    }
}

/// Fixed points beside water at which a thermometer is read before it in a session.
pub(super) fn other_points(session: u32, index: usize) -> &'static [FixedPoint] {
    match (session, index) {
        (2 | 12, 1) => &[FixedPoint::Gallium],
        (1 | 12 | 24, 0) => &[FixedPoint::Gallium],
        (1 | 14 | 15 | 21, 3) => &[FixedPoint::Tin],
        (1 | 11 | 24, 4) => &[FixedPoint::Gallium, FixedPoint::Zinc],
        (2 | 12 | 24, 5) => &[FixedPoint::Zinc],
        _ => &[],
    }
}
