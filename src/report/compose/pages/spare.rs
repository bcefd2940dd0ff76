/*! Pages of the report before the standing one. They are moved into the report in the making,
where linking each of some hundred thousand pages of the standing one would take longer. */

use super::list::{Page, PageList};
use crate::files::run_error::RunError;
use crate::ledger::KEPT;
use crate::ledger::build::{build, build_of};
use rayon::prelude::*;
use std::collections::HashMap;
use std::fs;
use std::path::Path;

/// What of a replaced report a spare has: pages, and what they were made from.
pub(crate) const SPARED: &[&str] = &["charts", "instruments", KEPT];

/// Moves the pages in the folder `spare` to `folder`, removes those that are not as they are
/// `wanted`, and tells of each wanted page whether it now lies there.
///
/// # Errors
/// A folder that cannot be moved or emptied.
pub(crate) fn take(spare: &Path, folder: &Path, wanted: &[Page]) -> Result<Vec<bool>, RunError> {
    let mut placed = vec![false; wanted.len()];
    let kept = spare.join(KEPT);
    let ours = build_of(&kept).is_some_and(|wrote| wrote == build());
    let Some(list) = PageList::read(&kept).filter(|_| ours) else {
        return Ok(placed);
    };
    let keys = list.keys();
    let places = wanted.iter().enumerate();
    let places: HashMap<&str, usize> = places
        .filter(|(_, page)| keys.get(page.file.as_str()) == Some(&page.key))
        .map(|(place, page)| (page.file.as_str(), place))
        .collect();
    let moved: Vec<Vec<usize>> = SPARED
        .par_iter()
        .filter(|name| **name != KEPT)
        .map(|name| take_folder(name, spare, folder, &places))
        .collect::<Result<_, _>>()?;
    for place in moved.into_iter().flatten() {
        placed[place] = true;
    }
    Ok(placed)
}

/// Moves the folder `name` and removes what in it has no place; returns the places of the rest.
fn take_folder(
    name: &str,
    spare: &Path,
    folder: &Path,
    places: &HashMap<&str, usize>,
) -> Result<Vec<usize>, RunError> {
    let failed = |why: std::io::Error| RunError::write(name, why);
    let (from, to) = (spare.join(name), folder.join(name));
    if !from.is_dir() {
        return Ok(Vec::new());
    }
    fs::rename(&from, &to).map_err(failed)?;
    let mut taken = Vec::new();
    for entry in fs::read_dir(&to).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let file = format!("{name}/{}", entry.file_name().to_string_lossy());
        match places.get(file.as_str()) {
            Some(place) => taken.push(*place),
            // A page is shared with the standing report: it is removed, never written over.
            None if entry.file_type().is_ok_and(|kind| kind.is_dir()) => {
                fs::remove_dir_all(entry.path()).map_err(failed)?;
            }
            None => fs::remove_file(entry.path()).map_err(failed)?,
        }
    }
    Ok(taken)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::build::BUILD;

    #[test]
    fn only_pages_as_they_are_wanted_stay() {
        let place = tempfile::tempdir().unwrap();
        let (spare, folder) = (place.path().join("spare"), place.path().join("new"));
        let lay = |build: &str| {
            fs::create_dir_all(spare.join(KEPT)).unwrap();
            fs::create_dir_all(spare.join("charts/a folder")).unwrap();
            fs::create_dir_all(&folder).unwrap();
            fs::write(spare.join(KEPT).join(BUILD), build).unwrap();
            for name in ["same", "other", "gone", "strange"] {
                fs::write(spare.join(format!("charts/{name}.svg")), name).unwrap();
            }
            let names = ["same", "other", "missing", "gone"];
            let pages = names.iter().zip(1..).map(|(name, key)| Page {
                file: format!("charts/{name}.svg"),
                key,
            });
            let pages: Vec<Page> = pages.collect();
            PageList::write(&pages, &spare.join(KEPT)).unwrap();
            pages
        };
        let mut wanted = lay("another build");
        assert_eq!(take(&spare, &folder, &wanted).unwrap(), [false; 4]);
        assert!(spare.join("charts/same.svg").exists(), "left alone");
        wanted = lay(build());
        wanted.pop();
        wanted[1].key = 7;
        let taken = take(&spare, &folder, &wanted).unwrap();
        assert_eq!(taken, [true, false, false]);
        assert_eq!(fs::read_dir(folder.join("charts")).unwrap().count(), 1);
    }
}
