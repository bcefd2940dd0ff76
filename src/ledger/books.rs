/*! Books that no longer hold what an earlier run read: what was cut off at their end.

A book is only ever appended to, so that whatever an earlier run read is the beginning of what it
holds today. Its own chain of hashes cannot show that its last lines are gone; the ledger can.
*/

use super::before::Before;
use crate::records::Warning;
use crate::records::reading::files;
use crate::records::reading::plain_file::{self, LARGEST_MB};
use crate::records::reading::source::hexadecimal;
use crate::settings::plan::Plan;
use sha2::{Digest, Sha256};
use std::collections::HashSet;
use std::path::Path;

/// What is to be said of books that stood otherwise when an earlier run of the pipeline read them.
pub(crate) fn cut_off(plan: &Plan, before: &Before) -> Vec<Warning> {
    // The demo's own book changes with the version that ships it.
    if plan.demo.is_some() {
        return Vec::new();
    }
    let books = plan.books().into_iter();
    books
        .filter_map(|path| of_book(plan, before, &path))
        .collect()
}

fn of_book(plan: &Plan, before: &Before, path: &Path) -> Option<Warning> {
    let shown = files::shown(path, &plan.base);
    let mut read = before
        .own_runs()
        .filter_map(|run| Some((run, run.inputs.get(&shown)?)));
    let first = read.next()?;
    // A book that cannot be read stops the run where it is read for its lines.
    let text = match plain_file::read(path, LARGEST_MB) {
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => Vec::new(),
        other => other.ok()?,
    };
    let beginnings = beginnings(&text);
    let mut all = std::iter::once(first).chain(read);
    let (run, _) = all.find(|(_, sha256)| !beginnings.contains(sha256.as_str()))?;
    let words = format!(
        "lines that the run as of {} read are gone from its end, or read otherwise now: what they put in force, turned down \
         or closed does not count, and a last line that was changed counts as it reads now. Put them back from a copy (run.json of that run holds the SHA-256 of the whole book); \
         a book that is begun anew needs a name of its own",
        run.as_of
    );
    Some(Warning::new(shown, words))
}

/// SHA-256 of every beginning of the book that ends with a line, with the line's end and without; with
/// the ends of lines, and the mark before the first, as any editor may have left them.
fn beginnings(text: &[u8]) -> HashSet<String> {
    const MARK: &[u8] = b"\xEF\xBB\xBF";
    let lines = text.strip_prefix(MARK).unwrap_or(text);
    let mut all = HashSet::new();
    for mark in [&b""[..], MARK] {
        for end in [&b"\n"[..], b"\r\n"] {
            let mut digest = Sha256::new_with_prefix(mark);
            for line in lines.split_inclusive(|byte| *byte == b'\n') {
                let line = line.strip_suffix(b"\n").unwrap_or(line);
                digest.update(line.strip_suffix(b"\r").unwrap_or(line));
                all.insert(hexadecimal(&digest.clone().finalize()));
                digest.update(end);
                all.insert(hexadecimal(&digest.clone().finalize()));
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::reading::source::sha256;

    #[test]
    fn what_was_read_is_a_beginning_whatever_ends_the_lines() {
        let now = beginnings(b"a\nb\nc\n");
        for then in [
            "a\nb\n",
            "a\nb",
            "a\r\nb\r\n",
            "\u{feff}a\r\nb\r\nc",
            "a\nb\nc\n",
        ] {
            assert!(now.contains(&sha256(then.as_bytes())), "{then:?}");
            assert!(beginnings(then.as_bytes()).contains(&sha256(b"a\nb\n")));
        }
        for then in ["a\nb\nc\nd\n", "a\nx\n", "b\n"] {
            assert!(!now.contains(&sha256(then.as_bytes())), "{then:?}");
        }
    }
}
