/*! Data flows one way between the rooms of the program: none looks back at one that it feeds. */

use std::path::{Path, PathBuf};

/// The rooms, each below those that may ask it. `settings` stands outside the order: every room
/// declares its own tables by its macros, and it alone knows them all.
const ROOMS: [&str; 22] = [
    "assertions",
    "property_cases",
    "no_memory",
    "spare_memory",
    "words",
    "section",
    "stats",
    "records",
    "files",
    "thermometry",
    "drift",
    "conformity",
    "control",
    "reliability",
    "impact",
    "intervals",
    "decisions",
    "simulate",
    "ledger",
    "report",
    "pipeline",
    "commands",
];
const BESIDE: &str = "settings";

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => sources(&path, found),
            false if path.extension().is_some_and(|e| e == "rs") => found.push(path),
            false => {}
        }
    }
}

/// The room that a path after `crate::` begins with.
fn room_named(after: &str) -> &str {
    let end = after.find(|c: char| !c.is_ascii_alphanumeric() && c != '_');
    &after[..end.unwrap_or(after.len())]
}

#[test]
fn no_room_looks_back() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&source, &mut files);
    let place = |room: &str| ROOMS.iter().position(|known| *known == room);
    let (mut judged, mut looking_back) = (0, Vec::new());
    for file in &files {
        let inside = file.strip_prefix(&source).unwrap();
        let first = inside.iter().next().unwrap().to_str().unwrap();
        let own = first.trim_end_matches(".rs");
        // The allocator is the program's and no room of the library.
        if ["lib", "main", "build", "allocator", BESIDE].contains(&own) {
            continue;
        }
        let own_place = place(own).unwrap_or_else(|| panic!("{own} has no place in the order"));
        let text = std::fs::read_to_string(file).unwrap();
        for (at, _) in text.match_indices("crate::") {
            let other = room_named(&text[at + "crate::".len()..]);
            if let Some(other_place) = place(other) {
                judged += 1;
                if other_place > own_place {
                    looking_back.push(format!("{} asks {other}", inside.display()));
                }
            }
        }
    }
    assert_eq!(looking_back, Vec::<String>::new());
    assert!(judged > 2000, "{judged}");
}
