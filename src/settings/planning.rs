/*! From what a person asks for to the plan of a run: the pipeline file read and judged, its files found. */

use super::file::{PipelineFile, Settings};
use super::file_error::Problem;
use super::named_files::{resolve_checks, resolve_register};
use super::pipeline_text::read;
use super::plan::{AsOfFrom, Plan, PlanError, PlanRequest};
use super::template::fill;
use crate::decisions::approvals::APPROVALS_FILE;
use crate::records::FormerNames;
use crate::records::date;
use crate::records::reading::files::resolved;
use crate::records::reading::{files, plain_file, workbook};
use crate::settings::demo::{DEMO_REPORT, Demo};
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// Makes the plan of a run.
///
/// # Errors
/// Nothing at the path, a wrong pipeline file, missing records, an unreadable date.
pub fn plan(request: &PlanRequest) -> Result<Plan, PlanError> {
    let Some(path) = &request.path else {
        return plan_of_demo(request);
    };
    let plan = match is_pipeline_file(path) {
        true => plan_from_file(path, request, Purpose::Run),
        false => plan_from_records(path, request),
    }?;
    refuse_large(&plan)?;
    Ok(plan)
}

/// True for the name of a pipeline file.
pub(crate) fn is_pipeline_file(path: &Path) -> bool {
    let ending = path.extension();
    ending.is_some_and(|ending| ending.eq_ignore_ascii_case("toml"))
}

/// What a plan is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Purpose {
    /// The files that the pipeline file names are read, and what follows counts.
    Run,
    /// The same, of checks that are sent.
    Sent,
    /// The files are read to tell how they read, whatever is not answered yet.
    Trial,
}

/// Makes the plan of a pipeline file for checks that are sent: the files of checks that it names need
/// not be there.
///
/// # Errors
/// A wrong pipeline file, an unreadable date.
pub(crate) fn plan_of_sent(path: &Path, as_of: Option<&str>) -> Result<Plan, PlanError> {
    let as_of = as_of.map(str::to_string);
    // Nobody may be without a date of one's own, see `AsOfFrom::Today`.
    let request = PlanRequest::new(Some(path.to_path_buf()), as_of, NaiveDate::MIN);
    let plan = plan_from_file(path, &request, Purpose::Sent)?;
    refuse_large(&plan)?;
    Ok(plan)
}

/// Makes the plan of a pipeline file whose questions may be open, to tell how its files read.
///
/// # Errors
/// A wrong pipeline file, missing files, an unreadable date.
pub(crate) fn plan_of_trial(path: &Path, today: NaiveDate) -> Result<Plan, PlanError> {
    let request = PlanRequest::new(Some(path.to_path_buf()), None, today);
    let plan = plan_from_file(path, &request, Purpose::Trial)?;
    refuse_large(&plan)?;
    Ok(plan)
}

/// The demo's plan; its report goes where the person stands.
fn plan_of_demo(request: &PlanRequest) -> Result<Plan, PlanError> {
    let demo = Demo::lay_out().map_err(|why| {
        PlanError(format!(
            "error: the demo's records cannot be written to a temporary folder: {why}"
        ))
    })?;
    let mut plan = plan_from_file(&demo.pipeline(), request, Purpose::Run)?;
    plan.out = request.out.clone().unwrap_or_else(|| DEMO_REPORT.into());
    plan.demo = Some(demo);
    Ok(plan)
}

/// Refuses inputs beyond the largest size that the plan allows.
fn refuse_large(plan: &Plan) -> Result<(), PlanError> {
    let most = plan.settings.checks.largest_file_mb;
    let unpacked = plan.settings.checks.largest_unpacked_mb;
    for path in plan.inputs() {
        let size = std::fs::metadata(&path).map_or(0, |data| data.len());
        plain_file::refuse_size(size, most).map_err(|why| {
            PlanError(format!(
                "error: {}: {why}\nhelp: split the file, or set largest_file_mb under [checks]",
                path.display()
            ))
        })?;
        workbook::refuse_unpacked(&path, &path.display().to_string(), unpacked)
            .map_err(|why| PlanError(format!("error: {why}")))?;
    }
    Ok(())
}

fn plan_from_records(path: &Path, request: &PlanRequest) -> Result<Plan, PlanError> {
    let shown = path.display();
    let found = files::find_path(path).map_err(|what| {
        PlanError(format!("error: {shown}: {what}\nhelp: expected a pipeline file (.toml), a CSV or Parquet file, or a folder of them"))
    })?;
    let mut settings = Settings::default();
    settings.checks.files = vec![shown.to_string()];
    let (as_of, as_of_from) = as_of(request, None)?;
    let out = PathBuf::from(fill(&settings.output.folder, as_of)).join(report_name(path));
    let plan = Plan {
        settings,
        pipeline_file: None,
        base: PathBuf::new(),
        forms: vec![0; found.files.len()],
        checks: found.files,
        register: None,
        approvals: None,
        former: FormerNames::default(),
        as_of,
        books_as_of: as_of,
        as_of_from,
        out,
        out_stated: false,
        left_out: found.left_out,
        demo: None,
    };
    Ok(with_overrides(plan, request))
}

