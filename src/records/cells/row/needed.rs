/*! Rows that a question about one instrument needs: those of its own group.

A verdict rests on the instrument's history and on what its group lends. The other rows
of a text table are blanked before they are parsed: their line ends stay, so that row
numbers hold. A row whose instrument cannot be told is kept, so that it is judged.
*/

use std::borrow::Cow;
use std::collections::HashSet;

/// The instruments whose rows are read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Needed {
    names: HashSet<String>,
    trim: bool,
}

impl Needed {
    /// Rows of the instruments `names`; `trim` where blanks at the ends do not count.
    pub(crate) fn new(names: HashSet<String>, trim: bool) -> Self {
        Self { names, trim }
    }

    /// True where a row with this text as instrument is read.
    pub(crate) fn includes(&self, name: &str) -> bool {
        self.names
            .contains(if self.trim { name.trim() } else { name })
    }

    /// `body` with the other rows blanked; `place` is the column of the instrument.
    ///
    /// A body with quotation marks comes back as it is: a line of it may be half a row.
    pub(crate) fn rows_of<'a>(&self, body: &'a str, delimiter: u8, place: usize) -> Cow<'a, str> {
        if memchr::memchr(b'"', body.as_bytes()).is_some() {
            return Cow::Borrowed(body);
        }
        let mut kept = String::with_capacity(body.len() / 8);
        let mut start = 0;
        // Neighbouring rows mostly belong to one instrument.
        let mut last = ("", true);
        for end in memchr::memchr2_iter(b'\n', b'\r', body.as_bytes()).chain([body.len()]) {
            let line = &body[start..end];
            if line.is_empty() {
                kept.push_str(body.get(end..end + 1).unwrap_or_default());
                start = end + 1;
                continue;
            }
            if let Some(name) = field(line, delimiter, place)
                && name != last.0
            {
                last = (name, self.includes(name));
            }
            if last.1 || field(line, delimiter, place).is_none() {
                kept.push_str(line);
            }
            if let Some(line_end) = body.get(end..end + 1) {
                kept.push_str(line_end);
            }
            start = end + 1;
        }
        Cow::Owned(kept)
    }
}

/// The field at `place` of a line without quotation marks.
fn field(line: &str, delimiter: u8, place: usize) -> Option<&str> {
    let mut start = 0;
    for _ in 0..place {
        start += memchr::memchr(delimiter, &line.as_bytes()[start..])? + 1;
    }
    let rest = &line[start..];
    let end = memchr::memchr(delimiter, rest.as_bytes())?;
    Some(&rest[..end])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn needed(names: &[&str]) -> Needed {
        Needed {
            names: names.iter().map(|n| n.to_string()).collect(),
            trim: false,
        }
    }

    #[test]
    fn other_rows_are_blanked_and_line_ends_stay() {
        let body = "A,1\nB,2\r\nA,3\n\nshort\nC,4";
        assert_eq!(
            needed(&["A"]).rows_of(body, b',', 0),
            "A,1\n\r\nA,3\n\nshort\n"
        );
        assert_eq!(
            needed(&["B"]).rows_of("x;A;1\ny;B;2\n", b';', 1),
            "\ny;B;2\n"
        );
    }

    #[test]
    fn quoted_bodies_come_back_whole() {
        let body = "\"A\n\",1\nB,2\n";
        assert_eq!(needed(&["B"]).rows_of(body, b',', 0), body);
    }

    #[test]
    fn blanks_at_the_ends_count_as_the_setting_says() {
        let mut needed = needed(&["A"]);
        assert!(!needed.includes(" A"));
        needed.trim = true;
        assert!(needed.includes(" A "));
    }
}
