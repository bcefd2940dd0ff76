/*! A verdict on one item of a fleet reads the rows of its group alone, by the places that the report
keeps, and says the same as a reading of all; where they do not hold any more it says so. */

use assert_cmd::Command;
use std::fmt::Write as _;
use std::path::Path;

const ITEMS: usize = 2_400;
const GROUP: usize = 40;

/// Records of a fleet in turns of time, its register and its pipeline file.
fn fleet(folder: &Path, line_end: &str) {
    let mut rows = format!("instrument,point,date,as_found,u,lower,upper{line_end}");
    for year in 2019..2025 {
        for item in (0..ITEMS).map(|i| i * 1_009 % ITEMS) {
            let value = 0.01 * ((item * 7 + year * 13) % 17) as f64 + 0.002 * (year - 2019) as f64;
            let month = 1 + item % 12;
            let _ = write!(
                rows,
                "I-{item:04},p,{year}-{month:02}-10,{value:.4},0.02,-1,1{line_end}"
            );
        }
        // Rejected rows, one of them of the group that is asked for, one of none.
        let _ = write!(
            rows,
            "I-0007,p,{year}-13-10,1,0.02,-1,1{line_end}, p,x{line_end}{line_end}"
        );
    }
    std::fs::write(folder.join("checks.csv"), rows).unwrap();
    let mut register = String::from("instrument,group,interval_days\n");
    for item in 0..ITEMS {
        let _ = writeln!(register, "I-{item:04},G{},365", item / GROUP);
    }
    std::fs::write(folder.join("register.csv"), register).unwrap();
    pipeline(folder, "");
}

fn pipeline(folder: &Path, checks: &str) {
    let text = format!(
        "[checks]\nfiles = [\"checks.csv\"]\n{checks}\n[register]\nfile = \"register.csv\"\n[output]\ncharts = \"none\"\nfolder = \"out\"\n"
    );
    std::fs::write(folder.join("fleet.toml"), text).unwrap();
}

fn run(folder: &Path) {
    let mut command = Command::cargo_bin("driftbook").unwrap();
    let arguments = ["run", "fleet.toml", "--as-of", "2025-02-01", "--quiet"];
    command
        .current_dir(folder)
        .args(arguments)
        .assert()
        .success();
}

/// What is said, and the notes beside it.
fn verdict(folder: &Path) -> (String, String) {
    let mut command = Command::cargo_bin("driftbook").unwrap();
    command.current_dir(folder).args([
        "verdict",
        "I-0007",
        "0.05",
        "--u",
        "0.02",
        "--date",
        "2025-02-10",
        "--records",
        "fleet.toml",
    ]);
    let done = command.output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(done.stdout), text(done.stderr))
}

#[test]
fn the_places_of_a_report_change_no_word() {
    for line_end in ["\n", "\r\n"] {
        let folder = tempfile::tempdir().unwrap();
        fleet(folder.path(), line_end);
        let whole = verdict(folder.path());
        says!(whole.0, "I-0007");
        run(folder.path());
        assert!(folder.path().join("out/kept/places.bin").is_file());
        assert_eq!(verdict(folder.path()), whole);
    }
}

#[test]
fn what_has_changed_since_is_read_and_told() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    fleet(folder, "\n");
    run(folder);
    let before = verdict(folder);
    says_not!(before.1, "every row is read");
    let places = folder.join("out/kept/places.bin");
    let kept = std::fs::read(&places).unwrap();

    // Its list was touched: at each of some places.
    for at in (0..kept.len()).step_by(kept.len() / 7) {
        let mut touched = kept.clone();
        touched[at] ^= 1;
        std::fs::write(&places, touched).unwrap();
        assert_eq!(verdict(folder).0, before.0, "byte {at}");
    }
    std::fs::write(&places, &kept[..kept.len() / 2]).unwrap();
    assert_eq!(verdict(folder).0, before.0);
    let mut head = kept.clone();
    head[50] ^= 1;
    std::fs::write(&places, head).unwrap();
    says!(verdict(folder).1, "its places.bin was touched");
    std::fs::write(&places, kept).unwrap();

    // Its records are read otherwise.
    pipeline(folder, "trim_names = true");
    let other = verdict(folder);
    says!(other.1, "read by other settings");
    pipeline(folder, "");

    // A row was put in, in the middle of the file, as long as the one that it replaces.
    let checks = folder.join("checks.csv");
    let text = std::fs::read_to_string(&checks).unwrap();
    let old = text
        .lines()
        .find(|row| row.starts_with("I-0007,p,2023"))
        .unwrap();
    let value = old.split(',').nth(3).unwrap();
    let new = old.replace(value, "0.9000");
    assert_eq!(old.len(), new.len());
    std::fs::write(&checks, text.replace(old, &new)).unwrap();
    let edited = verdict(folder);
    says!(edited.1, "checks.csv has changed");
    assert_ne!(edited.0, before.0);
}