/// Name of the report of plain records: that of the file or folder, so that two of them never
/// share a report.
fn report_name(path: &Path) -> PathBuf {
    const UNNAMED: &str = "records";
    let whole = resolved(path);
    let name = match whole.is_dir() {
        true => whole.file_name(),
        false => whole.file_stem(),
    };
    PathBuf::from(name.unwrap_or(UNNAMED.as_ref()))
}

fn plan_from_file(path: &Path, request: &PlanRequest, purpose: Purpose) -> Result<Plan, PlanError> {
    let text = read(path)?;
    let shown = path.to_string_lossy();
    let explain = |problems: Vec<Problem>| {
        let texts: Vec<String> = problems.iter().map(|p| p.render(&shown, &text)).collect();
        PlanError(texts.join("\n\n"))
    };
    let file = PipelineFile::parse(&text).map_err(explain)?;
    let parent = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    let base = parent.map_or(PathBuf::from("."), Path::to_path_buf);
    let mut problems = Vec::new();
    let (mut checks, left_out) = match purpose {
        Purpose::Run | Purpose::Trial => resolve_checks(&file, &base, &mut problems),
        Purpose::Sent => Default::default(),
    };
    if purpose != Purpose::Trial {
        problems.extend(open_doubts(&file));
    }
    let approvals = file.settings.approvals.file.as_deref();
    let approvals = base.join(approvals.unwrap_or(APPROVALS_FILE));
    let cases = file.settings.cases.file.as_ref();
    let cases = cases.map(|book| base.join(book));
    // A pattern such as *.csv finds the books too, which hold no checks.
    checks.retain(|(path, _)| *path != approvals && Some(path) != cases.as_ref());
    let (checks, forms) = checks.into_iter().unzip();
    let register = resolve_register(&file, &base, &mut problems);
    let written = file.settings.as_of.as_deref();
    let as_of = as_of(request, written).map_err(|why| match request.as_of {
        Some(_) => why,
        None => explain(vec![unusable_as_of(&file, why)]),
    })?;
    if !problems.is_empty() {
        return Err(explain(problems));
    }
    let former = former_names(register.as_deref(), &base, &file.settings)?;
    let plan = Plan {
        out: base.join(fill(&file.settings.output.folder, as_of.0)),
        settings: file.settings,
        pipeline_file: Some(path.to_path_buf()),
        base,
        checks,
        forms,
        register,
        approvals: Some(approvals),
        former,
        as_of: as_of.0,
        books_as_of: as_of.0,
        as_of_from: as_of.1,
        out_stated: false,
        left_out,
        demo: None,
    };
    Ok(with_overrides(plan, request))
}

/// The problem of an as-of date that the pipeline file states.
fn unusable_as_of(file: &PipelineFile, why: PlanError) -> Problem {
    Problem {
        span: file.place("", "as_of"),
        title: "as_of cannot be used".to_string(),
        label: why.0,
        help: None,
    }
}

/// The names that items had before, by the register.
fn former_names(
    register: Option<&Path>,
    base: &Path,
    settings: &Settings,
) -> Result<FormerNames, PlanError> {
    let Some(path) = register else {
        return Ok(FormerNames::default());
    };
    FormerNames::of_register(path, &files::shown(path, base), &settings.register)
        .map_err(|why| PlanError(format!("error: {why}")))
}

fn with_overrides(mut plan: Plan, request: &PlanRequest) -> Plan {
    if let Some(out) = &request.out {
        plan.out = out.clone();
        plan.out_stated = true;
    }
    if let Some(charts) = request.charts {
        plan.settings.output.charts = charts;
    }
    plan
}

/// The questions of `start` that nobody has answered.
fn open_doubts(file: &PipelineFile) -> Vec<Problem> {
    let open = file.settings.checks.open_doubts();
    let problem = |(name, words): (&str, &str)| Problem {
        span: file.place("checks.doubts", name),
        title: format!("the doubt {name} is not answered: {words}"),
        label: "mend the setting where it is wrong; then write the answer here in place of ?"
            .into(),
        help: Some("driftbook start asks again on a terminal".into()),
    };
    open.map(problem).collect()
}

fn as_of(request: &PlanRequest, written: Option<&str>) -> Result<(f64, AsOfFrom), PlanError> {
    let read = |text: &str| {
        date::parse_iso(text.trim().as_bytes())
            .map(f64::floor)
            .ok_or_else(|| PlanError(format!("\"{text}\" is not a date: expected YYYY-MM-DD")))
    };
    match (&request.as_of, written) {
        (Some(text), _) => match read(text) {
            Ok(days) => Ok((days, AsOfFrom::CommandLine)),
            Err(why) => Err(PlanError(format!("error: --as-of {why}"))),
        },
        (None, Some(text)) => Ok((read(text)?, AsOfFrom::PipelineFile)),
        (None, None) => Ok((date::days_of(request.today), AsOfFrom::Today)),
    }
}

#[cfg(test)]
#[path = "plan_tests.rs"]
mod tests;
