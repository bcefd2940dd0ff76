/*! One cell that names several instruments: `PRT-1 / PRT-2`. */

/// What stands between names in one cell, as whole words or signs.
const BETWEEN: [&str; 12] = [
    "/", ",", ";", "+", "&", "\n", " and ", " und ", " et ", " y ", " e ", " en ",
];

/// True where a name may be several in one cell.
pub(crate) fn may_be_several(name: &str) -> bool {
    BETWEEN.iter().any(|between| name.contains(between))
}

/// The names in one cell, where one of them is `known` by itself and the others are known too or written in its form;
/// `None` where the name is one.
pub(crate) fn several_names(name: &str, known: impl Fn(&str) -> bool) -> Option<Vec<&str>> {
    let mut parts = vec![name];
    for between in BETWEEN {
        parts = parts
            .into_iter()
            .flat_map(|part| part.split(between))
            .collect();
    }
    let parts: Vec<&str> = parts.into_iter().map(str::trim).collect();
    let first = parts.iter().find(|part| known(part))?;
    let alike = |part: &&str| known(part) || form(part) == form(first);
    (parts.len() > 1 && parts.iter().all(alike)).then_some(parts)
}

/// A name with one sign for its letters and one for its digits: `PRT-012` is `a-0`.
fn form(name: &str) -> String {
    let mut form = String::new();
    for c in name.chars() {
        let sign = match c {
            c if c.is_ascii_digit() => '0',
            c if c.is_alphabetic() => 'a',
            other => other,
        };
        if !form.ends_with(sign) {
            form.push(sign);
        }
    }
    form
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_names_in_one_cell_are_told_apart() {
        let known = |name: &str| ["PRT-1", "PRT-2", "12"].contains(&name);
        for (name, parts) in [
            ("PRT-1 / PRT-2", vec!["PRT-1", "PRT-2"]),
            ("PRT-1, PRT-14", vec!["PRT-1", "PRT-14"]),
            ("PRT-3 und PRT-2", vec!["PRT-3", "PRT-2"]),
            ("12;14", vec!["12", "14"]),
        ] {
            assert_eq!(several_names(name, known), Some(parts), "{name}");
        }
        // A channel, a serial number behind a slash, and names of which none is known alone.
        for name in ["PRT-1/A", "PRT-1", "B-7 / B-8", "PRT-1, spare", ""] {
            assert_eq!(several_names(name, known), None, "{name}");
        }
    }
}
