/*! The report's colours: a role, its ink on white and on dark ground. */

use plotters::style::RGBColor;

/// Role of a mark; shape or line style always says it too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Ink {
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
pub(crate) const INKS: [(Ink, u32, u32); 7] = [
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
    pub(crate) fn light(self) -> RGBColor {
        let code = INKS[self as usize].1;
        RGBColor((code >> 16) as u8, (code >> 8) as u8, code as u8)
    }
}

/// Rules that turn the light inks into the dark ones: once in each SVG, once in a page.
pub(crate) fn dark_rules() -> String {
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

    /// Red, green and blue of a colour of sRGB, each in proportion to the light.
    fn linear(code: u32) -> [f64; 3] {
        [16, 8, 0].map(|shift: u32| {
            let c = f64::from((code >> shift) & 0xff) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        })
    }

    /// Relative luminance and contrast as WCAG 2.2 defines them.
    fn contrast(a: u32, b: u32) -> f64 {
        let luminance = |code: u32| {
            let [red, green, blue] = linear(code);
            0.2126 * red + 0.7152 * green + 0.0722 * blue
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

    /// A colour as seen with a deficiency of full severity, in CIE L*a*b* (D65): Machado, Oliveira, Fernandes,
    /// "A physiologically-based model for simulation of color vision deficiency", IEEE TVCG 15 (2009) 1291, table of
    /// severity 1.0 (digits from memory; each row adds up to one, as the paper has it).
    fn seen(code: u32, matrix: [[f64; 3]; 3]) -> [f64; 3] {
        let linear = linear(code);
        let dot = |row: [f64; 3], of: [f64; 3]| row[0] * of[0] + row[1] * of[1] + row[2] * of[2];
        let rgb = matrix.map(|row| dot(row, linear).clamp(0.0, 1.0));
        let f = |t: f64| match t > 216.0 / 24_389.0 {
            true => t.cbrt(),
            false => (24_389.0 / 27.0 * t + 16.0) / 116.0,
        };
        let x = f(dot([0.4124, 0.3576, 0.1805], rgb) / 0.9505);
        let y = f(dot([0.2126, 0.7152, 0.0722], rgb));
        let z = f(dot([0.0193, 0.1192, 0.9505], rgb) / 1.089);
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    /// Pairs that some deficiency brings near each other, and what tells their marks apart.
    const BY_SHAPE: [(Ink, Ink, &str); 7] = [
        (
            Ink::Reading,
            Ink::Grid,
            "dot or band against hairline or bracket",
        ),
        (Ink::Reading, Ink::Alarm, "dot against triangle"),
        (Ink::Reading, Ink::Text, "dot or tint against solid line"),
        (Ink::Text, Ink::Alarm, "solid line or dot against triangle"),
        (Ink::Limit, Ink::Alarm, "long dashes against triangle"),
        (Ink::Grid, Ink::Alarm, "hairline against triangle"),
        (
            Ink::Plan,
            Ink::Grid,
            "diamond against hairline, each bracket with its words",
        ),
    ];

    #[test]
    fn inks_stay_apart_for_every_deficiency_or_differ_by_shape() {
        // Twice ten units of L*a*b*: far beyond what is seen as one colour side by side (about 2.3).
        const APART: f64 = 20.0;
        let deficiencies = [
            [
                [0.152286, 1.052583, -0.204868],
                [0.114503, 0.786281, 0.099216],
                [-0.003882, -0.048116, 1.051998],
            ],
            [
                [0.367322, 0.860646, -0.227968],
                [0.280085, 0.672501, 0.047413],
                [-0.011820, 0.042940, 0.968881],
            ],
            [
                [1.255528, -0.076749, -0.178779],
                [-0.078411, 0.930809, 0.147602],
                [0.004733, 0.691367, 0.303900],
            ],
        ];
        for matrix in deficiencies {
            for row in matrix {
                assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-5);
            }
            for (i, a) in INKS[..6].iter().enumerate() {
                for b in &INKS[i + 1..6] {
                    for (one, other) in [(a.1, b.1), (a.2, b.2)] {
                        let (p, q) = (seen(one, matrix), seen(other, matrix));
                        let far = (0..3).map(|k| (p[k] - q[k]).powi(2)).sum::<f64>().sqrt();
                        let shaped = BY_SHAPE.iter().any(|(x, y, _)| (*x, *y) == (a.0, b.0));
                        assert!(far >= APART || shaped, "{:?} and {:?}: {far:.1}", a.0, b.0);
                    }
                }
            }
        }
    }

    #[test]
    fn words_on_tinted_ground_are_legible() {
        // The strongest tint that words stand on: a full cell of counts.
        const TINT: f64 = 0.42;
        let mixed = |ink: u32, ground: u32| {
            [16, 8, 0].iter().fold(0, |code, shift: &u32| {
                let part = |code: u32| f64::from((code >> shift) & 0xff);
                code << 8 | (TINT * part(ink) + (1.0 - TINT) * part(ground)).round() as u32
            })
        };
        for (ink, light, dark) in &INKS[..6] {
            let (on_light, on_dark) = (mixed(*light, 0xffffff), mixed(*dark, 0x12181f));
            if matches!(ink, Ink::Reading | Ink::Plan | Ink::Grid | Ink::Alarm) {
                assert!(
                    contrast(INKS[1].1, on_light) >= 4.5,
                    "text on {ink:?}, light"
                );
                assert!(contrast(INKS[1].2, on_dark) >= 4.5, "text on {ink:?}, dark");
            }
        }
    }
}
