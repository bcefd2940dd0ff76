/*! What a laboratory keeps of its thermometers with raw readings. */

use crate::simulate::demo::figures::decimal;
use crate::simulate::demo::laboratory::LABORATORY;

/// Their rows of a register, with `group` as it is written there.
pub(crate) fn register_rows(group: &str) -> String {
    LABORATORY
        .thermometers
        .iter()
        .map(|member| {
            format!(
                "{},,{group},mK,-5,5,365,,,,,,,normal,\"standard platinum resistance thermometer, 25 ohm\",,,,,\n",
                member.name
            )
        })
        .collect()
}

/// Values that the laboratory adopted for TH-105, each as read in the session of that day
/// (S-04 and S-09); then it waited too long.
const ADOPTED: (&str, &str) = (
    "TH-105",
    "adopted = [\n  { on = 2024-10-08, triple_point_ohm = 25.470138, u_triple_point_ohm = 0.0000024, measured_in = \"C-1\" },\n  \
     { on = 2025-03-07, triple_point_ohm = 25.470177, u_triple_point_ohm = 0.0000024, measured_in = \"C-1\" },\n]\n",
);

pub(super) fn thermometers() -> String {
    let mut text = String::from(
        "# The demo's thermometers with raw readings: invented, like everything here.\n",
    );
    for (index, member) in LABORATORY.thermometers.iter().enumerate() {
        text.push_str(&format!(
            "\n[[thermometer]]\ninstrument = \"{}\"\ntriple_point_ohm = {}\nu_triple_point_ohm = 0.0000024\nmeasured_in = \"C-1\"\n{}\
             maximum_c = {}\nself_heating_mk = [{}, {}]\ncheck_standard = {}\nsubrange = [{}]\n",
            member.name,
            member.ohm,
            if member.name == ADOPTED.0 { ADOPTED.1 } else { "" },
            member.maximum_c,
            decimal(member.heating - 0.1, 2),
            decimal(member.heating + 0.1, 2),
            index == 0,
            member.subrange,
        ));
    }
    text
}
