/*! What tests ask of a text: that it says some words, or leaves them unsaid. A failure shows words and text. */

/// Every one of the words stands in the text.
macro_rules! says {
    ($text:expr, $($words:expr),+ $(,)?) => {
        $crate::says::hold(true, AsRef::as_ref(&$text), &[$(AsRef::as_ref(&$words)),+])
    };
}

/// None of the words stands in the text.
macro_rules! says_not {
    ($text:expr, $($words:expr),+ $(,)?) => {
        $crate::says::hold(false, AsRef::as_ref(&$text), &[$(AsRef::as_ref(&$words)),+])
    };
}

#[track_caller]
pub(crate) fn hold(wanted: bool, text: &str, words: &[&str]) {
    for words in words {
        let unlike = if wanted { "not said" } else { "said" };
        assert_eq!(text.contains(words), wanted, "{unlike}: {words}\n{text}");
    }
}
