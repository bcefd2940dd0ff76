/*! One column of a design, kept where it is not zero: a level is known to its own readings alone. */

use crate::stats::DoubleDouble;
use std::ops::Range;

/// A column of a design; zero before `from` and behind its values.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Column {
    /// First reading of which it says something.
    pub from: usize,
    /// Its entries from there on.
    pub values: Vec<DoubleDouble>,
}

impl Column {
    /// The readings of which it says something.
    pub(crate) fn reach(&self) -> Range<usize> {
        self.from..self.from + self.values.len()
    }

    /// The entries with the readings that they belong to.
    pub(crate) fn entries(&self) -> impl Iterator<Item = (usize, &DoubleDouble)> {
        (self.from..).zip(&self.values)
    }

    /// Sum of products with another column.
    pub(crate) fn dot(&self, other: &Column) -> DoubleDouble {
        let (a, b) = self.common(other);
        let pairs = self.values[a].iter().zip(&other.values[b]);
        pairs.fold(DoubleDouble::ZERO, |sum, (x, y)| sum + *x * *y)
    }

    /// Takes `share` times `direction` away, where the two say something of the same reading.
    pub(crate) fn subtract(&mut self, share: DoubleDouble, direction: &Column) {
        let (a, b) = self.common(direction);
        for (value, along) in self.values[a].iter_mut().zip(&direction.values[b]) {
            *value -= share * *along;
        }
    }

    /// The entries of both that belong to the same readings.
    fn common(&self, other: &Column) -> (Range<usize>, Range<usize>) {
        let (a, b) = (self.reach(), other.reach());
        let start = a.start.max(b.start);
        let end = a.end.min(b.end).max(start);
        let within = |of: &Range<usize>| {
            let low = start.clamp(of.start, of.end) - of.start;
            low..end.clamp(of.start + low, of.end) - of.start
        };
        (within(&a), within(&b))
    }
}

/// Which of the columns so far may overlap the next, in order: all others are orthogonal to it
/// as they stand. Columns come by the readings that they begin with, but for those of all.
#[derive(Debug, Default)]
pub(crate) struct Overlaps {
    /// Of every column the reading behind the last that it or one before it reaches.
    ends: Vec<usize>,
    reaches: Vec<Range<usize>>,
}

impl Overlaps {
    /// Columns before it that say something of the same readings; it is then one of them.
    pub(crate) fn next(&mut self, reach: Range<usize>) -> Vec<usize> {
        let first = self.ends.partition_point(|end| *end <= reach.start);
        let meets = |i: &usize| {
            let other = &self.reaches[*i];
            other.start < reach.end && reach.start < other.end
        };
        let found = (first..self.reaches.len()).filter(meets).collect();
        let end = self.ends.last().map_or(0, |end| *end).max(reach.end);
        self.ends.push(end);
        self.reaches.push(reach);
        found
    }
}
