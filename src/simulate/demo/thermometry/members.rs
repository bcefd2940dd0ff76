/*! The six invented thermometers with raw readings, and what a laboratory keeps of them. */

use super::super::figures::decimal;

/// How a thermometer's resistance changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Change {
    /// The whole resistance is scaled: W stays.
    Scaled,
    /// A constant resistance is added: W moves.
    Added,
}

/// One thermometer: value in use, life, coefficients of its certificate.
pub(super) struct Member {
    pub name: &'static str,
    pub ohm: f64,
    /// Drift, mK per year.
    pub drift: f64,
    /// How it changes.
    pub change: Change,
    /// Self-heating at 1 mA, mK.
    pub heating: f64,
    pub maximum_c: f64,
    pub subrange: &'static str,
}

pub(super) const MEMBERS: [Member; 6] = [
    member(
        "TH-101",
        25.479_652,
        0.05,
        Change::Scaled,
        0.30,
        660.0,
        "{ number = 7, a = -1.313e-4, b = -3.84e-5, c = 8.56e-6 }",
    ),
    member(
        "TH-102",
        25.501_218,
        0.12,
        Change::Scaled,
        0.34,
        660.0,
        "{ number = 7, a = -1.027e-4, b = -1.95e-5, c = 4.10e-6 }",
    ),
    member(
        "TH-103",
        25.488_907,
        -0.08,
        Change::Scaled,
        0.28,
        420.0,
        "{ number = 8, a = -1.433e-4, b = -1.73e-5 }",
    ),
    member(
        "TH-104",
        25.513_440,
        0.10,
        Change::Added,
        0.41,
        480.0,
        "{ number = 8, a = -1.108e-4, b = -1.22e-5 }",
    ),
    member(
        "TH-105",
        25.470_115,
        0.95,
        Change::Scaled,
        0.36,
        660.0,
        "{ number = 7, a = -1.271e-4, b = -2.88e-5, c = 6.02e-6 }",
    ),
    member(
        "TH-106",
        25.496_731,
        0.20,
        Change::Added,
        0.33,
        660.0,
        "{ number = 7, a = -0.984e-4, b = -2.07e-5, c = 3.77e-6 }",
    ),
];

const fn member(
    name: &'static str,
    ohm: f64,
    drift: f64,
    change: Change,
    heating: f64,
    maximum_c: f64,
    subrange: &'static str,
) -> Member {
    Member {
        name,
        ohm,
        drift,
        change,
        heating,
        maximum_c,
        subrange,
    }
}

/// Rows of the register for these thermometers, a group of their own.
/// Their rows of a register, with `group` as it is written there.
pub(crate) fn register_rows(group: &str) -> String {
    MEMBERS
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
    for (index, member) in MEMBERS.iter().enumerate() {
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
