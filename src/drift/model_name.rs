/*! The drift models: one line each, with the name that the pipeline file uses and the value that
implements [`super::model::DriftModel`]. */

use serde::{Deserialize, Serialize};

/// Gives every model to `$take`: `Name "word" = path::of::the::model`, paths from `crate::drift`.
/// Of models that explain a history alike, `auto` prefers the later one in the list.
macro_rules! drift_models {
    ($take:ident) => {
        $take! {
            /// A constant level.
            Constant "constant" = regression::curves::CONSTANT;
            /// A straight line.
            Line "line" = regression::straight_line::STRAIGHT_LINE;
            /// A parabola.
            Quadratic "quadratic" = regression::curves::QUADRATIC;
            /// A polynomial of the degree set in the pipeline file.
            Polynomial "polynomial" = regression::curves::POLYNOMIAL;
            /// A line with an annual sine and cosine.
            Season "season" = regression::curves::SEASON;
            /// Level, drift, wander and steps by a Kalman filter with class parameters.
            #[default]
            State "state" = state::drift_model::STATE;
            /// Random walk with fixed drift.
            Wander "wander" = wander::drift_model::WANDER;
            /// State or wander, whichever the readings support, or their average.
            Auto "auto" = auto::AUTO;
        }
    };
}
pub(super) use drift_models;

macro_rules! names {
    ($($(#[$about:meta])* $name:ident $word:literal = $($model:ident)::+;)*) => {
        /// A drift model, as the pipeline file names it.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
        pub enum ModelName {
            $($(#[$about])* #[serde(rename = $word)] $name,)*
        }

        impl ModelName {
            /// Every model.
            pub const ALL: &[ModelName] = &[$(ModelName::$name),*];

            /// The word used in settings and tables.
            pub fn word(self) -> &'static str {
                match self {
                    $(ModelName::$name => $word,)*
                }
            }
        }
    };
}

drift_models!(names);
