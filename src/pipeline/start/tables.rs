/*! What the tables that were read say of each other: a register of other instruments, quantities of which
each has a table of its own. */

use super::look::Form;
use crate::records::cells::column::Column;
use crate::records::cells::unit::{Unit, same_unit};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::{Loaded, Reject, RejectKind};
use crate::words::count;
use rayon::prelude::*;

/// A doubt where no row of the register is one of an instrument with checks.
pub(super) fn register_of_others(loaded: &Loaded) -> Option<Doubt> {
    let register = loaded
        .register
        .filter(|register| register.rows > 0 && register.matched == 0)?;
    let near = loaded.warnings.iter().find(|warning| warning.near_name);
    let near = near.map_or(String::new(), |near| format!(" ({})", near.words));
    let words = format!(
        "None of the {} of the register names an instrument and point as the checks do{near}: limits, intervals and groups that it states count for none of them. Write the names alike, or map instrument under [register.columns] to the column that has them; point = false there leaves a column of points alone.",
        count(register.rows, "row")
    );
    let doubt = Doubt::new("register_of_others", words);
    Some(doubt.or("it is a register of other instruments", Answer::AsTaken))
}

/// A doubt where two forms of files hold the same instruments in units of different quantities, and no point
/// tells them apart.
pub(super) fn quantities_in_forms(forms: &[Form]) -> Option<Doubt> {
    let pointless = |form: &&Form| !form.guess.reads(Column::Point) && !form.guess.unit.is_empty();
    let forms: Vec<&Form> = forms.iter().filter(pointless).collect();
    let pairs = (0..forms.len()).flat_map(|i| (0..i).map(move |j| (j, i)));
    pairs.into_iter().find_map(|(i, j)| {
        let (one, other) = (&forms[i].guess, &forms[j].guess);
        let name = one.instruments.intersection(&other.instruments).next()?;
        let units = [Unit::parse(&one.unit), Unit::parse(&other.unit)];
        let alike = match units {
            [Some(one), Some(other)] => one.power_to(other).is_some(),
            _ => same_unit(&one.unit, &other.unit),
        };
        (!alike).then(|| {
            let words = format!(
                "{name} has readings in {} in {} and in {} in {}, and no point tells them apart",
                one.unit,
                forms[i].named(),
                other.unit,
                forms[j].named()
            );
            asked(&words)
        })
    })
}

/// A doubt where an instrument has readings of the same days in two files or sheets, which may be of two
/// quantities, and no point tells them apart; or where rows are left out for being in another unit.
pub(super) fn quantities_in_tables(loaded: &Loaded) -> Option<Doubt> {
    let table = |index: u32| loaded.tables.get(index as usize).map_or("", |table| table);
    let both = loaded.histories.par_iter().find_map_first(|history| {
        let same = |i: &usize| {
            let (day, other) = (history.date[*i].floor(), history.date[*i + 1].floor());
            day == other && history.source[*i].0 != history.source[*i + 1].0
        };
        let pairs: Vec<usize> = (0..history.len().saturating_sub(1)).filter(same).collect();
        let first = pairs.first().filter(|_| 3 * pairs.len() >= history.len())?;
        let tables = [*first, *first + 1].map(|i| table(history.source[i].0));
        Some(format!(
            "{} has readings of the same days in {} and in {}, and no point tells them apart",
            history.item.name(),
            tables[0],
            tables[1]
        ))
    });
    let unit = || {
        let other = |reject: &&Reject| reject.kind == RejectKind::OtherUnit;
        let mut others = loaded.rejects.iter().filter(other);
        let first = others.next()?;
        let more = match others.count() {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        Some(format!(
            "{}, row {}{more}: {}, so that it is rejected",
            first.file, first.row, first.reason
        ))
    };
    Some(asked(&both.or_else(unit)?))
}

fn asked(words: &str) -> Doubt {
    let words = format!(
        "{words}. Where each measures a quantity of its own (temperature, humidity), give them a column point that names it, since one history would mix them."
    );
    let doubt = Doubt::new("quantities", words);
    doubt.or(
        "all are of one quantity, and what is rejected is wrong",
        Answer::AsTaken,
    )
}
