/*! The columns of the table of raw readings. */

use crate::records::reading::table::TableColumn;
use std::collections::BTreeMap;

/// A column of the table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ReadingColumn {
    pub name: &'static str,
    /// Unit of its amounts, where it holds amounts.
    pub unit: Option<&'static str>,
    /// `text` where it holds names and words rather than numbers, `needed` where the table makes no sense without it.
    is: &'static [&'static str],
}

/// Each column once: after its name stands what it is, then the unit of its amounts.
macro_rules! reading_columns {
    ($( $name:ident $($trait:ident)* $(, $unit:literal)?; )*) => {
        /// Columns of the table, in their order.
        pub(crate) const COLUMNS: [ReadingColumn; [$(stringify!($name)),*].len()] = [$(ReadingColumn {
            name: stringify!($name),
            unit: [$(Some($unit),)? None][0],
            is: &[$(stringify!($trait)),*],
        }),*];
    };
}

reading_columns! {
    session text; // identity of the session (one cell, one plateau, one day); without the column, the day and the cell
    instrument text needed; // identity of the thermometer
    date needed; // ISO 8601 date and time of the reading
    point text; // fixed point by name, or a comparison temperature such as 100 °C; empty = triple point of water
    ratio; // bridge ratio R/R_s; needed unless resistance_ohm is given
    resistance_ohm, "Ω"; // resistance, Ω, where no ratio is given
    readings; // number of readings that the row is the mean of; empty = a single reading
    standard_deviation; // standard deviation of those readings, in the unit of ratio or resistance_ohm; needed with readings above 1
    u_ohm, "Ω"; // standard uncertainty of a value that the laboratory has reduced itself, all its components together, Ω: nothing is corrected then, and no other budget is made
    u_common_ohm, "Ω"; // the part of u_ohm that all checks of the thermometer share (cell, resistor, readout), Ω
    bridge text; // identity of the bridge or readout
    resistor text; // identity of the reference resistor
    resistor_ohm, "Ω"; // certified value of the reference resistor, Ω; needed with ratio
    u_resistor_ohm, "Ω"; // its standard uncertainty, Ω
    resistor_drift_ppm, "ppm"; // its relative change since its calibration, 1e-6
    resistor_alpha; // its linear temperature coefficient, 1/K
    resistor_beta; // its quadratic temperature coefficient, 1/K²
    resistor_reference_c; // temperature of its calibration, °C
    resistor_temperature_c; // its temperature at the reading, °C
    current_ma, "mA"; // measuring current, mA
    depth_m, "m"; // depth of the middle of the element below the liquid surface, m
    minutes_since_insertion, "min"; // time since the thermometer was put in, minutes
    plateau_minutes, "min"; // time since the mantle or plateau was made, minutes
    cell text; // identity of the cell
    cell_kind text; // small slush (dry well), small frozen or large mantle; what is not stated is asked for and costs the widest budget
    delta_deuterium; // δD of the cell's water, plain number
    delta_oxygen_18; // δ18O of the cell's water, plain number
    delta_oxygen_17; // δ17O where measured
    cell_departure_uk, "µK"; // temperature of the cell minus that of the scale by comparison, µK: negative for a cell that is colder; replaces isotopes and impurities
    u_cell_departure_uk, "µK"; // its standard uncertainty, µK
    cell_correction_uk; // not used: its sign can be read both ways; state cell_departure_uk
    u_cell_correction_uk; // not used; state u_cell_departure_uk
    pre_cooled text; // true where the thermometer was pre-cooled before insertion
    event text; // adjusted, repaired, annealed, shocked, replaced; what happened before the session
    notes text; // anything worth keeping
}

/// The columns as the reader of tables looks for them; `headers` maps our names to the file's own.
pub(crate) fn wanted_columns(
    headers: &BTreeMap<String, String>,
) -> [TableColumn<'_>; COLUMNS.len()] {
    COLUMNS.map(|column| TableColumn {
        name: column.name,
        own: headers.get(column.name).map(String::as_str),
        text: column.is.contains(&"text"),
        needed: column.is.contains(&"needed"),
    })
}

/// Place of a column in [`COLUMNS`].
pub(super) fn index_of(name: &str) -> Option<usize> {
    COLUMNS.iter().position(|column| column.name == name)
}
