/*! Cells with two readings, between which a person decides by a setting: the draft takes the first. */

use crate::records::Loaded;
use crate::records::cells::column::Column;
use crate::records::cells::limits::open::{OpenCell, PER_CENT_OF};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;

/// A doubt for each kind of cell with two readings: the draft takes the first until a person says.
pub(super) fn open_cells(loaded: &Loaded) -> Vec<Doubt> {
    OPEN_CELLS
        .iter()
        .filter_map(|own| own.doubt(loaded))
        .collect()
}

/// A kind of cell with two readings, and the settings between which a person decides.
struct OpenKind {
    cell: OpenCell,
    /// What stands there, behind the cell's own text.
    words: &'static str,
    /// Values of the setting as the pipeline file has them, each with its meaning.
    answers: &'static [(&'static str, &'static str)],
}

const OPEN_CELLS: [OpenKind; 3] = [
    OpenKind {
        cell: OpenCell::PerCentOf,
        words: "is a tolerance in per cent, and whether of the reading or of the range the file does not say",
        answers: &[
            ("\"reading\"", "of the reading"),
            ("\"range\"", "of the range"),
        ],
    },
    OpenKind {
        cell: OpenCell::Brackets,
        words: "is a number in brackets: a minus in one laboratory, and in another a value for information",
        answers: &[
            ("\"negative\"", "a minus"),
            ("\"plain\"", "no sign of the number"),
        ],
    },
    OpenKind {
        cell: OpenCell::FootnoteMark,
        words: "is a number with the mark of a footnote, which may say that it was adjusted, failed, or does not count: where it does, write that into the row (event, outcome) before the run",
        answers: &[(
            "\"ignored\"",
            "the number counts as it stands, and the mark is passed over",
        )],
    },
];

/// True where cells of this kind are asked about.
pub(super) fn is_asked(cell: OpenCell) -> bool {
    OPEN_CELLS.iter().any(|own| own.cell == cell)
}

/// The values of a setting that decides on such cells, each with its meaning; `None` of any other setting.
pub(super) fn answers(setting: &str) -> Option<&'static [(&'static str, &'static str)]> {
    let own = OPEN_CELLS.iter().find(|own| own.cell.setting() == setting);
    own.map(|own| own.answers)
}

impl OpenKind {
    fn doubt(&self, loaded: &Loaded) -> Option<Doubt> {
        let rejects = loaded.rejects.iter();
        let rejects = rejects.map(|r| (r.open(), &r.file, r.row, &r.value));
        let valueless = loaded.valueless.iter();
        let valueless = valueless.map(|v| (v.open, &v.file, v.row, &v.value));
        let mut all = rejects
            .chain(valueless)
            .filter(|(open, ..)| *open == Some(self.cell));
        let (_, file, row, value) = all.next()?;
        let more = match all.count() {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let words = format!("{file}, row {row}{more}: \"{value}\" {}.", self.words);
        let setting = self.cell.setting();
        let doubt = Doubt::new(setting, words).settled_by(setting);
        Some(self.answers.iter().fold(doubt, |doubt, (value, meaning)| {
            doubt.or(*meaning, Answer::State(setting, value.to_string()))
        }))
    }
}

/// Of what a doubt of cells with two readings asks: a per cent of the column of limits, by its name.
pub(super) fn of_column(doubt: Doubt, guess: &Guess) -> Doubt {
    match guess.header(Column::Tolerance) {
        Some(header) if doubt.name == PER_CENT_OF => doubt.about(header),
        _ => doubt,
    }
}

/// The settings of cells with two readings of which the draft takes the first.
pub(super) fn open_settings() -> impl Iterator<Item = (&'static str, &'static str)> {
    OPEN_CELLS.iter().map(|own| {
        let first = own.answers.first();
        (
            own.cell.setting(),
            first.map_or("", |(_, meaning)| *meaning),
        )
    })
}
