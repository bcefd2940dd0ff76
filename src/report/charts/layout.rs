/*! Where the parts of the chart of one history sit. */

use super::extent::Extent;
use super::scale::{Scale, ValueAxis};

/// Size of the chart, pixels.
pub(super) const SIZE: (u32, u32) = (840, 420);

/// Where everything sits, pixels.
pub(super) struct Layout {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    pub x: Scale,
    pub y: Scale,
    pub axis: ValueAxis,
    pub extent: Extent,
}
