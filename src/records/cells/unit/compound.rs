/*! Units made of others: products, ratios and powers, such as N·m, L/min, kg/m³ and mW/(m·K).

Each becomes the powers of the plain units that it is made of, and a power of ten; two that
have the same powers measure the same. Symbols and prefixes: the SI brochure (9th edition), 2.3,
4 and 5; 1 L = 10^-3 m³. */

/// Plain units, each with the prefixes that are written before it: "*" for all, "" for none.
const PLAIN: [(&str, &str); 30] = [
    ("K", "*"),
    ("Ω", "*"),
    ("g", "*"),
    ("m", "*"),
    ("s", "*"),
    ("V", "*"),
    ("A", "*"),
    ("W", "*"),
    ("J", "*"),
    ("N", "*"),
    ("F", "*"),
    ("H", "*"),
    ("Hz", "*"),
    ("Pa", "*"),
    ("S", "mµunk"),
    ("T", "mµun"),
    ("lx", "mk"),
    ("lm", "k"),
    ("cd", "mk"),
    ("Bq", "kMG"),
    ("Gy", "mµukc"),
    ("Sv", "mµun"),
    ("mol", "mµun"),
    ("eV", "kMGm"),
    ("rad", "mµu"),
    ("C", "pn"),
    ("dB", ""),
    ("var", "kM"),
    ("min", ""),
    ("h", ""),
];

/// Other units: the plain one, its power, the power of ten, and the prefixes.
const OTHERS: [(&str, &str, i8, i32, &str); 8] = [
    ("°C", "K", 1, 0, "m"),
    ("bar", "Pa", 1, 5, "mµukh"),
    ("L", "m", 3, -3, "mµucdhn"),
    ("l", "m", 3, -3, "mµucdhn"),
    ("t", "g", 1, 6, ""),
    ("%", "", 0, -2, ""),
    ("ppm", "", 0, -6, ""),
    ("ppb", "", 0, -9, ""),
];

/// Products that are written without a sign, each with what it is made of.
const GLUED: [(&str, &str); 10] = [
    ("Nm", "N·m"),
    ("Ncm", "N·cm"),
    ("Nmm", "N·mm"),
    ("Pas", "Pa·s"),
    ("Ws", "W·s"),
    ("Wh", "W·h"),
    ("Ah", "A·h"),
    ("VA", "V·A"),
    ("N.m", "N·m"),
    ("Pa.s", "Pa·s"),
];

/// Words that mean something else alone: degrees, a smallest value, a side.
const NOT_ALONE: [&str; 8] = ["C", "min", "h", "var", "l", "S", "T", "t"];

/// The powers of the plain units, in their order.
pub(crate) type Powers = [i8; PLAIN.len()];

/// A unit that is made of plain ones: their powers, and 10^`power` of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Compound {
    pub powers: Powers,
    pub power: i32,
}

impl Compound {
    const ONE: Compound = Compound {
        powers: [0; PLAIN.len()],
        power: 0,
    };

    /// The unit that a text names, in the spelling that is compared; `None` where it names none.
    pub(crate) fn parse(text: &str, prefixes: &[(&str, i32)]) -> Option<Compound> {
        // N/A and the like: two capital letters are mostly an abbreviation.
        let lone = |part: &str| part.len() == 1 && part.bytes().all(|b| b.is_ascii_uppercase());
        let (over, under) = match text.split_once('/') {
            Some((over, under)) if lone(over) && lone(under) => return None,
            Some((over, under)) => (over.trim(), under.trim()),
            None if NOT_ALONE.contains(&text) => return None,
            None => (text, ""),
        };
        let inside = under
            .strip_prefix('(')
            .and_then(|rest| rest.strip_suffix(')'));
        let under = inside.unwrap_or(under);
        if text.contains('/') && under.is_empty() {
            return None;
        }
        let over = match over {
            "1" if !under.is_empty() => Compound::ONE,
            over => product(over, prefixes)?,
        };
        match under {
            "" => Some(over),
            under if under.contains('/') => over.times(Compound::parse(under, prefixes)?, -1),
            under => over.times(product(under, prefixes)?, -1),
        }
    }

