/*! The columns of the table of raw readings. */

use crate::records::reading::table::TableColumn;
use std::collections::BTreeMap;

/// Columns of the table: name, and what it holds.
pub(crate) const COLUMNS: [(&str, &str); 35] = [
    (
        "session",
        "identity of the session (one cell, one plateau, one day); without the column, the day and the cell",
    ),
    ("instrument", "identity of the thermometer; needed"),
    ("date", "ISO 8601 date and time of the reading; needed"),
    (
        "point",
        "fixed point by name, or a comparison temperature such as 100 °C; empty = triple point of water",
    ),
    (
        "ratio",
        "bridge ratio R/R_s; needed unless resistance_ohm is given",
    ),
    ("resistance_ohm", "resistance, Ω, where no ratio is given"),
    (
        "readings",
        "number of readings that the row is the mean of; empty = a single reading",
    ),
    (
        "standard_deviation",
        "standard deviation of those readings, in the unit of ratio or resistance_ohm; needed with readings above 1",
    ),
    (
        "u_ohm",
        "standard uncertainty of a value that the laboratory has reduced itself, all its components together, Ω: \
         nothing is corrected then, and no other budget is made",
    ),
    (
        "u_common_ohm",
        "the part of u_ohm that all checks of the thermometer share (cell, resistor, readout), Ω",
    ),
    ("bridge", "identity of the bridge or readout"),
    ("resistor", "identity of the reference resistor"),
    (
        "resistor_ohm",
        "certified value of the reference resistor, Ω; needed with ratio",
    ),
    ("u_resistor_ohm", "its standard uncertainty, Ω"),
    (
        "resistor_drift_ppm",
        "its relative change since its calibration, 1e-6",
    ),
    ("resistor_alpha", "its linear temperature coefficient, 1/K"),
    (
        "resistor_beta",
        "its quadratic temperature coefficient, 1/K²",
    ),
    ("resistor_reference_c", "temperature of its calibration, °C"),
    (
        "resistor_temperature_c",
        "its temperature at the reading, °C",
    ),
    ("current_ma", "measuring current, mA"),
    (
        "depth_m",
        "depth of the middle of the element below the liquid surface, m",
    ),
    (
        "minutes_since_insertion",
        "time since the thermometer was put in, minutes",
    ),
    (
        "plateau_minutes",
        "time since the mantle or plateau was made, minutes",
    ),
    ("cell", "identity of the cell"),
    (
        "cell_kind",
        "small slush (dry well), small frozen or large mantle; what is not stated is asked for and costs the widest budget",
    ),
    ("delta_deuterium", "δD of the cell's water, plain number"),
    ("delta_oxygen_18", "δ18O of the cell's water, plain number"),
    ("delta_oxygen_17", "δ17O where measured"),
    (
        "cell_departure_uk",
        "temperature of the cell minus that of the scale by comparison, µK: negative for a cell that is colder; replaces isotopes and impurities",
    ),
    ("u_cell_departure_uk", "its standard uncertainty, µK"),
    (
        "cell_correction_uk",
        "not used: its sign can be read both ways; state cell_departure_uk",
    ),
    (
        "u_cell_correction_uk",
        "not used; state u_cell_departure_uk",
    ),
    (
        "pre_cooled",
        "true where the thermometer was pre-cooled before insertion",
    ),
    (
        "event",
        "adjusted, repaired, annealed, shocked, replaced; what happened before the session",
    ),
    ("notes", "anything worth keeping"),
];

/// Columns that hold names and words rather than numbers.
const TEXTS: [&str; 10] = [
    "bridge",
    "resistor",
    "session",
    "instrument",
    "point",
    "cell",
    "cell_kind",
    "pre_cooled",
    "event",
    "notes",
];
/// Columns without which the table makes no sense.
const NEEDED: [&str; 2] = ["instrument", "date"];

/// The columns as the reader of tables looks for them; `headers` maps our names to the file's own.
pub(crate) fn wanted_columns(
    headers: &BTreeMap<String, String>,
) -> [TableColumn<'_>; COLUMNS.len()] {
    COLUMNS.map(|(name, _)| TableColumn {
        name,
        own: headers.get(name).map(String::as_str),
        text: TEXTS.contains(&name),
        needed: NEEDED.contains(&name),
    })
}

/// Place of a column in [`COLUMNS`].
pub(super) fn index_of(name: &str) -> Option<usize> {
    COLUMNS.iter().position(|(column, _)| *column == name)
}
