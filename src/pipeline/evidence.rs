/*! The study behind docs/evidence.md: one command from committed settings to page and charts. */

use crate::decisions::DecisionTables;
use crate::drift::DriftSettings;
use crate::files::run_error::RunError;
use crate::files::whole_file::write_whole;
use crate::intervals::MethodName;
use crate::records::{self, ChecksSettings, FormerNames, Histories, RegisterSettings, date};
use crate::report::charts::{calibration_chart, coverage_chart};
use crate::report::proof::{
    ReplayedRecords, StudyResults, evidence_markdown, loop_chart, loop_table,
};
use crate::report::table_writer::TableFolder;
use crate::settings::one_table_file::OneTableError;
use crate::simulate::closed_loop::{self, LoopSettings};
use crate::simulate::replay::{Replay, ReplaySettings};
use crate::simulate::{SimulationSettings, histories};
use std::path::Path;

/// A published history: file, title, what it is, as-of date.
const REAL: [(&str, &str, &str, &str); 2] = [
    (
        "standard-resistor.csv",
        "A standard resistor, 1000 readings over five years",
        "NIST/SEMATECH e-Handbook of Statistical Methods, section 1.4.2.7; see data/reference. No uncertainty is stated.",
        "1985-11-02",
    ),
    (
        "kilogram.csv",
        "A kilogram check standard, 217 readings over twelve years",
        "NIST/SEMATECH e-Handbook of Statistical Methods, mass calibration; see data/reference. No uncertainty is stated.",
        "1988-06-07",
    ),
];

/// Runs the study from `data` (the project's data folder) and writes `evidence.md` and the
/// folder `evidence` into `out`.
///
/// # Errors
/// Settings or records that cannot be read, a disk that refuses.
pub(crate) fn evidence(data: &Path, out: &Path, enter: &dyn Fn(&str)) -> Result<(), RunError> {
    let folder = out.join("evidence");
    std::fs::create_dir_all(&folder).map_err(|error| RunError::write("evidence", error))?;
    enter("closed loop: every kind of instrument lives under every method");
    let settings = settings_of(
        &data.join("evidence/closed-loop.toml"),
        LoopSettings::from_toml,
    )?;
    let cells = closed_loop::run(&settings, &closed_loop::product::candidates());
    enter("bands on simulated fleets");
    let fleets = settings_of(
        &data.join("evidence/bands.toml"),
        SimulationSettings::from_toml,
    )?;
    let about = "Fleets of `data/evidence/bands.toml`, whose truth is known; some are of the model's own family, some break it.";
    let bands = replayed("Simulated fleets", about, &histories(&fleets));
    enter("real histories");
    let real: Result<Vec<ReplayedRecords>, RunError> = REAL
        .iter()
        .map(|(file, title, about, as_of)| {
            let loaded = published(&data.join("reference").join(file), as_of)?;
            Ok(replayed(title, about, &loaded))
        })
        .collect();
    let evidence = StudyResults {
        settings,
        cells,
        bands,
        real: real?,
        level: DriftSettings::default().level,
    };
    enter("writing");
    write_charts(&evidence, &folder)?;
    TableFolder::csv(&folder).write("closed-loop", &loop_table(&evidence.cells))?;
    // What was tried on the way stands beside the settings, written by hand.
    let tried = std::fs::read_to_string(data.join("evidence/tried.md")).unwrap_or_default();
    let page = format!("{}\n\n{tried}", evidence_markdown(&evidence).trim_end());
    place(out, "evidence.md", &page)
}

/// The study's files stand beside others, so that each is put in its place whole.
fn place(folder: &Path, name: &str, text: &str) -> Result<(), RunError> {
    write_whole(&folder.join(name), text).map_err(|error| RunError::write(name, error))
}

fn write_charts(evidence: &StudyResults, folder: &Path) -> Result<(), RunError> {
    for size in evidence.settings.sizes() {
        let chart = loop_chart(&evidence.cells, size);
        place(folder, &format!("closed-loop-{size}.svg"), &chart)?;
    }
    let replays = std::iter::once(&evidence.bands).chain(&evidence.real);
    for (number, replayed) in replays.enumerate() {
        let chart = coverage_chart(&replayed.result, evidence.level);
        place(folder, &format!("coverage-{number}.svg"), &chart)?;
    }
    let Some(first) = evidence.bands.result.forecasters.first() else {
        return Ok(());
    };
    let chart = calibration_chart(&first.name, &first.in_tolerance);
    place(folder, "calibration.svg", &chart)
}

fn settings_of<T>(path: &Path, parse: fn(&str) -> Result<T, OneTableError>) -> Result<T, RunError> {
    let failed = |why: String| RunError::Settings {
        file: path.display().to_string(),
        why,
    };
    let text = std::fs::read_to_string(path).map_err(|error| failed(error.to_string()))?;
    parse(&text).map_err(|error| failed(error.to_string()))
}

/// Replay on default settings, with two methods that every record can feed.
fn replayed(title: &str, about: &str, histories: &Histories) -> ReplayedRecords {
    let mut tables = DecisionTables::default();
    tables.intervals.methods = vec![MethodName::DriftCrossing, MethodName::Staircase];
    let replay = Replay::new(DriftSettings::default(), tables, ReplaySettings::default());
    let walk = replay.walk(histories);
    ReplayedRecords {
        title: title.to_string(),
        about: about.to_string(),
        result: replay.score(histories, &walk),
    }
}

fn published(path: &Path, as_of: &str) -> Result<Histories, RunError> {
    let files = [path.to_path_buf()];
    let loaded = records::load(&records::Request {
        checks: &files,
        register: None,
        base: Path::new(""),
        checks_settings: &ChecksSettings::default(),
        forms: &[],
        register_settings: &RegisterSettings::default(),
        approvals: None,
        former: &FormerNames::default(),
        as_of: date::parse_iso(as_of.as_bytes()).unwrap_or(f64::INFINITY),
        books_as_of: date::parse_iso(as_of.as_bytes()).unwrap_or(f64::INFINITY),
    })?;
    Ok(loaded.histories)
}
