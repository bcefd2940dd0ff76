/*! What a picture of a fleet or a group shows, in words for those who do not see it: its values, after what it is. */

use crate::words::and_others;

/// Values told of one picture: more are not listened to, and the table beside it has all of them.
const MOST_TOLD: usize = 24;

/// What the picture is, and its values.
pub(super) fn told(what: &str, values: impl Iterator<Item = String>) -> String {
    let values: Vec<String> = values.collect();
    let shown = &values[..values.len().min(MOST_TOLD)];
    match shown.is_empty() {
        true => what.to_string(),
        false => format!(
            "{what}. {}{}",
            shown.join("; "),
            and_others(values.len() - shown.len())
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::told;

    #[test]
    fn values_follow_what_the_picture_is() {
        let values = |number: usize| (0..number).map(|value| format!("v{value}"));
        assert_eq!(told("by month", values(0)), "by month");
        assert_eq!(told("by month", values(2)), "by month. v0; v1");
        assert!(told("by month", values(30)).ends_with("; v23 and 6 more"));
    }
}
