/*! The line of a picture, read off it. */

use super::{Told, between, numbers, plain};

/// The line that is drawn, read off the picture: its value at a place on the axis (days or use), and what half a
/// unit of the picture is worth.
pub struct Line {
    /// First and last place on the axis, and where they stand.
    pub axis: Vec<f64>,
    /// Corners of the last stretch of the fit.
    pub corners: Vec<(f64, f64)>,
    /// Value at the height 0, and of one unit upward.
    pub height: (f64, f64),
    /// Place of the last check.
    pub last: f64,
    pub end: f64,
}

impl Line {
    /// `None` where no line is drawn, or fewer than two readings tell its scale.
    pub fn of(told: &Told) -> Option<Self> {
        let axis = numbers(between(&told.page, "data-axis=\"", "\"")?, ' ')?;
        let plot = numbers(between(&told.page, "data-plot=\"", "\"")?, ' ')?;
        let places = between(&told.page, "data-points=\"", "\"")?.split(' ');
        let table = between(&told.page, "<div id=\"checks\">", "</table>")?;
        let column = table
            .split("<th ")
            .skip(1)
            .position(|head| head.contains("as found"))?;
        let values = table.split("<tr").skip(2).map(|row| {
            let cell = row
                .split("<td")
                .nth(column + 1)
                .or(row.split("<t").nth(column + 1))?;
            plain(between(cell, ">", "<")?).parse().ok()
        });
        let marks: Vec<(f64, f64, f64)> = places
            .zip(values)
            .filter_map(|(place, value): (&str, Option<f64>)| {
                let place = numbers(place, ',')?;
                Some((place[0], place[1], value?))
            })
            .filter(|(_, y, _)| *y > plot[0] + 40.0 && *y < plot[1] - 40.0)
            .collect();
        let low = marks.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let high = marks.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        if high.1 - low.1 < 80.0 {
            return None;
        }
        let unit = (high.2 - low.2) / (high.1 - low.1);
        let height = (low.2 - unit * low.1, unit);
        // Readings that stand elsewhere than they were recorded tell no scale.
        let fits =
            |mark: &&(f64, f64, f64)| (height.0 + unit * mark.1 - mark.2).abs() < 2.0 * unit.abs();
        if !marks.iter().all(|mark| fits(&mark)) {
            return None;
        }
        let fit = "<polyline fill=\"none\" stroke=\"#1F2933\" stroke-width=\"7\"";
        let parts = told.svg.split(fit).skip(1);
        let last = parts
            .filter_map(|part| between(part, "points=\"", "\""))
            .last()?;
        let corners: Vec<(f64, f64)> = last
            .split_whitespace()
            .filter_map(|corner| {
                let corner = numbers(corner, ',')?;
                Some((corner[0], corner[1]))
            })
            .collect();
        let mut line = Self {
            axis,
            corners,
            height,
            last: 0.0,
            end: 0.0,
        };
        line.last = line.place(marks.iter().map(|mark| mark.0).fold(0.0, f64::max));
        line.end = line.place(line.corners.last()?.0);
        Some(line)
    }

    pub fn place(&self, x: f64) -> f64 {
        let [from, to, left, right] = self.axis[..] else {
            return f64::NAN;
        };
        from + (x - left) / (right - left) * (to - from)
    }

    pub fn value(&self, place: f64) -> Option<f64> {
        let [from, to, left, right] = self.axis[..] else {
            return None;
        };
        let x = left + (place - from) / (to - from) * (right - left);
        let pair = self
            .corners
            .windows(2)
            .find(|pair| pair[0].0 <= x + 0.6 && x <= pair[1].0 + 0.6)?;
        let share = ((x - pair[0].0) / (pair[1].0 - pair[0].0)).clamp(0.0, 1.0);
        let y = pair[0].1 + share * (pair[1].1 - pair[0].1);
        Some(self.height.0 + self.height.1 * y)
    }
}
