/*! The file of a design: items, the differences observed between them, and the restraint. */

use serde::Deserialize;

/// A design with its observations, checked.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Design {
    /// Items that are compared, in order.
    pub items: Vec<String>,
    /// Unit of all values; may be empty.
    pub unit: String,
    /// Day of the comparison as the file states it; may be empty.
    pub date: String,
    /// Observed differences.
    pub differences: Vec<Difference>,
    /// What is known of the group.
    pub restraint: Restraint,
    /// Standard deviation of one difference, where it is known beforehand.
    pub u_difference: Option<f64>,
}

/// One observed difference.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Difference {
    /// Factor of each item: 1, −1 or 0.
    pub terms: Vec<f64>,
    /// Observed value.
    pub value: f64,
}

/// The known sum of some of the items.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Restraint {
    /// True for the items in it.
    pub holds: Vec<bool>,
    /// The sum.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
}

/// Why a design cannot be adjusted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub(crate) struct DesignError(String);

impl DesignError {
    pub(super) fn untied(design: &Design) -> Self {
        Self(format!(
            "the differences do not tie every one of {} to the restraint: add differences until each item can be reached from it",
            design.items.join(", ")
        ))
    }

    pub(super) fn unscattered() -> Self {
        Self("there is no difference beyond those needed, and so nothing to tell their scatter: add differences, or state u_difference".into())
    }

    pub(super) fn exact() -> Self {
        Self("the differences fit each other without any scatter, as computed ones do: give the observed ones, or state u_difference".into())
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    #[serde(default)]
    items: Vec<String>,
    #[serde(default)]
    unit: String,
    #[serde(default)]
    date: String,
    u_difference: Option<f64>,
    restraint: Option<WrittenRestraint>,
    difference: Vec<WrittenDifference>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenRestraint {
    items: Vec<String>,
    value: f64,
    u: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenDifference {
    plus: Vec<String>,
    minus: Vec<String>,
    value: f64,
}

impl Difference {
    /// The comparison in words: `MS-1 − MA-A`, as the design of these items has it.
    pub(crate) fn words(&self, items: &[String]) -> String {
        let side = |sign: f64| {
            let of = self.terms.iter().zip(items);
            let held = of.filter(|(term, _)| **term * sign > 0.0);
            let names: Vec<&str> = held.map(|(_, item)| item.as_str()).collect();
            names.join(" + ")
        };
        match (side(1.0), side(-1.0)) {
            (plus, minus) if minus.is_empty() => plus,
            (plus, minus) if minus.contains(" + ") => format!("{plus} − ({minus})"),
            (plus, minus) => format!("{plus} − {minus}"),
        }
    }
}

/// How often an item is among names.
fn count(names: &[String], item: &String) -> usize {
    names.iter().filter(|name| *name == item).count()
}

/// The restraint of a design of these items, where it tells their level.
fn usable_restraint(
    written: Option<WrittenRestraint>,
    items: &[String],
    u_difference: Option<f64>,
) -> Result<WrittenRestraint, DesignError> {
    let restraint = written.filter(|restraint| !restraint.items.is_empty());
    let restraint = restraint.ok_or_else(|| {
        DesignError("no restraint: differences alone do not tell the level of the group; add restraint = { items = [\"…\"], value = …, u = … }, the known sum of one or more of the items".into())
    })?;
    if let Some(unknown) = restraint.items.iter().find(|name| !items.contains(name)) {
        return Err(DesignError(format!(
            "the restraint names {unknown}, of which no difference is observed"
        )));
    }
    if let Some(twice) = items.iter().find(|item| count(&restraint.items, item) > 1) {
        return Err(DesignError(format!("the restraint names {twice} twice")));
    }
    let possible = restraint.value.is_finite() && restraint.u.is_finite() && restraint.u >= 0.0;
    if !possible || u_difference.is_some_and(|u| !(u.is_finite() && u > 0.0)) {
        return Err(DesignError("the restraint's value and u, and u_difference, must be numbers, u not negative, u_difference above 0".into()));
    }
    Ok(restraint)
}

/// Reads the text of a design.
///
/// # Errors
/// A text that is no design, one without a restraint, or numbers that cannot be.
pub(crate) fn read(text: &str) -> Result<Design, DesignError> {
    let written: Written = toml::from_str(text).map_err(|why| DesignError(why.to_string()))?;
    let named = written
        .difference
        .iter()
        .flat_map(|d| d.plus.iter().chain(&d.minus));
    let mut items = written.items;
    for name in named {
        if !items.contains(name) {
            items.push(name.clone());
        }
    }
    let restraint = usable_restraint(written.restraint, &items, written.u_difference)?;
    let difference = |(number, written): (usize, &WrittenDifference)| {
        let terms: Vec<f64> = items
            .iter()
            .map(|item| count(&written.plus, item) as f64 - count(&written.minus, item) as f64)
            .collect();
        let wrong = !written.value.is_finite() || terms.iter().all(|term| *term == 0.0);
        match wrong {
            true => Err(DesignError(format!(
                "difference {} compares nothing, or its value is no number",
                number + 1
            ))),
            false => Ok(Difference {
                terms,
                value: written.value,
            }),
        }
    };
    Ok(Design {
        differences: written
            .difference
            .iter()
            .enumerate()
            .map(difference)
            .collect::<Result<_, _>>()?,
        restraint: Restraint {
            holds: items
                .iter()
                .map(|item| restraint.items.contains(item))
                .collect(),
            value: restraint.value,
            u: restraint.u,
        },
        u_difference: written.u_difference,
        unit: written.unit,
        date: written.date,
        items,
    })
}
