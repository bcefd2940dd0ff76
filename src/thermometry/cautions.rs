/*! Cautions that reports, docs and verdicts print. All common practice, no source.

They remind; they do not replace a risk assessment or a licensed person.
*/

/// Stands with every other caution.
pub(crate) const LOCAL: &str =
    "Local safety rules, risk assessments and licensed practice take precedence.";
pub(crate) const CELL: &str = "A triple-point cell is sealed glass: frozen solid, bridged by ice at the \
    surface, knocked or tilted sharply with ice inside it can burst. Watch it while it freezes, \
    keep it upright, wear eye protection.";
pub(crate) const COOLANT: &str = "Solid carbon dioxide and liquid nitrogen burn cold and displace air: \
    gloves, face shield, ventilation, never a closed vessel.";
/// Well fluids.
pub(crate) const ALCOHOL: &str = "Ethanol and other alcohols and their vapours are flammable: no ignition \
    source, no hot well nearby, never in a well above room temperature.";
pub(crate) const HOT: &str = "Dry wells, furnaces and thermometers just withdrawn burn without glowing: \
    mark them, use a heat-proof rest, never put a hot thermometer into a cold cell.";
/// Silica.
pub(crate) const SHEATH: &str =
    "Clean a silica sheath before it is heated: finger marks devitrify it.";
pub(crate) const MERCURY: &str =
    "Mercury cells and thermometers are toxic when broken: follow the rules for spills.";
/// Handling.
pub(crate) const FRAGILE: &str = "A platinum standard thermometer bears no knock, drop or bend; one with a \
    crack or a rattle is withdrawn.";
/// Use in safety functions.
pub(crate) const DOUBT: &str =
    "A thermometer in doubt must not guard a safety function: replace it first.";
/// Electricity.
pub(crate) const MAINS: &str = "Mains equipment beside water and ice needs protective earth and \
    residual-current protection.";

/// All of them, for a page of cautions.
pub(crate) const ALL: [&str; 10] = [
    CELL, COOLANT, ALCOHOL, HOT, SHEATH, MERCURY, FRAGILE, DOUBT, MAINS, LOCAL,
];
