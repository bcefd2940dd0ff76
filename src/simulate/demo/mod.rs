/*! The demo: an invented laboratory of sixty-six instruments and two check standards, made from one seed.

Data flow: `data/demo-laboratory.toml` ([`laboratory`]) says who lives through what; [`live`] lets each
instrument live and be checked; [`faults`] spoils a few rows as real exports
do; [`tables`] writes the lot as CSV text; [`books`] holds what its people signed. Nothing here describes a real
laboratory or a real instrument.
*/

mod books;
mod faults;
mod figures;
mod jobs;
mod kinds;
mod laboratory;
mod live;
mod load_cells;
mod member;
mod small_bench;
mod tables;
mod thermometry;

/// Seed of the shipped demo.
pub(crate) const DEMO_SEED: u64 = 20_260_630;

/// One file of the demo: path under its folder, and the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct DemoFile {
    /// Path relative to the demo's folder, with forward slashes.
    pub path: &'static str,
    /// The whole text, UTF-8.
    pub text: String,
}

impl DemoFile {
    fn new(path: &'static str, text: impl Into<String>) -> Self {
        let text = text.into();
        Self { path, text }
    }
}

/// The demo's files: check exports by kind, one overlapping export, registers, jobs, books of approvals
/// and closings, two years of triple-point sessions as raw readings, and the year of a small bench.
///
/// Same seed, same bytes.
pub(crate) fn demo_files(seed: u64) -> Vec<DemoFile> {
    let members = laboratory::LABORATORY.instruments.iter();
    let lives: Vec<live::Life> = members.map(|member| live::live(member, seed)).collect();
    let mut files = tables::exports(&lives);
    faults::spoil(&mut files);
    files.push(load_cells::checks(seed));
    files.push(tables::register(&lives));
    files.push(tables::register_by_procedure(&lives));
    files.extend(books::books());
    files.push(jobs::jobs(&lives, seed));
    files.extend(thermometry::files(seed));
    files.extend(small_bench::small_bench(seed));
    files
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn the_committed_demo_is_what_the_seed_makes() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
        for file in demo_files(DEMO_SEED) {
            let committed = std::fs::read_to_string(folder.join(file.path)).unwrap_or_default();
            assert!(
                committed == file.text,
                "{} differs: run driftbook simulate demo --out data/demo --replace",
                file.path
            );
        }
    }

    #[test]
    fn the_demo_has_sixty_instruments_two_check_standards_and_long_and_short_histories() {
        let members = &laboratory::LABORATORY.instruments;
        assert_eq!(members.len(), 62);
        assert!(members.iter().any(|m| m.checks >= 40));
        assert!((1..=3).all(|n| members.iter().any(|m| m.checks == n)));
    }

    #[test]
    fn another_seed_makes_another_laboratory() {
        assert_ne!(demo_files(1), demo_files(2));
        assert_eq!(demo_files(3), demo_files(3));
    }
}
