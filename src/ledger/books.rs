/*! Books that no longer hold what an earlier run read: what was cut off at their end.

A book is only ever appended to, so that whatever an earlier run read is the beginning of what it
holds today. Its own chain of hashes cannot show that its last lines are gone; the ledger can.
*/

use super::before::Before;
use crate::records::Warning;
use crate::records::reading::files;
use crate::records::reading::plain_file::{self, LARGEST_MB};
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
        "lines that the run as of {} read are gone from its end, or were changed: what they put in force, turned down \
         or closed does not count now. Put them back from a copy (run.json of that run holds the SHA-256 of the whole book); \
         a book that is begun anew needs a name of its own",
        run.as_of
    );
    Some(Warning::new(shown, words))
}

/// SHA-256 of every beginning of the book that ends with a line, with the line's end and without.
fn beginnings(text: &[u8]) -> HashSet<String> {
    let mut digest = Sha256::new();
    let mut all = HashSet::new();
    let mut enter = |digest: &Sha256| {
        let hash = digest.clone().finalize();
        all.insert(hash.iter().map(|b| format!("{b:02x}")).collect());
    };
    for line in text.split_inclusive(|byte| *byte == b'\n') {
        let end = line.trim_ascii_end().len();
        digest.update(&line[..end]);
        enter(&digest);
        digest.update(&line[end..]);
        enter(&digest);
    }
    all
}
