/*! What only the numbers that a trial read put in doubt. */

use super::look::{Form, OFFERED};
use super::{open_cells, tables, words};
use crate::records::Loaded;
use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::settings::toml_text::quoted;

impl Form {
    /// What only the numbers that were read can put in doubt.
    pub(super) fn ask_of_numbers(&mut self, loaded: &Loaded) {
        let found = [
            words::values_for_errors(&self.guess, loaded),
            words::several_a_day(&self.guess, loaded),
            words::several_set_points(&self.guess, loaded),
            words::points_of_one_check(&self.guess, loaded),
            words::values_not_read(loaded),
            words::outcomes_contradict(loaded),
            words::interval_not_read(&self.guess, loaded),
            words::due_too_soon(&self.guess, loaded),
            tables::register_of_others(loaded),
            tables::quantities_in_tables(loaded),
        ];
        let found = found.into_iter().flatten();
        for doubt in found.chain(open_cells::open_cells(loaded)) {
            if !self
                .guess
                .doubts
                .iter()
                .any(|other| other.name == doubt.name)
            {
                let doubt = self.offering(doubt);
                self.guess.doubts.push(doubt);
            }
        }
    }

    /// The doubt with the headers that are not read as answers.
    fn offering(&self, doubt: Doubt) -> Doubt {
        let headers = self.guess.ignored.iter().take(OFFERED);
        match doubt.name {
            "values" => headers.fold(doubt, |doubt, header| {
                let words = format!("values; the nominal value stands in \"{header}\"");
                doubt.or(words, Answer::Map(Column::Nominal, header.clone()))
            }),
            "points" => {
                let stated = self.guess.to_state.get("point_from");
                let stated = stated.and_then(|list| list.strip_prefix('['));
                let own = stated.unwrap_or("\"nominal\"]");
                headers.fold(doubt, |doubt, header| {
                    let value = format!("[{}, {own}", quoted(header));
                    let words = format!("points that \"{header}\" tells apart too");
                    doubt.or(words, Answer::State("point_from", value))
                })
            }
            _ => doubt,
        }
    }
}
