/*! One tolerance for every history of which neither the register nor a check states limits: a laboratory with
one sort of instrument keeps no register for it. */

use crate::records::cells::limits::allowed::{Ground, NoLimits, limits};
use crate::records::cells::marks::Marks;
use crate::records::cells::unit::target::{NoUnit, Target};
use crate::records::settings::words::PerCentOf;
use crate::records::{Histories, LoadError, Tolerance, Warning};
use crate::settings::allowed::Rule;
use crate::words::{agreeing, count};
use std::collections::BTreeMap;

/// What a setting for a tolerance allows: what a cell of a column of tolerances may say, with a decimal point.
pub(crate) struct UsableTolerance;

impl Rule<String> for UsableTolerance {
    fn allowed(&self) -> String {
        "a tolerance with a decimal point and its unit, such as \"±5 mK\" or \"-0.1 / +0.2 bar\""
            .into()
    }

    fn complaint(&self, value: &String) -> Option<String> {
        // Whether it can be turned into their units, the histories tell.
        let numbers = value.trim_end_matches(|c: char| !c.is_ascii_digit());
        let wrong = [value, numbers]
            .into_iter()
            .find_map(|text| match in_unit(text, "") {
                Ok(_) | Err(NoLimits::Unit(_) | NoLimits::PerCentOfWhat | NoLimits::Part(_)) => {
                    None
                }
                Err(why) => Some(format!("{why}: expected {}", self.allowed())),
            });
        wrong.filter(|_| !value.is_empty())
    }
}

/// The limits that `text` states, in `unit`.
fn in_unit(text: &str, unit: &str) -> Result<(f64, f64), NoLimits> {
    let target = Target::of_unit(unit);
    let ground = Ground {
        marks: Marks::from(false),
        header: "",
        per_cent_of: PerCentOf::Auto,
        target: &target,
        range: None,
        step: None,
    };
    let (lower, upper) = limits(text.trim(), &ground)?;
    match lower > 0.0 || upper < 0.0 {
        true => Err(NoLimits::OfValue),
        false => Ok((lower, upper)),
    }
}

/// Gives the histories without limits those that `text` states, and says of which it cannot.
///
/// # Errors
/// A tolerance without unit beside histories that have one.
pub(crate) fn set(histories: &mut Histories, text: &str) -> Result<Vec<Warning>, LoadError> {
    if text.is_empty() {
        return Ok(Vec::new());
    }
    let without = histories
        .items
        .iter()
        .filter(|item| item.tolerance.is_none());
    let mut units: BTreeMap<String, usize> = BTreeMap::new();
    without.for_each(|item| *units.entry(item.unit.clone()).or_default() += 1);
    // A number without unit would hold in every one: also where each part of a fleet has its own.
    let stated: Vec<&str> = units
        .keys()
        .map(String::as_str)
        .filter(|unit| !unit.is_empty())
        .collect();
    if in_unit(text, "").is_ok() && !stated.is_empty() {
        return Err(LoadError::new(
            "[register] tolerance",
            format!(
                "\"{text}\" states no unit, and histories without limits are in {}",
                stated.join(", ")
            ),
            "State its unit, such as \"±5 mK\": it then holds for those in units of its kind.",
        ));
    }
    let limits: BTreeMap<&String, Result<(f64, f64), NoLimits>> = units
        .keys()
        .map(|unit| (unit, in_unit(text, unit)))
        .collect();
    for item in histories
        .items
        .iter_mut()
        .filter(|item| item.tolerance.is_none())
    {
        if let Some(Ok((lower, upper))) = limits.get(&item.unit) {
            item.tolerance = Tolerance::new(*lower, *upper);
        }
    }
    let told = limits.iter().filter_map(|(unit, limits)| {
        let why = limits.as_ref().err()?;
        Some(not_for(text, unit, units[*unit], why))
    });
    Ok(told.collect())
}

