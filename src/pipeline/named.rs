/*! The histories that a person names, and a hint where there are none of that name. */

use crate::records::Histories;
use crate::words::nearest::nearest;

/// Why a person's words name no history.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NoHistory {
    /// No instrument of this name; the hint is empty or begins with a semicolon.
    #[error("no history of instrument {instrument}{hint}")]
    Instrument {
        /// As asked for.
        instrument: String,
        /// The nearest name there is.
        hint: String,
    },
    /// The instrument has no such point.
    #[error("{instrument} has no point {point}; it has {points}")]
    Point {
        /// As asked for.
        instrument: String,
        /// As asked for.
        point: String,
        /// Those there are.
        points: String,
    },
    /// None of several points was named.
    #[error("{instrument} has several points; name one with --point: {points}")]
    Several {
        /// As asked for.
        instrument: String,
        /// Those there are.
        points: String,
    },
}

/// Places of the histories of `instrument`, or of its `point` where one is named; never empty.
///
/// # Errors
/// An unknown instrument, with the nearest name there is; an unknown point, with those there are.
pub(crate) fn all_of(
    histories: &Histories,
    instrument: &str,
    point: Option<&str>,
) -> Result<Vec<usize>, NoHistory> {
    let items = &histories.items;
    let own: Vec<usize> = (0..items.len())
        .filter(|&i| {
            let former = || items[i].formerly.iter().any(|name| name == instrument);
            items[i].instrument == instrument || former()
        })
        .collect();
    if own.is_empty() {
        let names = items.iter().map(|item| item.instrument.as_str());
        let hint =
            nearest(instrument, names).map_or(String::new(), |n| format!("; did you mean {n}?"));
        return Err(NoHistory::Instrument {
            instrument: instrument.to_string(),
            hint,
        });
    }
    let Some(point) = point else {
        return Ok(own);
    };
    let named: Vec<usize> = own
        .iter()
        .copied()
        .filter(|&i| items[i].point == point)
        .collect();
    match named.is_empty() {
        true => Err(NoHistory::Point {
            instrument: instrument.to_string(),
            point: point.to_string(),
            points: points(histories, &own),
        }),
        false => Ok(named),
    }
}

/// The one history of `instrument` that `point` names; it need not be named where there is one.
///
/// # Errors
/// As [`all_of`], and several points with none named.
pub(crate) fn find(
    histories: &Histories,
    instrument: &str,
    point: Option<&str>,
) -> Result<usize, NoHistory> {
    match all_of(histories, instrument, point)?.as_slice() {
        [only] => Ok(*only),
        several => Err(NoHistory::Several {
            instrument: instrument.to_string(),
            points: points(histories, several),
        }),
    }
}

fn points(histories: &Histories, places: &[usize]) -> String {
    let names = places.iter().map(|&i| histories.items[i].point.as_str());
    let listed = names.map(|name| match name {
        "" => "one without a name",
        name => name,
    });
    listed.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Item;

    #[test]
    fn a_name_is_found_or_hinted_at() {
        let item = |instrument: &str, point: &str| Item {
            instrument: instrument.into(),
            point: point.into(),
            ..Default::default()
        };
        let histories = Histories {
            items: vec![item("G-1", "low"), item("G-1", "high"), item("G-7", "")],
            ..Default::default()
        };
        assert_eq!(all_of(&histories, "G-1", None), Ok(vec![0, 1]));
        assert_eq!(find(&histories, "G-1", Some("high")), Ok(1));
        assert_eq!(find(&histories, "G-7", None), Ok(2));
        let refusal = |name, point| find(&histories, name, point).unwrap_err().to_string();
        assert!(refusal("G7", None).ends_with("did you mean G-7?"));
        assert!(refusal("G-1", None).ends_with("--point: low, high"));
        assert!(refusal("G-1", Some("mid")).ends_with("it has low, high"));
        assert!(refusal("G-7", Some("mid")).ends_with("it has one without a name"));
    }
}
