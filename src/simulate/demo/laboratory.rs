/*! The demo laboratory as it is written down: who lives through what, and which rows are spoilt. */

use super::kinds::FILE;
use super::member::Member;
use super::thermometry::schedule::Session;
use serde::Deserialize;
use std::sync::LazyLock;

/// Who is there, and what befalls their records.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Laboratory {
    /// Instruments and check standards, in the register's order.
    pub instruments: Vec<Member>,
    /// Thermometers with raw readings.
    pub thermometers: Vec<Thermometer>,
    /// The sessions of those thermometers.
    pub sessions: Vec<Session>,
    pub faults: Vec<Fault>,
    /// Lines of the book of approvals, but for who signed and when.
    pub approvals: Vec<[String; 7]>,
    /// Lines of the book of closings, but for who signed.
    pub closings: Vec<[String; 6]>,
}

// A test counts what is in the file, so that what is built has it.
pub(super) static LABORATORY: LazyLock<Laboratory> =
    LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());

/// A row that cannot be used: the export it goes to, after which line, and the row.
#[derive(Debug, Deserialize)]
pub(super) struct Fault {
    pub file: String,
    pub after_line: usize,
    pub row: String,
}

/// How a thermometer's resistance changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Change {
    /// The whole resistance is scaled: W stays.
    Scaled,
    /// A constant resistance is added: W moves.
    Added,
}

/// One thermometer: value in use, life, coefficients of its certificate.
#[derive(Debug, Deserialize)]
pub(super) struct Thermometer {
    pub name: String,
    pub ohm: f64,
    /// Drift, mK per year.
    pub drift: f64,
    /// How it changes.
    pub change: Change,
    /// Self-heating at 1 mA, mK.
    pub heating: f64,
    pub maximum_c: f64,
    pub subrange: String,
}
