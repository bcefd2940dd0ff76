/*! Value axes: where ticks sit and what they say. */

use crate::report::text::{exponent, fixed, power_of_ten, significant, with_unit};

/// A straight map from data to pixels.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scale {
    /// Data at the first pixel and at the last.
    pub domain: (f64, f64),
    /// First and last pixel.
    pub range: (f64, f64),
}

impl Scale {
    /// The map of `domain` to `range`.
    pub(crate) fn new(domain: (f64, f64), range: (f64, f64)) -> Self {
        Self { domain, range }
    }

    /// Pixel of `value`.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let share = (value - self.domain.0) / (self.domain.1 - self.domain.0);
        self.range.0 + share * (self.range.1 - self.range.0)
    }

    /// True where `value` lies inside the domain.
    pub(crate) fn holds(&self, value: f64) -> bool {
        (self.domain.0..=self.domain.1).contains(&value)
    }

    /// Pixel of `value`, held inside the range.
    pub(crate) fn held(&self, value: f64) -> f64 {
        self.at(value.clamp(self.domain.0, self.domain.1))
    }
}

/// One tick: where it sits in data, and its label.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tick {
    /// Position in data.
    pub at: f64,
    pub label: String,
}

/// Ticks of a value axis, with what is written once beside it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ValueAxis {
    /// At most seven ticks.
    pub ticks: Vec<Tick>,
    /// "100 Ω + … µΩ", or the unit alone.
    pub caption: String,
    /// Value that is written once, 0 for none.
    offset: f64,
    /// Labels are in this power of ten of the unit.
    power: i32,
    /// The unit of the labels.
    unit: String,
    /// Decimals of the labels.
    decimals: usize,
}

impl ValueAxis {
    /// The unit that the labels are in, and how many of it one of the values' own is: the own unit where only a power
    /// of ten is taken out.
    pub(crate) fn unit_beside<'a>(&'a self, own: &'a str) -> (f64, &'a str) {
        match self.unit.starts_with("10") {
            true => (1.0, own),
            false => (10f64.powi(-self.power), &self.unit),
        }
    }

    /// A value in the axis' notation with its unit, one digit finer than the ticks:
    /// "+12 mK", or "+30 µΩ" from the offset.
    pub(crate) fn words(&self, value: f64) -> String {
        let relative = (value - self.offset) * 10f64.powi(-self.power);
        if relative.abs() >= 1e7 || !relative.is_finite() {
            return with_unit(&significant(relative, 3), &self.unit);
        }
        let mut number = fixed(relative, self.decimals + 1);
        if number.contains('.') {
            number = number
                .trim_end_matches('0')
                .trim_end_matches('.')
                .to_string();
        }
        let sign = if relative > 0.0 { "+" } else { "" };
        let times = if self.unit.starts_with("10") {
            " ×"
        } else {
            ""
        };
        with_unit(&format!("{sign}{number}{times}"), &self.unit)
    }
}

/// Prefixes for powers of a thousand, from 10⁻¹².
const PREFIXES: [(&str, i32); 8] = [
    ("p", -12),
    ("n", -9),
    ("µ", -6),
    ("m", -3),
    ("", 0),
    ("k", 3),
    ("M", 6),
    ("G", 9),
];

/// Units that may carry a prefix (SI Brochure, 9th edition, tables 2, 4 and 7, and ohm in ASCII).
const PREFIXABLE: [&str; 14] = [
    "Ω", "ohm", "K", "V", "A", "m", "g", "Pa", "Hz", "s", "N", "W", "F", "bar",
];

/// Values are shown against an offset when a label would need more digits than this.
const MOST_LABEL_DIGITS: f64 = 2.0e4;

/// Splits "mK" into its power of ten and "K"; `None` where the unit takes no prefix.
fn split_unit(unit: &str) -> Option<(i32, &str)> {
    PREFIXES.iter().find_map(|(prefix, power)| {
        let base = unit.strip_prefix(prefix)?;
        PREFIXABLE.contains(&base).then_some((*power, base))
    })
}

