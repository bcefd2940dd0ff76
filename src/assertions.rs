/*! What tests ask: that a text says some words or leaves them unsaid, that a number lies near another. A failure
shows what was asked of what. */

/// Every one of the words stands in the text.
macro_rules! says {
    ($text:expr, $($words:expr),+ $(,)?) => {
        $crate::assertions::hold(true, AsRef::as_ref(&$text), &[$(AsRef::as_ref(&$words)),+])
    };
}

/// None of the words stands in the text.
macro_rules! says_not {
    ($text:expr, $($words:expr),+ $(,)?) => {
        $crate::assertions::hold(false, AsRef::as_ref(&$text), &[$(AsRef::as_ref(&$words)),+])
    };
}

/// The number found is less than `within` away from the one expected; words about the case may follow.
macro_rules! near {
    ($found:expr, $expected:expr, $within:expr $(, $about:literal $($more:tt)*)?) => {{
        let (found, expected, within): (f64, f64, f64) = ($found, $expected, $within);
        let about = String::new() $(+ &format!($about $($more)*))?;
        assert!(
            (found - expected).abs() < within,
            "{found:e}, expected {expected:e} within {within:e} {about}"
        );
    }};
}

#[track_caller]
pub(crate) fn hold(wanted: bool, text: &str, words: &[&str]) {
    for words in words {
        let unlike = if wanted { "not said" } else { "said" };
        assert_eq!(text.contains(words), wanted, "{unlike}: {words}\n{text}");
    }
}
