/*! Units as Russian writes them, with the symbol that each is: a header in МПа beside limits in кПа are a thousand apart. */

/// Symbols of GOST 8.417 beside those of the SI, from memory.
const SYMBOLS: [(&str, &str); 42] = [
    ("Па", "Pa"),
    ("гПа", "hPa"),
    ("кПа", "kPa"),
    ("МПа", "MPa"),
    ("бар", "bar"),
    ("мбар", "mbar"),
    ("В", "V"),
    ("мВ", "mV"),
    ("мкВ", "µV"),
    ("кВ", "kV"),
    ("А", "A"),
    ("мА", "mA"),
    ("мкА", "µA"),
    ("Ом", "Ω"),
    ("мОм", "mΩ"),
    ("кОм", "kΩ"),
    ("МОм", "MΩ"),
    ("м", "m"),
    ("см", "cm"),
    ("мм", "mm"),
    ("мкм", "µm"),
    ("нм", "nm"),
    ("г", "g"),
    ("мг", "mg"),
    ("мкг", "µg"),
    ("кг", "kg"),
    ("Гц", "Hz"),
    ("кГц", "kHz"),
    ("МГц", "MHz"),
    ("ГГц", "GHz"),
    ("Н", "N"),
    ("кН", "kN"),
    ("Н·м", "N·m"),
    ("Дж", "J"),
    ("Вт", "W"),
    ("мВт", "mW"),
    ("кВт", "kW"),
    ("с", "s"),
    ("мс", "ms"),
    ("мкс", "µs"),
    ("дБ", "dB"),
    ("К", "K"),
];

/// The symbol of a unit in Cyrillic letters; `None` for any other text.
pub(super) fn in_latin(text: &str) -> Option<&'static str> {
    let cyrillic = |c: char| ('\u{400}'..='\u{4ff}').contains(&c);
    if !text.starts_with(cyrillic) {
        return None;
    }
    let found = SYMBOLS.iter().find(|(own, _)| *own == text);
    found.map(|(_, latin)| *latin)
}

#[cfg(test)]
mod tests {
    use super::super::{Unit, same_unit};
    use super::*;

    #[test]
    fn units_in_cyrillic_are_those_of_the_si() {
        for (own, latin) in SYMBOLS {
            assert_eq!(Unit::parse(own), Unit::parse(latin), "{own}");
            assert!(
                same_unit(own, latin) && Unit::parse(latin).is_some(),
                "{own}"
            );
        }
        assert!(!same_unit("кПа", "MPa") && Unit::parse("Показание").is_none());
    }
}