/// `unit` scaled by 10^`power` in words: "µΩ", or "10⁻⁶ °C" where no prefix fits.
fn scaled_unit(unit: &str, power: i32) -> String {
    if power == 0 {
        return unit.to_string();
    }
    let prefixed = split_unit(unit).and_then(|(own, base)| {
        let prefix = PREFIXES.iter().find(|(_, p)| *p == own + power)?;
        Some(format!("{}{base}", prefix.0))
    });
    prefixed.unwrap_or_else(|| {
        let tens = power_of_ten(power);
        let tens = tens.trim_start_matches(['\u{202f}', '×']);
        if unit.is_empty() {
            tens.to_string()
        } else {
            format!("{tens}\u{a0}{unit}")
        }
    })
}

/// Largest of 1, 2, 5 × 10ⁿ steps that is at least `rough`.
pub(crate) fn nice_step(rough: f64) -> f64 {
    if !(rough > 0.0 && rough.is_finite()) {
        return 1.0;
    }
    let power = 10f64.powi(rough.log10().floor() as i32);
    let ratio = rough / power;
    let factor = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|f| ratio <= f * 1.000_001);
    factor.unwrap_or(10.0) * power
}

/// Ticks of a value axis over `low` … `high` in `unit`: at most `most` of them.
pub(crate) fn value_axis(low: f64, high: f64, unit: &str, most: usize) -> ValueAxis {
    let mut step = nice_step((high - low) / most as f64);
    let count = |step: f64| (high / step).floor() - (low / step).ceil() + 1.0;
    while count(step) > most as f64 {
        step = nice_step(step * 1.5);
    }
    let magnitude = low.abs().max(high.abs());
    let offset = if magnitude / step > MOST_LABEL_DIGITS {
        offset_of(low, high, step)
    } else {
        0.0
    };
    let reach = (low - offset).abs().max((high - offset).abs());
    let power = thousands(reach, step);
    let factor = 10f64.powi(-power);
    let decimals = (-(step * factor).log10().floor()).max(0.0) as usize;
    let first = ((low - offset) / step).ceil() as i64;
    let last = ((high - offset) / step).floor() as i64;
    let ticks = (first..=last.min(first + most as i64))
        .map(|i| {
            let relative = i as f64 * step;
            let sign = if offset != 0.0 && relative > 0.0 {
                "+"
            } else {
                ""
            };
            Tick {
                at: offset + relative,
                label: format!("{sign}{}", fixed(relative * factor, decimals)),
            }
        })
        .collect();
    let shown = scaled_unit(unit, power);
    let caption = match (offset != 0.0, unit.is_empty()) {
        (false, _) => shown.clone(),
        (true, true) if power == 0 => format!("{} + …", offset_text(offset)),
        (true, true) => format!("{} + … × {shown}", offset_text(offset)),
        (true, false) => format!("{}\u{a0}{unit} + … {shown}", offset_text(offset)),
    };
    ValueAxis {
        ticks,
        caption,
        offset,
        power,
        unit: shown,
        decimals,
    }
}

/// The roundest value near the range against which labels need at most three digits.
fn offset_of(low: f64, high: f64, step: f64) -> f64 {
    let middle = 0.5 * (low + high);
    let finest = (high - low).log10().ceil() as i32;
    let coarsest = exponent(middle).max(finest);
    let round = |power: i32| {
        // Dividing by a whole power keeps decimal offsets such as 99.9999 exact to the last bit.
        let unit = 10f64.powi(power.abs());
        if power >= 0 {
            (middle / unit).round() * unit
        } else {
            (middle * unit).round() / unit
        }
    };
    let plain = |offset: f64| (low - offset).abs().max((high - offset).abs()) < 1000.0 * step;
    (finest..=coarsest)
        .rev()
        .map(round)
        .find(|offset| plain(*offset))
        .unwrap_or(round(finest))
}

fn offset_text(offset: f64) -> String {
    let plain = format!("{offset}");
    let decimals = plain
        .split_once('.')
        .map_or(0, |(_, fraction)| fraction.len());
    fixed(offset, decimals)
}

