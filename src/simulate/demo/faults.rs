/*! Dirty rows, as exports have them: each one must end in the rejects with its reason. */

use super::DemoFile;

/// A row that cannot be used: the export it goes to, after which line, and the row.
struct Fault {
    file: &'static str,
    after_line: usize,
    row: &'static str,
}

const THERMOMETERS: &str = "history/thermometers.csv";
const RESISTORS: &str = "history/resistors.csv";
const MASSES: &str = "history/masses.csv";
const GAUGES: &str = "history/gauges.csv";
const BLOCKS: &str = "history/blocks.csv";

/// One of each kind; comments name what is wrong.
const FAULTS: &[Fault] = &[
    // No instrument.
    Fault {
        file: THERMOMETERS,
        after_line: 9,
        row: ",triple point of water,2024-02-12,1.12,,,0.35,0.15,,,,,,calibration,mK",
    },
    // A month that does not exist.
    Fault {
        file: THERMOMETERS,
        after_line: 31,
        row: "TH-002,triple point of water,2023-13-04,0.84,,,0.35,0.15,,,,,,check,mK",
    },
    // Dated after the as-of date.
    Fault {
        file: THERMOMETERS,
        after_line: 60,
        row: "TH-003,triple point of water,2027-03-02,2.40,,,0.35,0.15,,,,,,calibration,mK",
    },
    // Another unit than the history's.
    Fault {
        file: THERMOMETERS,
        after_line: 77,
        row: "TH-004,triple point of water,2022-05-17,0.00191,,,0.00035,0.00015,,,,,,calibration,K",
    },
    // Words where a number belongs.
    Fault {
        file: THERMOMETERS,
        after_line: 110,
        row: "TH-009,triple point of water,2024-06-03,see sheet,,,0.35,0.15,,,,,,check,mK",
    },
    // Negative uncertainty.
    Fault {
        file: RESISTORS,
        after_line: 5,
        row: "RS-001,1 ohm at 23 °C,2015-09-14,1000001.20,,1000000,-0.4,0.3,,,,,,calibration,µΩ",
    },
    // Lower limit above the upper one.
    Fault {
        file: RESISTORS,
        after_line: 40,
        row: "RS-003,1 ohm at 23 °C,2021-01-20,0.95,,,0.4,0.3,10,-10,,,,calibration,µΩ",
    },
    // A uncertainty with its unit in the cell.
    Fault {
        file: RESISTORS,
        after_line: 66,
        row: "RS-004,1 ohm at 23 °C,2023-11-08,0.90,,,0.4 µΩ,0.3,,,,,,calibration,µΩ",
    },
    // Not a finite number.
    Fault {
        file: MASSES,
        after_line: 12,
        row: "MA-001,1 kg,2018-10-10,inf,,,25,12,,,,,,calibration,µg",
    },
    // Neither a value nor an outcome.
    Fault {
        file: MASSES,
        after_line: 48,
        row: "MA-004,1 kg,2021-03-15,,,,,,,,,,,calibration,µg",
    },
    // An outcome that is neither true nor false.
    Fault {
        file: MASSES,
        after_line: 56,
        row: "MA-005,1 kg,2019-04-11,,,,,,,,perhaps,,,calibration,µg",
    },
    // A row cut short.
    Fault {
        file: MASSES,
        after_line: 70,
        row: "MA-006,1 kg,2022-08-30,118.4",
    },
    // A row with a field too many.
    Fault {
        file: GAUGES,
        after_line: 15,
        row: "PG-001,600 kPa,2023-12-12,0.214,,,0.07,0.03,,,,,5120,calibration,kPa,second reading",
    },
    // An event the trade does not know.
    Fault {
        file: GAUGES,
        after_line: 44,
        row: "PG-002,600 kPa,2024-04-09,0.331,,,0.07,0.03,,,,polished,6210,calibration,kPa",
    },
    // No date.
    Fault {
        file: GAUGES,
        after_line: 90,
        row: "PG-004,100 kPa,,0.120,,,0.07,0.03,,,,,4100,calibration,kPa",
    },
    // A day that does not exist.
    Fault {
        file: BLOCKS,
        after_line: 20,
        row: "GB-002,50 mm,2021-02-30,12,,,7,4,,,,,,calibration,nm",
    },
];

/// Puts every fault into its export, after the line it names or at the end.
pub(super) fn spoil(files: &mut [DemoFile]) {
    for file in files {
        let mut lines: Vec<&str> = file.text.lines().collect();
        let faults = FAULTS.iter().filter(|fault| fault.file == file.path);
        for (earlier, fault) in faults.enumerate() {
            let place = (fault.after_line + earlier).min(lines.len());
            lines.insert(place, fault.row);
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
        for fault in FAULTS {
            let found = files
                .iter()
                .filter(|file| file.text.lines().any(|line| line == fault.row))
                .count();
            assert_eq!(found, 1, "{}", fault.row);
        }
    }
}
