/*! `driftbook simulate`: fleets whose truth is known, the demo, and the closed loop. */

use super::output::{Stages, refuse_standing, say};
use super::threads::use_threads;
use super::{CommandError, CommandResult};
use crate::files::whole_file::{WholeFile, write_whole};
use crate::pipeline::evidence;
use crate::records::reading::plain_file;
use crate::records::reading::plain_file::LARGEST_TEXT_MB;
use crate::report::proof::{
    loop_chart, loop_markdown, loop_table, promise_markdown, promise_table,
};
use crate::report::table::Table;
use crate::report::table_writer::{TableFolder, TableWriter};
use crate::simulate::closed_loop::{self, Cell, LoopSettings, promises};
use crate::simulate::demo::{DEMO_SEED, demo_files};
use crate::simulate::{BATCH, SimulationSettings, Tables, batch, instruments};
use crate::words::count;
use clap::Args;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Write invented records whose truth is known, or let methods set the intervals of invented
/// instruments and count what that costs.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook simulate demo --out my-demo                     the shipped demo\'s records\n  \
    driftbook simulate data/evidence/bands.toml --out fleets  records, register and truth\n  \
    driftbook simulate data/evidence/closed-loop.toml --policy --out loop\n  \
    driftbook simulate data/evidence/guardrails.toml --guardrails --out guardrails     what each guardrail costs\n  \
    driftbook simulate data/evidence/promises.toml --promises --out promises\n  \
    driftbook simulate evidence --out docs --replace          docs/evidence.md, anew")]
pub(crate) struct Arguments {
    /// Settings file of the fleets (TOML), or the word demo, or the word evidence
    #[arg(value_name = "FLEETS|demo|evidence")]
    settings: PathBuf,
    /// Folder to write to
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Closed loop: let every method and the policy set intervals, and compare their cost
    #[arg(long)]
    policy: bool,
    /// Closed loop: let the policy set intervals with and without each of its guardrails
    #[arg(long, conflicts_with = "policy")]
    guardrails: bool,
    /// Decisions on new instruments: the probability in tolerance stated for the due date, and the truth
    #[arg(long, conflicts_with_all = ["policy", "guardrails"])]
    promises: bool,
    /// Another seed than the settings file's
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
    /// Worker threads [default: all cores]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    threads: Option<u16>,
    /// Replace files that are already there
    #[arg(long)]
    replace: bool,
    /// Print nothing but errors
    #[arg(long)]
    quiet: bool,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    use_threads(arguments.threads);
    let text = if arguments.settings == Path::new("demo") {
        demo(arguments)?
    } else if arguments.settings == Path::new("evidence") {
        study(arguments)?
    } else if arguments.promises {
        promises(arguments)?
    } else if arguments.policy || arguments.guardrails {
        closed_loop(arguments)?
    } else {
        fleets(arguments)?
    };
    if !arguments.quiet {
        say(&text);
    }
    Ok(0)
}

fn demo(arguments: &Arguments) -> Result<String, CommandError> {
    let files = demo_files(arguments.seed.unwrap_or(DEMO_SEED));
    for file in &files {
        refuse_standing(&arguments.out.join(file.path), arguments.replace)?;
    }
    for file in &files {
        let path = arguments.out.join(file.path);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(|error| refused(folder, error))?;
        }
        write_whole(&path, &file.text).map_err(|error| refused(&path, error))?;
    }
    Ok(format!(
        "Wrote the invented demo laboratory, {} files, to {}.",
        files.len(),
        arguments.out.display()
    ))
}

/// The study of docs/evidence.md, from the project's own data folder.
fn study(arguments: &Arguments) -> Result<String, CommandError> {
    let here = Path::new("data");
    let data = match here.join("evidence").is_dir() {
        true => here.to_path_buf(),
        false => Path::new(env!("CARGO_MANIFEST_DIR")).join("data"),
    };
    refuse_standing(&arguments.out.join("evidence.md"), arguments.replace)?;
    refuse_standing(&arguments.out.join("evidence"), arguments.replace)?;
    let stages = Stages::new(!arguments.quiet);
    let done = evidence(&data, &arguments.out, &|stage| stages.enter(stage));
    drop(stages);
    done.map_err(CommandError::failed)?;
    Ok(format!(
        "Wrote {}.",
        arguments.out.join("evidence.md").display()
    ))
}

fn fleets(arguments: &Arguments) -> Result<String, CommandError> {
    let text = read(&arguments.settings)?;
    let mut settings =
        SimulationSettings::from_toml(&text).map_err(|why| wrong(&arguments.settings, why))?;
    settings.seed = arguments.seed.unwrap_or(settings.seed);
    fs::create_dir_all(&arguments.out).map_err(|error| refused(&arguments.out, error))?;
    let mut files = FleetFiles::create(arguments, settings.true_errors)?;
    files.write(&Tables::headers())?;
    let stages = Stages::new(!arguments.quiet);
    let (all, mut rows) = (instruments(&settings), 0);
    for first in (0..all).step_by(BATCH as usize) {
        stages.enter(&format!("{first} of {all} instruments"));
        let tables = batch(&settings, first..first + BATCH);
        rows += tables.rows;
        files.write(&tables)?;
    }
    drop(stages);
    files.finish()?;
    Ok(format!(
        "Wrote {all} invented instruments with {} to {}: checks.csv, register.csv, truth.csv.",
        count(rows as usize, "check"),
        arguments.out.display()
    ))
}

