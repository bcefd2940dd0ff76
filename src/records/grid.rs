/*! The grid on which values stand, what the display does with what lies between, and what both add. */

use crate::records::cells::number::Number;
use crate::words::figure;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// What a display does with what is behind its step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Display {
    /// It shows the nearest step.
    #[default]
    Rounds,
    /// It cuts off towards zero: what it shows stands for the whole step that begins there, and zero
    /// for the steps on both its sides.
    Cuts,
    /// The error is too low by what was cut off, as that of a display of positive values from
    /// which a reference was subtracted.
    CutsDown,
}

/// The grid of a history's values and what it adds, in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Grid {
    /// Step δ.
    pub step: f64,
    /// δ/√12, added to the u of every reading.
    pub u: f64,
    /// Its part that averaging does not take away, added to u_common.
    pub u_common: f64,
    /// What the display does between the steps.
    pub display: Display,
}

impl Grid {
    /// Of a step, where a reading scatters by `noise` beside it.
    pub(super) fn of(step: f64, noise: f64, display: Display) -> Self {
        let u = step / 12f64.sqrt();
        let moved = PI * noise / step;
        Self {
            step,
            u,
            u_common: u * (-2.0 * moved * moved).exp(),
            display,
        }
    }

    /// What was added, as a sentence.
    pub(crate) fn sentence(&self, unit: &str) -> String {
        let step = figure(self.step, unit);
        let stand = match self.display {
            Display::Rounds => format!("stand on steps of {step}"),
            Display::Cuts => format!(
                "are cut off at steps of {step}, as stated, and half a step was added to each, away from zero"
            ),
            Display::CutsDown => format!(
                "are cut off at steps of {step}, as stated, and half a step was added to each"
            ),
        };
        format!(
            "its values {stand}; their part, {} (the step over √12, GUM F.2.2.1), was added to u, and {} of it, which averaging does not take away, to u_common",
            figure(self.u, unit),
            figure(self.u_common, unit),
        )
    }

    /// True where this grid is the greater part of the variance of a reading with `u`, its part in
    /// it: whatever the readings scatter by then is the grid's doing.
    pub(crate) fn rules(&self, u: f64) -> bool {
        u * u < 2.0 * self.u * self.u
    }

    /// u and u_common of a reading of `error` about `nominal` with this grid's part; a u that is
    /// not stated stays so.
    pub(crate) fn widened(
        &self,
        (error, nominal): (f64, f64),
        u: f64,
        u_common: f64,
    ) -> (f64, f64) {
        let steps = match self.display {
            Display::Cuts if self.shows_zero(error + nominal) => 2.0,
            _ => 1.0,
        };
        (
            u.hypot(steps * self.u),
            u_common.hypot(steps * self.u_common),
        )
    }

    /// The middle of what an `error` about `nominal` as shown stands for.
    pub(crate) fn middle(&self, error: f64, nominal: f64) -> f64 {
        let shown = error + nominal;
        let up = match self.display {
            Display::Rounds => return error,
            Display::Cuts if self.shows_zero(shown) => return error,
            Display::Cuts => 0.5 * self.step.copysign(shown),
            Display::CutsDown => 0.5 * self.step,
        };
        // In decimal, so that 0.4 and half of 0.4 are 0.6.
        let numbers = Number::from_double(error).zip(Number::from_double(-up));
        numbers.map_or(error, |(error, down)| error.minus(down))
    }

    /// True of a value that can only be zero, within the rounding of a difference.
    fn shows_zero(&self, shown: f64) -> bool {
        shown.abs() < 0.5 * self.step
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_cut_off_is_given_back_by_its_middle() {
        let middle = |display, error, nominal| Grid::of(0.4, 0.05, display).middle(error, nominal);
        for (display, error, nominal, expected) in [
            (Display::Rounds, 0.4, 0.0, 0.4),
            (Display::Cuts, 0.4, 0.0, 0.6),
            (Display::Cuts, -0.4, 0.0, -0.6),
            (Display::Cuts, 0.0, 0.0, 0.0),
            // 99.6 shown of a nominal 100, and −100.4 of −100.
            (Display::Cuts, -0.4, 100.0, -0.2),
            (Display::Cuts, -0.4, -100.0, -0.6),
            (Display::CutsDown, -0.4, 0.0, -0.2),
            (Display::CutsDown, 0.0, 0.0, 0.2),
        ] {
            assert_eq!(
                middle(display, error, nominal),
                expected,
                "{display:?} {error}"
            );
        }
        assert!(middle(Display::Cuts, f64::NAN, 0.0).is_nan());
    }

    /// The variance of what is left, by ten thousand values spread evenly over the cells.
    #[test]
    fn the_part_of_a_cut_is_that_of_its_cell() {
        for display in [Display::Rounds, Display::Cuts, Display::CutsDown] {
            let grid = Grid::of(0.5, 0.0, display);
            let mut squares = [(0.0, 0u32); 3];
            for i in 0..30_000 {
                let true_value = -0.75 + 1.5 * (f64::from(i) + 0.5) / 30_000.0;
                let shown = 0.5
                    * match display {
                        Display::Rounds => (true_value / 0.5).round(),
                        Display::Cuts => (true_value / 0.5).trunc(),
                        Display::CutsDown => (true_value / 0.5).floor(),
                    };
                let cell = &mut squares[((shown / 0.5) as i32 + 1).clamp(0, 2) as usize];
                *cell = (
                    cell.0 + (true_value - grid.middle(shown, 0.0)).powi(2),
                    cell.1 + 1,
                );
            }
            let (sum, number) = squares[1];
            let (u, u_common) = grid.widened((0.0, 0.0), 0.0, 0.0);
            let seen = (sum / f64::from(number)).sqrt();
            near!(seen / u, 1.0, 1e-3, "{display:?}: {seen} {u}");
            assert_eq!(u, u_common, "no noise carries a reading to another step");
        }
    }
}
