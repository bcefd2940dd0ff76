/*! Borrowed strength for straight lines: the lines of one group share a distribution.

```text
y = level + drift·t + e,   (level, drift) ~ N((level₀, drift₀), G),   Var e = σ²/weight
```

with t in years (or use) from the item's own first reading of its current segment. G and
σ² maximise the restricted likelihood (N. M. Laird and J. H. Ware, *Random-effects models
for longitudinal data*, Biometrics 38 (1982) 963–974), σ² profiled out; each item's line
is then the best linear unbiased prediction (C. R. Henderson, Biometrics 31 (1975)
423–447): its own line, drawn to the group's by as much as it is uncertain.

A history enters by six sums and two counts. Statistics of two partitions merge by putting
the lists together; the likelihood is a sum over the lists.
*/

use crate::drift::series::readings::Reading;

/// The sums of one history since its drift started anew: all that pooling needs of it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct LineSums {
    /// Readings less the levels of earlier segments, which were eliminated.
    pub count: u32,
    /// Readings of the current segment.
    pub current: u32,
    /// True where the weights are 1/u², false where all are one.
    pub u_stated: bool,
    /// Σw, Σwt, Σwt².
    pub moments: [f64; 3],
    /// Σwy, Σwty.
    pub products: [f64; 2],
    /// Σwy².
    pub square: f64,
    /// x from which t counts.
    pub origin: f64,
    /// x of the last reading.
    pub last: f64,
}

impl LineSums {
    /// Sums of the readings since the drift started anew; weights 1/u² where all state u, else 1.
    /// Segments before the last one tell of the drift alone: each has its own level, which is
    /// eliminated. `None` of no reading.
    pub(crate) fn of(readings: &[Reading]) -> Option<Self> {
        let last = readings.last()?;
        let weighted = readings.iter().all(|reading| reading.u > 0.0);
        let mut sums = Self {
            u_stated: weighted,
            last: last.x,
            ..Self::default()
        };
        let weight = |r: &Reading| if weighted { 1.0 / (r.u * r.u) } else { 1.0 };
        let same_drift = readings
            .iter()
            .position(|reading| reading.drift_segment == last.drift_segment)?;
        for level in readings[same_drift..].chunk_by(|a, b| a.segment == b.segment) {
            if level[0].segment == last.segment {
                sums.add_current(level, weight);
            } else {
                sums.add_earlier(level, weight);
            }
        }
        Some(sums)
    }

    fn add_current(&mut self, level: &[Reading], weight: impl Fn(&Reading) -> f64) {
        self.origin = level[0].x;
        for reading in level {
            let (w, t, y) = (weight(reading), reading.x - self.origin, reading.value);
            self.count += 1;
            self.current += 1;
            self.moments[0] += w;
            self.moments[1] += w * t;
            self.moments[2] += w * t * t;
            self.products[0] += w * y;
            self.products[1] += w * t * y;
            self.square += w * y * y;
        }
    }

    /// About the weighted means of the segment, at the price of one reading.
    fn add_earlier(&mut self, level: &[Reading], weight: impl Fn(&Reading) -> f64) {
        let (x0, y0) = (level[0].x, level[0].value);
        let (mut total, mut x, mut y) = (0.0, 0.0, 0.0);
        for reading in level {
            let w = weight(reading);
            total += w;
            x += w * (reading.x - x0);
            y += w * (reading.value - y0);
        }
        let (x, y) = (x0 + x / total, y0 + y / total);
        for reading in level {
            let (w, t, off) = (weight(reading), reading.x - x, reading.value - y);
            self.moments[2] += w * t * t;
            self.products[1] += w * t * off;
            self.square += w * off * off;
        }
        self.count += level.len() as u32 - 1;
    }
}
