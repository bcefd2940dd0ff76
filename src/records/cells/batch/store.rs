/*! A usable row into the columns of its batch. */

use super::{Batch, UnknownWord, shortened};
use crate::records::cells::column::Column;
use crate::records::cells::row::Row;
use crate::records::cells::row::rules::Fields;
use crate::records::cells::shape::Shape;
use crate::records::cells::sparse::put;
use crate::records::{Event, Outcome};

impl Batch {
    pub(super) fn store(&mut self, row: &Row<'_>, fields: &Fields<'_>, shape: &Shape) {
        let has = |column: Column| shape.has(column);
        self.minus_behind.see(self.lines, fields);
        self.row.push(self.lines);
        self.code.push(self.names.code(&row.instrument, &row.point));
        self.columns.date.push(row.date);
        // A row may state a number in another column than its own, such as both limits in one.
        let place = self.row.len() - 1;
        let amounts = &row.amounts;
        if let Some(column) = amounts.lent
            && !self.lent.iter().any(|(unit, ..)| **unit == *amounts.unit)
        {
            self.lent
                .push((amounts.unit.as_ref().into(), self.lines, column));
        }
        self.store_numbers(row, shape);
        let columns = &mut self.columns;
        if shape.mixes {
            self.stated_nominal.push(amounts.stated_nominal);
        }
        if !shape.repeated.is_empty() {
            self.scatter.push(amounts.scatter);
        }
        put(&mut self.left, place, fields.is_left, false);
        // A row may speak of a failure or an event in another column than its own.
        put(&mut columns.outcome, place, row.outcome, Outcome::Unknown);
        put(&mut columns.event, place, row.event, Event::None);
        if has(Column::Kind) {
            columns.kind.push(row.kind);
        }
        if has(Column::Source) {
            columns
                .given_by
                .push(self.givers.code(row.giver.trim(), ""));
        }
        self.stated.push(&row.stated, shape);
        if has(Column::Unit) || !row.amounts.unit.is_empty() {
            self.unit.push(self.units.code(&row.amounts.unit, ""));
        }
        if let Some(column) = row.unknown_word {
            self.unknown_words.push(UnknownWord {
                row: self.lines,
                column,
                word: shortened(fields[column].text().trim()),
            });
        }
    }

    /// The numbers of `row`; one that its shape has no column for is stored where a row states it.
    fn store_numbers(&mut self, row: &Row<'_>, shape: &Shape) {
        let (columns, amounts) = (&mut self.columns, &row.amounts);
        let place = self.row.len() - 1;
        let numbers = [
            (Column::AsFound, &mut columns.as_found, amounts.as_found),
            (Column::AsLeft, &mut columns.as_left, amounts.as_left),
            (Column::Nominal, &mut columns.nominal, amounts.nominal),
            (Column::U, &mut columns.u, amounts.u),
            (Column::UCommon, &mut columns.u_common, amounts.u_common),
            (Column::Lower, &mut columns.lower, amounts.lower),
            (Column::Upper, &mut columns.upper, amounts.upper),
            (Column::Usage, &mut columns.usage, row.usage),
            (Column::Assigned, &mut columns.assigned, amounts.assigned),
            (
                Column::UAssigned,
                &mut columns.u_assigned,
                amounts.u_assigned,
            ),
        ];
        for (column, values, value) in numbers {
            let otherwise = match column {
                Column::Nominal | Column::UCommon => 0.0,
                _ => f64::NAN,
            };
            match shape.has(column) {
                true => values.push(value),
                false => put(values, place, value, otherwise),
            }
        }
    }
}