/// Says that the tolerance of all cannot be that of the histories in `unit`.
fn not_for(text: &str, unit: &str, histories: usize, why: &NoLimits) -> Warning {
    let because = match why {
        NoLimits::PerCentOfWhat | NoLimits::Part(_) | NoLimits::Unit(NoUnit::PartOf(..)) => {
            "a part of a value that differs from check to check is stated beside the checks, in a column".to_string()
        }
        NoLimits::Unit(_) if unit.is_empty() => "state the unit of the checks".to_string(),
        why => why.to_string(),
    };
    let words = format!(
        "\"{text}\" is not the tolerance of {} in {}, which {} without limits: {because}",
        count(histories, "history"),
        shown(unit),
        agreeing(histories, "stays", "stay"),
    );
    Warning::new("[register] tolerance", words)
}

/// A unit in a sentence.
fn shown(unit: &str) -> &str {
    match unit {
        "" => "no stated unit",
        unit => unit,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::load_files;
    use crate::records::{ChecksSettings, Loaded, RegisterSettings};

    const HEADER: &str = "instrument,date,as_found,unit,lower,upper\n";

    fn loaded(rows: &str, tolerance: &str) -> Result<Loaded, LoadError> {
        let register = RegisterSettings {
            tolerance: tolerance.into(),
            ..RegisterSettings::default()
        };
        let text = HEADER.to_string() + rows;
        load_files(&[("f.csv", text)], (&ChecksSettings::default(), &register))
    }

    fn told(loaded: &Loaded) -> Vec<String> {
        loaded.warnings.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn it_holds_in_the_unit_of_each_history_that_has_none() {
        let rows = "A,2020-01-01,1,mK,,\nB,2020-01-01,0.001,K,,\nC,2020-01-01,1,mK,-2,2\n";
        let loaded = loaded(rows, "±5 mK").unwrap();
        let limits: Vec<_> = loaded
            .histories
            .items
            .iter()
            .map(|item| item.tolerance)
            .collect();
        let half = |half: f64| Tolerance::new(-half, half);
        assert_eq!(limits, [half(5.0), half(0.005), half(2.0)]);
        let loaded = super::tests::loaded(rows, "-1 / +3 mK").unwrap();
        assert_eq!(
            loaded.histories.items[1].tolerance,
            Tolerance::new(-0.001, 0.003)
        );
        assert_eq!(
            loaded.histories.items[0].tolerance,
            Tolerance::new(-1.0, 3.0)
        );
    }

    #[test]
    fn another_quantity_stays_without_and_is_told() {
        let rows = "A,2020-01-01,1,mK,,\nB,2020-01-01,1,bar,,\nD,2020-01-01,1,,,\n";
        let loaded = loaded(rows, "±5 mK").unwrap();
        assert_eq!(loaded.histories.items[1].tolerance, None);
        assert_eq!(loaded.histories.items[2].tolerance, None);
        let told = told(&loaded).join("\n");
        says!(
            told,
            "1 history in bar, which stays without limits",
            "state the unit of the checks"
        );
    }

    #[test]
    fn a_number_without_unit_is_of_histories_without_one() {
        let rows = "A,2020-01-01,1,mK,,\nB,2020-01-01,1,bar,,\n";
        let error = loaded(rows, "±5").unwrap_err().to_string();
        assert!(
            error.contains("states no unit") && error.contains("bar, mK"),
            "{error}"
        );
        assert!(loaded("A,2020-01-01,1,mK,,\n", "±5").is_err());
        assert!(loaded("A,2020-01-01,1,,,\n", "±5").is_ok());
    }

    #[test]
    fn what_is_no_tolerance_is_refused_where_it_is_stated() {
        let complaint = |text: &str| UsableTolerance.complaint(&text.to_string());
        for good in ["", "±5 mK", "0.1 bar", "-0.1 / +0.2 bar", "2 %"] {
            assert_eq!(complaint(good), None, "{good}");
        }
        for bad in ["0", "abc", "-0.1 bar", "±0,05 bar"] {
            assert!(complaint(bad).is_some(), "{bad}");
        }
    }
}
