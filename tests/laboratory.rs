/*! A copy of the demo laboratory in a folder of its own, and the real binary to run on it. */

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};

/// The demo's records and a pipeline file, in a temporary folder.
pub struct Laboratory {
    place: tempfile::TempDir,
}

impl Laboratory {
    /// Copies the demo; reports go to `folder`, which may be a template.
    pub fn new(folder: &str) -> Self {
        Self::with(folder, "")
    }

    /// As [`Laboratory::new`], with more tables in the pipeline file.
    pub fn with(folder: &str, more: &str) -> Self {
        let place = tempfile::tempdir().unwrap();
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
        std::fs::create_dir(place.path().join("history")).unwrap();
        for entry in std::fs::read_dir(demo.join("history")).unwrap() {
            let entry = entry.unwrap();
            let to = place.path().join("history").join(entry.file_name());
            std::fs::copy(entry.path(), to).unwrap();
        }
        std::fs::copy(demo.join("register.csv"), place.path().join("register.csv")).unwrap();
        let text = format!(
            "[checks]\nfiles = [\"history\"]\n[register]\nfile = \"register.csv\"\n\
             [output]\nfolder = \"{folder}\"\n{more}"
        );
        std::fs::write(place.path().join("monthly.toml"), text).unwrap();
        Self { place }
    }

    /// Where it stands.
    pub fn folder(&self) -> PathBuf {
        self.place.path().to_path_buf()
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("driftbook"));
        command.current_dir(self.place.path());
        command.args(["run", "monthly.toml"]).args(arguments);
        command
    }

    /// Starts a run.
    pub fn start(&self, arguments: &[&str]) -> Child {
        let mut command = self.command(arguments);
        command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    }

    /// Runs to the end.
    pub fn run(&self, arguments: &[&str]) -> ExitStatus {
        self.start(arguments).wait().unwrap()
    }

    /// Runs to the end; what was printed and complained.
    pub fn output(&self, arguments: &[&str]) -> (Output, String) {
        let output = self.command(arguments).output().unwrap();
        let mut text = String::from_utf8_lossy(&output.stdout).into_owned();
        text += &String::from_utf8_lossy(&output.stderr);
        (output, text)
    }

    /// A file of the laboratory.
    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.place.path().join(name)).unwrap()
    }

    /// Changes a file of the laboratory; the text must change.
    pub fn edit(&self, name: &str, change: impl Fn(&str) -> String) {
        let text = self.read(name);
        let changed = change(&text);
        assert_ne!(text, changed);
        std::fs::write(self.place.path().join(name), changed).unwrap();
    }
}

/// Every file below `folder` with its bytes, by its path.
pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(here) = open.pop() {
        for entry in std::fs::read_dir(&here).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path
                    .strip_prefix(folder)
                    .unwrap()
                    .to_string_lossy()
                    .into_owned();
                found.insert(name, std::fs::read(&path).unwrap());
            }
        }
    }
    found
}
