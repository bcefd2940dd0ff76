/*! The known word that is nearest to an unknown one. */

/// How alike two names are that may be one, by Jaro and Winkler: one letter in five differs.
const NEAR: f64 = 0.8;

/// The candidate nearest to `word`, where one is near at all.
pub(crate) fn nearest<'a>(
    word: &str,
    candidates: impl Iterator<Item = &'a str>,
) -> Option<&'a str> {
    let folded = fold(word);
    let bare = |text: &str| {
        text.chars()
            .filter(|c| c.is_alphanumeric())
            .collect::<String>()
    };
    // "G7" is "G-7" with the sign left out.
    let alike = |other: &str| match bare(&folded) == bare(other) {
        true => 1.0,
        false => strsim::jaro_winkler(&folded, other),
    };
    candidates
        .map(|c| (alike(&fold(c)), c))
        .filter(|(similarity, _)| *similarity > NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}

fn fold(word: &str) -> String {
    word.trim().to_lowercase()
}