/// The open files of a simulation.
struct FleetFiles {
    files: Vec<WholeFile>,
}

impl FleetFiles {
    fn create(arguments: &Arguments, true_errors: bool) -> Result<Self, CommandError> {
        let mut names = vec!["checks.csv", "register.csv", "truth.csv"];
        names.extend(true_errors.then_some("true_errors.csv"));
        let open = |name: &str| {
            let path = arguments.out.join(name);
            refuse_standing(&path, arguments.replace)?;
            WholeFile::create(&path).map_err(|error| refused(&path, error))
        };
        let files = names.into_iter().map(open).collect::<Result<_, _>>()?;
        Ok(Self { files })
    }

    fn write(&mut self, tables: &Tables) -> Result<(), CommandError> {
        let texts = [
            &tables.checks,
            &tables.register,
            &tables.truth,
            &tables.true_errors,
        ];
        for (file, text) in self.files.iter_mut().zip(texts) {
            let written = file.write_all(text);
            written.map_err(|error| refused(file.target(), error))?;
        }
        Ok(())
    }

    fn finish(self) -> Result<(), CommandError> {
        for file in self.files {
            let path = file.target().to_path_buf();
            file.finish().map_err(|error| refused(&path, error))?;
        }
        Ok(())
    }
}

fn loop_settings(arguments: &Arguments) -> Result<LoopSettings, CommandError> {
    let text = read(&arguments.settings)?;
    let mut settings =
        LoopSettings::from_toml(&text).map_err(|why| wrong(&arguments.settings, why))?;
    settings.seed = arguments.seed.unwrap_or(settings.seed);
    Ok(settings)
}

fn promises(arguments: &Arguments) -> Result<String, CommandError> {
    let settings = loop_settings(arguments)?;
    for name in ["promises.csv", "promises.md"] {
        refuse_standing(&arguments.out.join(name), arguments.replace)?;
    }
    let stages = Stages::new(!arguments.quiet);
    stages.enter("instruments are checked and decided");
    let found = promises::promises(&settings);
    drop(stages);
    let folder = &arguments.out;
    fs::create_dir_all(folder).map_err(|error| refused(folder, error))?;
    write_table(folder, "promises", &promise_table(&found))?;
    let text = promise_markdown(&found);
    let path = folder.join("promises.md");
    write_whole(&path, &text).map_err(|error| refused(&path, error))?;
    Ok(text)
}

fn write_table(folder: &Path, name: &str, table: &Table<'_>) -> Result<(), CommandError> {
    let failed = |error| refused(&folder.join(format!("{name}.csv")), error);
    let mut writer = TableWriter::create(TableFolder::csv(folder), name, table).map_err(failed)?;
    writer.write(table).map_err(failed)?;
    writer.finish().map_err(failed)
}

fn closed_loop(arguments: &Arguments) -> Result<String, CommandError> {
    let settings = loop_settings(arguments)?;
    for name in ["closed-loop.csv", "closed-loop.md"] {
        refuse_standing(&arguments.out.join(name), arguments.replace)?;
    }
    for size in settings.sizes() {
        let path = arguments.out.join(format!("closed-loop-{size}.svg"));
        refuse_standing(&path, arguments.replace)?;
    }
    let stages = Stages::new(!arguments.quiet);
    stages.enter("instruments live and methods set their intervals");
    let candidates = match arguments.guardrails {
        true => closed_loop::guardrails::candidates(),
        false => closed_loop::product::candidates(),
    };
    let cells = closed_loop::run(&settings, &candidates);
    drop(stages);
    write_loop(&settings, &cells, &arguments.out)?;
    Ok(loop_markdown(&cells, &settings.sizes()))
}

/// Writes the table, the text and one chart a class size.
fn write_loop(settings: &LoopSettings, cells: &[Cell], folder: &Path) -> Result<(), CommandError> {
    fs::create_dir_all(folder).map_err(|error| refused(folder, error))?;
    write_table(folder, "closed-loop", &loop_table(cells))?;
    for size in settings.sizes() {
        let path = folder.join(format!("closed-loop-{size}.svg"));
        write_whole(&path, loop_chart(cells, size)).map_err(|error| refused(&path, error))?;
    }
    let path = folder.join("closed-loop.md");
    let text = loop_markdown(cells, &settings.sizes());
    write_whole(&path, text).map_err(|error| refused(&path, error))
}

fn read(path: &Path) -> Result<String, CommandError> {
    plain_file::read_text(path, LARGEST_TEXT_MB)
        .map_err(|error| CommandError::usage(format!("{}: {error}", path.display())))
}

fn wrong(path: &Path, why: impl std::fmt::Display) -> CommandError {
    CommandError::usage(format!("{} cannot be used\n{why}", path.display()))
}

fn refused(path: &Path, error: impl std::fmt::Display) -> CommandError {
    CommandError::failed(format!("cannot write {}: {error}", path.display()))
}
