/*! docs/scheduling.md as it is written: the cron line and the service's command run two months
on the demo with a pretended date, and the second digest tells exactly what changed. */

#![cfg(unix)]

use crate::laboratory::Laboratory;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The laboratory of the recipes, with `driftbook` and a pretended `date` on the path.
struct Job {
    lab: Laboratory,
    programs: tempfile::TempDir,
}

impl Job {
    fn new() -> Self {
        // With lines each history stands alone: one check moves no other instrument.
        let more =
            "digest = true\n[drift]\nmodel = \"line\"\n[intervals]\nmethods = [\"staircase\"]\n";
        let lab = Laboratory::with("reports/{year}-{month}", more);
        let pipelines = lab.folder().join("pipelines");
        std::fs::create_dir(&pipelines).unwrap();
        let text = lab
            .read("monthly.toml")
            .replace("\"history\"", "\"../history\"");
        let text = text.replace("\"register.csv\"", "\"../register.csv\"");
        let text = text.replace("\"reports/", "\"../reports/");
        std::fs::write(pipelines.join("monthly-charts.toml"), text).unwrap();
        let programs = tempfile::tempdir().unwrap();
        let program = assert_cmd::cargo::cargo_bin!("driftbook");
        std::os::unix::fs::symlink(program, programs.path().join("driftbook")).unwrap();
        Self { lab, programs }
    }

    /// Runs a documented shell line in the laboratory, as of `day`.
    fn run(&self, line: &str, day: &str) -> Output {
        let (month, _) = day.rsplit_once('-').unwrap();
        let date = format!(
            "#!/bin/sh\ncase \"$1\" in +%F) echo {day};; +%Y-%m) echo {month};; *) exit 1;; esac\n"
        );
        let stub = self.programs.path().join("date");
        std::fs::write(&stub, date).unwrap();
        std::fs::set_permissions(&stub, std::fs::Permissions::from_mode(0o755)).unwrap();
        let folder = self.lab.folder();
        let line = line.replace("/srv/laboratory", &folder.to_string_lossy());
        let path = format!("{}:/usr/bin:/bin", self.programs.path().display());
        let mut command = Command::new("/bin/sh");
        command.args(["-c", &line]).env("PATH", path);
        command.current_dir(folder).output().unwrap()
    }

    /// One more check of a thermometer, far out of its tolerance.
    fn add_check(&self) {
        self.lab.edit("history/thermometers.csv", |text| {
            let last = text
                .lines()
                .rfind(|line| line.starts_with("TH-001"))
                .unwrap();
            let mut fields: Vec<&str> = last.split(',').collect();
            let header: Vec<&str> = text.lines().next().unwrap().split(',').collect();
            let at = |name: &str| header.iter().position(|h| *h == name).unwrap();
            fields[at("date")] = "2026-07-14";
            fields[at("as_found")] = "900";
            format!("{}\n{}\n", text.trim_end(), fields.join(","))
        });
    }
}

fn document() -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/scheduling.md"))
        .unwrap()
}

/// The command of the line of the crontab; cron reads `\%` as a percent sign.
fn cron_line() -> String {
    let text = document();
    let line = text
        .lines()
        .find(|line| line.starts_with("0 5 1 * *"))
        .unwrap();
    line["0 5 1 * *".len()..].trim().replace("\\%", "%")
}

/// The shell text of a key of the service file; systemd reads `%%` as a percent sign.
fn service(key: &str) -> String {
    let text = document();
    let line = text.lines().find(|line| line.starts_with(key)).unwrap();
    let (_, script) = line.split_once("-c '").unwrap();
    script.trim_end_matches('\'').replace("%%", "%")
}

fn words(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

#[test]
fn the_cron_line_mails_the_digest_and_the_second_tells_what_changed() {
    let job = Job::new();
    let first = words(&job.run(&cron_line(), "2026-06-30"));
    says!(first, "First run");
    job.add_check();
    let second = words(&job.run(&cron_line(), "2026-07-31"));
    assert_eq!(second, job.lab.read("reports/2026-07/digest.txt"));
    says!(second, "TH-001");
    let digest: serde_json::Value =
        serde_json::from_str(&job.lab.read("reports/2026-07/digest.json")).unwrap();
    let changes = digest["changes"].as_array().unwrap();
    let flagged = changes.iter().filter(|change| change["red_flag"] == true);
    assert_eq!(
        flagged.count(),
        0,
        "a new check is no edit of the past: {changes:?}"
    );
    // The very same day once more: nothing is made anew, the same mail goes out.
    assert_eq!(words(&job.run(&cron_line(), "2026-07-31")), second);
    assert_eq!(job.lab.read("reports/ledger.jsonl").lines().count(), 2);
}

#[test]
fn the_service_runs_and_hands_the_digest_on() {
    let job = Job::new();
    let output = job.run(&service("ExecStart="), "2026-06-30");
    assert_eq!(output.status.code(), Some(3), "{}", words(&output));
    let mail = job.programs.path().join("mail");
    std::fs::write(&mail, "#!/bin/sh\ncat > mailed\n").unwrap();
    std::fs::set_permissions(&mail, std::fs::Permissions::from_mode(0o755)).unwrap();
    let after = format!("EXIT_STATUS=3; {}", service("ExecStopPost="));
    assert!(job.run(&after, "2026-06-30").status.success());
    assert_eq!(
        job.lab.read("mailed"),
        job.lab.read("reports/2026-06/digest.txt")
    );
}

/// Where systemd is installed, its own check of the unit files as documented.
#[test]
fn the_unit_files_are_what_systemd_reads() {
    let units: Vec<String> = document()
        .split("```ini\n")
        .skip(1)
        .map(|rest| rest.split("```").next().unwrap().to_string())
        .collect();
    assert_eq!(units.len(), 2);
    let folder = tempfile::tempdir().unwrap();
    let files: Vec<PathBuf> = ["driftbook.service", "driftbook.timer"]
        .map(|name| folder.path().join(name))
        .to_vec();
    for (file, text) in files.iter().zip(&units) {
        std::fs::write(file, text).unwrap();
    }
    let Ok(output) = Command::new("systemd-analyze")
        .arg("verify")
        .args(&files)
        .output()
    else {
        return eprintln!("skipped: no systemd-analyze here");
    };
    assert!(output.status.success(), "{}", words(&output));
}