    /// True where it is a part of a whole.
    pub(crate) fn is_part(self) -> bool {
        self.powers == Compound::ONE.powers
    }

    fn times(self, other: Compound, exponent: i8) -> Option<Compound> {
        let mut powers = self.powers;
        for (own, other) in powers.iter_mut().zip(other.powers) {
            *own = own.checked_add(other.checked_mul(exponent)?)?;
        }
        let power = self.power + other.power * i32::from(exponent);
        Some(Compound { powers, power })
    }
}

/// Units beside each other.
fn product(text: &str, prefixes: &[(&str, i32)]) -> Option<Compound> {
    let mut factors = text.split(['·', '⋅', '*', '×', ' ']);
    factors.try_fold(Compound::ONE, |all, factor| {
        all.times(raised(factor, prefixes)?, 1)
    })
}

/// A unit with its exponent.
fn raised(text: &str, prefixes: &[(&str, i32)]) -> Option<Compound> {
    const EXPONENTS: [(&str, i8); 11] = [
        ("⁻¹", -1),
        ("^-1", -1),
        ("-1", -1),
        ("⁻²", -2),
        ("^-2", -2),
        ("-2", -2),
        ("²", 2),
        ("^2", 2),
        ("³", 3),
        ("^3", 3),
        ("", 1),
    ];
    if let Some(known) = one(text, prefixes) {
        return Some(known);
    }
    let signed = EXPONENTS
        .iter()
        .find_map(|(sign, exponent)| Some((text.strip_suffix(sign)?, *exponent)));
    let (base, exponent) = signed
        .filter(|(base, _)| base.len() < text.len())
        .or_else(|| {
            // "m3" alone may be a label; "cm3" is none.
            let exponent = match text.as_bytes().last()? {
                b'2' => 2,
                b'3' => 3,
                _ => return None,
            };
            let base = &text[..text.len() - 1];
            (base.len() > 1 && base.ends_with('m')).then_some((base, exponent))
        })?;
    Compound::ONE.times(one(base, prefixes)?, exponent)
}

/// One unit with its prefix.
fn one(text: &str, prefixes: &[(&str, i32)]) -> Option<Compound> {
    let plain = |symbol: &str| PLAIN.iter().position(|(known, _)| *known == symbol);
    let of = |symbol: &str, exponent: i8, power: i32| {
        let mut powers = Compound::ONE.powers;
        if let Some(place) = plain(symbol) {
            powers[place] = exponent;
        }
        Compound { powers, power }
    };
    let known = |text: &str, prefix: &str, more: i32| {
        let takes = |all: &str| prefix.is_empty() || all == "*" || all.contains(prefix);
        let own = PLAIN
            .iter()
            .find(|(symbol, all)| *symbol == text && takes(all));
        let own = own.map(|(symbol, _)| of(symbol, 1, more));
        own.or_else(|| {
            let found = OTHERS
                .iter()
                .find(|(symbol, .., all)| *symbol == text && takes(all));
            found.map(|(_, plain, exponent, power, _)| of(plain, *exponent, power + more))
        })
    };
    let glued = |text: &str, more: i32| {
        let (_, whole) = GLUED.iter().find(|(glued, _)| *glued == text)?;
        let whole = product(whole, prefixes)?;
        Some(Compound {
            power: whole.power + more,
            ..whole
        })
    };
    known(text, "", 0).or_else(|| glued(text, 0)).or_else(|| {
        prefixes.iter().find_map(|&(prefix, power)| {
            let rest = text.strip_prefix(prefix)?;
            known(rest, prefix, power).or_else(|| glued(rest, power))
        })
    })
}