/// Power of a thousand that brings labels between 0.1 and 100 000; 0 where they have at most four decimals already:
/// what stands beside a picture is in the unit of the records.
fn thousands(reach: f64, step: f64) -> i32 {
    let readable = reach < 100_000.0 && step >= 0.000_099;
    if readable || reach == 0.0 || !reach.is_finite() {
        return 0;
    }
    (reach.log10().floor() as i32).div_euclid(3) * 3
}

/// Values beyond this cannot be subtracted safely; they go to the broken edge.
pub(super) const LARGEST: f64 = 1e150;

/// A growing range that ignores what is not finite.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Range(pub f64, pub f64);

impl Range {
    pub(crate) const EMPTY: Range = Range(f64::INFINITY, f64::NEG_INFINITY);

    /// Grows to hold `value`.
    pub(crate) fn add(&mut self, value: f64) {
        if value.is_finite() && value.abs() < LARGEST {
            self.0 = self.0.min(value);
            self.1 = self.1.max(value);
        }
    }

    /// Width; zero where empty.
    pub(crate) fn span(self) -> f64 {
        (self.1 - self.0).max(0.0)
    }

    /// Both ends with a share of the span as room beyond each, or with `alone` where there is no span.
    pub(crate) fn with_room(self, share: f64, alone: f64) -> (f64, f64) {
        let room = match self.span() > 0.0 {
            true => share * self.span(),
            false => alone,
        };
        (self.0 - room, self.1 + room)
    }

    /// True where nothing was added.
    pub(crate) fn is_empty(self) -> bool {
        self.0 > self.1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_spread_on_a_large_value_is_written_against_an_offset() {
        let axis = value_axis(100.000_010, 100.000_016, "Ω", 7);
        assert!(
            axis.caption.starts_with("100 Ω") || axis.caption.starts_with("100\u{a0}Ω"),
            "{}",
            axis.caption
        );
        assert!(axis.caption.ends_with("µΩ"), "{}", axis.caption);
        assert!(axis.ticks.len() <= 7 && axis.ticks.len() >= 3);
    }

    #[test]
    fn at_most_seven_ticks_whatever_the_range() {
        for power in -300..300 {
            for (a, b) in [(-1.0, 1.0), (0.0, 0.97), (3.0, 3.1), (-7.3, 12.9)] {
                let scale = 10f64.powi(power);
                let axis = value_axis(a * scale, b * scale, "K", 7);
                assert!(
                    (2..=7).contains(&axis.ticks.len()),
                    "{power} {a} {b}: {axis:?}"
                );
            }
        }
    }

    #[test]
    fn words_follow_the_axis_notation() {
        assert_eq!(value_axis(-12.0, 12.0, "mK", 7).words(12.0), "+12\u{a0}mK");
        let axis = value_axis(99.999_99, 100.000_03, "Ω", 7);
        assert_eq!(axis.words(100.000_03), "+30\u{a0}µΩ");
        let tiny = value_axis(-5e-11, 5e-11, "°C", 7);
        assert_eq!(tiny.words(4.8e-11), "+48 ×\u{a0}10⁻¹²\u{a0}°C");
    }

    #[test]
    fn prefixes_only_where_a_unit_takes_them() {
        assert_eq!(scaled_unit("mK", -3), "µK");
        assert_eq!(scaled_unit("°C", -3), "10⁻³\u{a0}°C");
        assert_eq!(scaled_unit("Ω", -6), "µΩ");
        // Twentieths of a kelvin are read in kelvins, thousand-millionths of a volt in nanovolts.
        assert_eq!(value_axis(-0.02, 0.07, "K", 7).caption, "K");
        let small = value_axis(-1e-9, 1e-9, "V", 7);
        let (times, unit) = small.unit_beside("V");
        assert!(
            (times * 1e-9 - 1.0).abs() < 1e-12 && unit == "nV",
            "{times} {unit}"
        );
        let huge = value_axis(-1e16, 1e16, "V", 7);
        assert_eq!(huge.unit_beside("V"), (1.0, "V"));
    }
}
