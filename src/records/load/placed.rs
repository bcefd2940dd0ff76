/*! Where each check of a stream belongs: its instrument by the present name, and the group of its
history. By these an engine sends rows together: what is learned needs whole groups, a decision a
whole history. */

use super::request::{register_of_batches, rules};
use crate::records::reading::columnar::arrow_stream::ArrowTable;
use crate::records::reading::columnar::rows::HEADER_ROW;
use crate::records::{Item, LoadError, Request};

/// The instrument and the group of each row.
#[derive(Debug, Default)]
pub(crate) struct Placed {
    /// Present name of the instrument; as it is written in a row that cannot be used.
    pub instrument: Vec<String>,
    /// Group by the register; empty where it states none, or in a row that cannot be used.
    pub group: Vec<String>,
}

/// Places the rows of `stream`.
///
/// # Errors
/// A register that cannot be read, a needed column missing or of a type that cannot be a check's.
pub(crate) fn placed(request: &Request<'_>, stream: &ArrowTable) -> Result<Placed, LoadError> {
    let rules = rules(request, 0);
    let (batches, matched) = stream.checks(&rules)?;
    let mut placed = Placed {
        instrument: stream.instruments(&matched, &rules)?,
        group: vec![String::new(); stream.len()],
    };
    let (register, _) = register_of_batches(request, &batches)?;
    for batch in &batches {
        let item = |(instrument, point): (&str, &str)| Item {
            instrument: request.former.present(instrument).to_string(),
            point: point.to_string(),
            ..Item::default()
        };
        let mut items: Vec<Item> = batch.names.iter().map(item).collect();
        if let Some(register) = &register {
            register.join(&mut items);
        }
        let first = (batch.first_row - HEADER_ROW) as usize;
        for (row, code) in batch.row.iter().zip(&batch.code) {
            let (item, row) = (&items[*code as usize], first + *row as usize - 1);
            placed.instrument[row].clone_from(&item.instrument);
            placed.group[row].clone_from(&item.group);
        }
    }
    Ok(placed)
}
