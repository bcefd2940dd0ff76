/*! By what `driftbook convert` converts: a reference thermometer or an industrial sensor, and what is known
of its uncertainty. */

use super::arguments::Arguments;
use super::table::read;
use crate::commands::output::complain;
use crate::commands::verdict::arguments::stored;
use crate::commands::{CommandError, plan_of};
use crate::pipeline::thermometry;
use crate::records::date;
use crate::settings::of_file::settings_of;
use crate::thermometry::convert_u::KnownU;
use crate::thermometry::expectation::predicted;
use crate::thermometry::iec60751::{ClassRanges, Sensor};
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::readings::ReadingPoint;
use crate::thermometry::session::SessionResult;
use crate::thermometry::{
    Certificate, Converter, PlatinumKind, SubrangeEntry, ThermometerFacts, Thermometers,
};
use std::path::Path;

fn usage(why: &dyn std::fmt::Display) -> CommandError {
    CommandError::Usage(why.to_string())
}

/// The scale with the uncertainty that its sources state; what the command line states goes first.
pub(super) fn scale(arguments: &Arguments) -> Result<(Converter, KnownU), CommandError> {
    let negative = [arguments.u, arguments.u_curve, arguments.u_triple_point];
    if let Some(u) = negative
        .into_iter()
        .flatten()
        .find(|u| !(u.is_finite() && *u >= 0.0))
    {
        return Err(usage(&format!(
            "error: a standard uncertainty of {u}; expected a number not below 0"
        )));
    }
    let (scale, known) = match arguments.iec_60751 {
        true => (industrial(arguments)?, KnownU::default()),
        false => reference(arguments)?,
    };
    Ok((
        scale,
        KnownU {
            number: arguments.u,
            triple_point_ohm: arguments.u_triple_point.or(known.triple_point_ohm),
            curve_mk: arguments.u_curve.or(known.curve_mk),
            ..known
        },
    ))
}

fn industrial(arguments: &Arguments) -> Result<Converter, CommandError> {
    let sensor = match &arguments.own {
        Some(text) => Sensor::own(arguments.r0, text).map_err(|e| usage(&e))?,
        None => Sensor::standard(arguments.r0),
    };
    Ok(Converter::Industrial {
        sensor,
        class: arguments.class,
        construction: arguments.construction,
        ranges: class_ranges(arguments.pipeline.as_deref())?,
    })
}

/// Ranges of the classes as the pipeline file states them, else the defaults.
fn class_ranges(pipeline: Option<&Path>) -> Result<ClassRanges, CommandError> {
    let Some(path) = pipeline else {
        return Ok(ClassRanges::default());
    };
    let settings = settings_of(path).map_err(|e| usage(&e))?;
    Ok(settings.thermometry.class_ranges)
}

fn reference(arguments: &Arguments) -> Result<(Converter, KnownU), CommandError> {
    let (mut certificate, drift_mk) = match (&arguments.records, &arguments.thermometer) {
        (Some(records), _) => of_laboratory(arguments, records)?,
        (None, Some(file)) => (of_file(arguments, file)?, None),
        (None, None) => (of_command_line(arguments)?, None),
    };
    if arguments.secondary {
        certificate.platinum = PlatinumKind::Secondary;
    }
    let thermometer = certificate.thermometer().map_err(|e| usage(&e))?;
    let mut known = KnownU {
        triple_point_ohm: Some(certificate.u_triple_point_ohm).filter(|u| *u > 0.0),
        curve_mk: certificate.u_certificate_mk,
        drift_mk,
        ..KnownU::default()
    };
    for entry in &certificate.subrange {
        if let Some(calibration) = entry.calibration().map_err(|e| usage(&e))? {
            known
                .calibrations
                .push((entry.number, calibration, entry.u_water_mk()));
        }
    }
    Ok((Converter::Its90(thermometer), known))
}

fn of_command_line(arguments: &Arguments) -> Result<Certificate, CommandError> {
    let Some(triple_point_ohm) = arguments.triple_point else {
        return Err(usage(
            &"which thermometer? Give --thermometer FILE, or --triple-point OHM with --coefficients, or \
              --records PIPELINE with --instrument, or --iec-60751",
        ));
    };
    let entries = arguments
        .coefficients
        .iter()
        .map(|text| SubrangeEntry::from_text(text));
    Ok(Certificate {
        triple_point_ohm,
        u_triple_point_ohm: 0.0,
        u_certificate_mk: None,
        platinum: PlatinumKind::default(),
        subrange: entries.collect::<Result<_, _>>().map_err(|e| usage(&e))?,
    })
}

/// A certificate, or one entry of the file of the thermometers.
fn of_file(arguments: &Arguments, file: &Path) -> Result<Certificate, CommandError> {
    let text = read(file)?;
    let shown = |why: &dyn std::fmt::Display| usage(&format!("{}: {why}", file.display()));
    if let Some(name) = &arguments.instrument {
        let all = Thermometers::from_text(&text).map_err(|e| shown(&e))?;
        return Ok(named(&all, name, file)?.certificate());
    }
    if Thermometers::from_text(&text).is_ok_and(|all| !all.thermometer.is_empty()) {
        return Err(shown(
            &"it lists several thermometers; name one with --instrument",
        ));
    }
    toml::from_str(&text).map_err(|e| shown(&e))
}

fn named<'a>(
    all: &'a Thermometers,
    name: &str,
    file: &Path,
) -> Result<&'a ThermometerFacts, CommandError> {
    all.of(name).ok_or_else(|| {
        let names: Vec<&str> = all
            .thermometer
            .iter()
            .map(|t| t.instrument.as_str())
            .collect();
        usage(&format!(
            "{}: no thermometer {name}; the file has {}",
            file.display(),
            names.join(", ")
        ))
    })
}

/// A thermometer of a laboratory as known on the date, with what its sessions predict of its drift.
fn of_laboratory(
    arguments: &Arguments,
    records: &Path,
) -> Result<(Certificate, Option<(f64, f64)>), CommandError> {
    let as_of = match &arguments.date {
        None => None,
        Some(text) => Some(
            text.parse()
                .map_err(|_| usage(&format!("error: {text} is no date; expected YYYY-MM-DD")))?,
        ),
    };
    let plan = plan_of(stored(Some(records), false, None)?, as_of)?;
    let thermometry = thermometry::read(&plan)
        .map_err(CommandError::failed)?
        .unwrap_or_default();
    let name = arguments.instrument.as_deref().unwrap_or_default();
    let known = thermometry.facts.known_on(plan.as_of);
    let facts = named(&known, name, records)?;
    let water = ReadingPoint::Fixed(FixedPoint::Water);
    let results = thermometry.findings.results.iter();
    let own: Vec<&SessionResult> = results
        .filter(|r| r.instrument == name && r.point == water)
        .collect();
    let limits = plan.settings.thermometry.advice.of(Some(facts));
    let drift = predicted(&own, facts, &limits, plan.as_of);
    let warning = match drift {
        Some((change, u)) => format!(
            "{name} on {}: predicted {change:+.3} mK (u = {u:.3} mK) at the triple point of water from the value in use, not corrected",
            date::iso(plan.as_of)
        ),
        None => format!("{name}: no accepted session, so that nothing is known of its drift"),
    };
    complain(&warning);
    Ok((facts.certificate(), drift))
}
