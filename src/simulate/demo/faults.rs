/*! Dirty rows, as exports have them: each one must end in the rejects with its reason. */

use super::DemoFile;
use super::laboratory::LABORATORY;

/// Puts every fault into its export, after the line it names or at the end.
pub(super) fn spoil(files: &mut [DemoFile]) {
    for file in files {
        let mut lines: Vec<&str> = file.text.lines().collect();
        let faults = LABORATORY.faults.iter();
        let faults = faults.filter(|fault| fault.file == file.path);
        for (earlier, fault) in faults.enumerate() {
            let place = (fault.after_line + earlier).min(lines.len());
            lines.insert(place, &fault.row);
        }
        file.text = lines.join("\n") + "\n";
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_reaches_its_export() {
        let files = super::super::demo_files(1);
        assert_eq!(LABORATORY.faults.len(), 16);
        for fault in &LABORATORY.faults {
            let found = files
                .iter()
                .filter(|file| file.text.lines().any(|line| line == fault.row))
                .count();
            assert_eq!(found, 1, "{}", fault.row);
        }
    }
}
