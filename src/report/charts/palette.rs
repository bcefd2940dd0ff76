/*! The report's colours: a role, its ink on white and on dark ground. */

use plotters::style::RGBColor;

/// Role of a mark; shape or line style always says it too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Readings and bands.
    Reading,
    /// Fit and text.
    Text,
    /// Tolerance limits.
    Limit,
    /// Due date and proposals.
    Plan,
    /// Grid, events, the interval in use.
    Grid,
    /// Out of tolerance; needs a person.
    Alarm,
    /// The ground, for hollow marks.
    Ground,
}

/// All roles with their colours: (ink, light, dark), as 0xRRGGBB. Each is at least
/// 4.5 : 1 against its ground (WCAG 2.2, 1.4.3).
pub const INKS: [(Ink, u32, u32); 7] = [
    (Ink::Reading, 0x0b6e6e, 0x4fc3c0),
    (Ink::Text, 0x1f2933, 0xe6edf3),
    (Ink::Limit, 0xb4491a, 0xf0934e),
    (Ink::Plan, 0x6b3fa0, 0xb79cf0),
    (Ink::Grid, 0x6b7785, 0x8b98a5),
    (Ink::Alarm, 0xa8123e, 0xff7d9c),
    (Ink::Ground, 0xffffff, 0x12181f),
];

impl Ink {
    /// The colour on white ground.
    pub fn light(self) -> RGBColor {
        let code = INKS[self as usize].1;
        RGBColor((code >> 16) as u8, (code >> 8) as u8, code as u8)
    }
}

/// Rules that turn the light inks into the dark ones: once in each SVG, once in a page.
pub fn dark_rules() -> String {
    let mut rules = String::new();
    for (_, light, dark) in INKS {
        rules.push_str(&format!(
            "[fill=\"#{light:06X}\"]{{fill:#{dark:06x}}}[stroke=\"#{light:06X}\"]{{stroke:#{dark:06x}}}"
        ));
    }
    rules
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as WCAG 2.2 defines them.
    fn contrast(a: u32, b: u32) -> f64 {
        let luminance = |code: u32| {
            let channel = |shift: u32| {
                let c = f64::from((code >> shift) & 0xff) / 255.0;
                if c <= 0.04045 {
                    c / 12.92
                } else {
                    ((c + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * channel(16) + 0.7152 * channel(8) + 0.0722 * channel(0)
        };
        let (x, y) = (luminance(a) + 0.05, luminance(b) + 0.05);
        x.max(y) / x.min(y)
    }

    #[test]
    fn every_ink_is_legible_on_its_ground() {
        for (ink, light, dark) in &INKS[..6] {
            assert!(contrast(*light, 0xffffff) >= 4.5, "{ink:?} on white");
            assert!(contrast(*dark, 0x12181f) >= 4.5, "{ink:?} on dark");
        }
    }

    #[test]
    fn the_table_is_in_the_order_of_the_roles() {
        for (i, (ink, ..)) in INKS.iter().enumerate() {
            assert_eq!(*ink as usize, i);
        }
    }
}
