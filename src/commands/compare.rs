/*! `driftbook compare`: the values of references that were compared with each other. */

use super::output::say;
use super::{CommandError, CommandResult, NEEDS_PERSON};
use crate::control::{Adjustment, Design, Misfit, adjust, misfits, read_design};
use crate::records::reading::plain_file::{self, LARGEST_MB};
use crate::report::text::{
    all_digits, significant, size, to_uncertainty, with_minus_signs, with_unit,
};
use crate::stats::p_value;
use clap::Args;
use std::io::ErrorKind;
use std::path::PathBuf;

/// Adjust a group of references that were compared with each other
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  driftbook compare data/designs/four-masses.toml\n  \
    driftbook compare data/designs/four-masses.toml --csv > comparison.csv\n\n\
    The pipeline file names comparison.csv beside the other checks, under [checks] or [[checks.other]].\n\n\
    Exit status: 0 the differences fit each other; 3 they do not, and a person is needed."
)]
pub(crate) struct Arguments {
    /// Design with its differences and restraint (TOML)
    design: PathBuf,
    /// Print the values as rows of checks: instrument, date, as_found, u, u_common, unit, source
    #[arg(long)]
    csv: bool,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let shown = arguments.design.display();
    let wrong = |why: &dyn std::fmt::Display| CommandError::usage(format!("{shown}: {why}"));
    let text = plain_file::read_text(&arguments.design, LARGEST_MB).map_err(|why| {
        wrong(&match why.kind() {
            ErrorKind::NotFound => "no such file: check the path and the name".to_string(),
            _ => why.to_string(),
        })
    })?;
    let design = read_design(&text).map_err(|why| {
        wrong(&format!(
            "{}\nhelp: expected a design in TOML, such as data/designs/four-masses.toml",
            why.to_string().trim_end()
        ))
    })?;
    let adjustment = adjust(&design).map_err(|why| wrong(&why))?;
    let against = misfits(
        &adjustment.residuals,
        adjustment.degrees_of_freedom,
        design.u_difference,
    );
    let told: Vec<String> = against.iter().map(|it| misfit(&design, it)).collect();
    match arguments.csv {
        true if !told.is_empty() => {
            return Err(CommandError::Failed(format!(
                "error: {shown}: no values are given: {}",
                told.join(" ")
            )));
        }
        true if design.date.is_empty() => {
            return Err(wrong(
                &"--csv needs the day of the comparison, as date = \"2026-06-30\"",
            ));
        }
        true => say(&rows(&design, &adjustment)),
        false => say(&(words(&design, &adjustment) + &told.join("\n"))),
    }
    Ok(match told.is_empty() {
        true => 0,
        false => NEEDS_PERSON,
    })
}

/// What speaks against the differences, and the mend.
fn misfit(design: &Design, misfit: &Misfit) -> String {
    match misfit {
        Misfit::Scatter { p } => format!(
            "The differences scatter by more than the stated u_difference of {} leads to expect ({}): each u above is too small. \
             Repeat the comparison, or leave u_difference out, so that their own scatter counts.",
            with_unit(
                &all_digits(design.u_difference.unwrap_or(f64::NAN)),
                &design.unit
            ),
            p_value(*p)
        ),
        Misfit::Apart { difference, by, p } => format!(
            "Difference {} ({}) lies {} from what the others lead to ({}): look at it, and repeat it before a value is used.",
            difference + 1,
            design.differences[*difference].words(&design.items),
            with_unit(&significant(*by, 3), &design.unit),
            p_value(*p)
        ),
    }
}

/// The observed differences beside what the values leave of them.
fn differences(design: &Design, adjustment: &Adjustment) -> String {
    let rows = design.differences.iter().zip(&adjustment.residuals);
    let mut text = format!(
        "\n{:<40}{:>16}{:>16}\n",
        "difference", "observed", "residual"
    );
    for (number, (difference, residual)) in rows.enumerate() {
        text += &format!(
            "{:<40}{:>16}{:>16}\n",
            format!("{} {}", number + 1, difference.words(&design.items)),
            with_minus_signs(&all_digits(difference.value)),
            significant(residual.value, 3)
        );
    }
    text
}

fn words(design: &Design, adjustment: &Adjustment) -> String {
    let unit = &design.unit;
    let mut text = format!(
        "{:<16}{:>24}{:>16}{:>14}{:>10}\n",
        "item", "value", "u, differences", "u, restraint", "factor"
    );
    for item in &adjustment.items {
        let u = item.u_differences.hypot(item.u_restraint);
        text += &format!(
            "{:<16}{:>24}{:>16}{:>14}{:>10}\n",
            item.item,
            size(item.value, u, unit),
            to_uncertainty(item.u_differences, u),
            to_uncertainty(item.u_restraint, u),
            format!("{:.4}", item.factor)
        );
    }
    text += &differences(design, adjustment);
    text += &match adjustment.degrees_of_freedom {
        0 => "No difference beyond those needed: u is by the stated u_difference alone.\n"
            .to_string(),
        freedom => format!(
            "Standard deviation of one difference by the residuals: {} {unit}, {freedom} degrees of freedom.\n",
            significant(adjustment.deviation, 3)
        ),
    };
    text
}

/// The values as checks; what the restraint leaves unknown is common to all of them.
fn rows(design: &Design, adjustment: &Adjustment) -> String {
    let quoted = |name: &str| format!("\"{}\"", name.replace('"', "\"\""));
    let held = design
        .items
        .iter()
        .zip(&design.restraint.holds)
        .filter(|(_, holds)| **holds);
    let source: Vec<&str> = held.map(|(item, _)| item.as_str()).collect();
    let source = source.join(" + ");
    let mut text = String::from("instrument,date,as_found,u,u_common,unit,source\n");
    for item in &adjustment.items {
        text += &format!(
            "{},{},{},{},{},{},{}\n",
            quoted(&item.item),
            design.date,
            item.value,
            item.u_differences,
            item.u_restraint,
            quoted(&design.unit),
            quoted(&source)
        );
    }
    text
}
