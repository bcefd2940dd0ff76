/*! Cells with two readings, between which a person decides by a setting. */

/// The setting that says what a bare per cent is one of.
pub(crate) const PER_CENT_OF: &str = "per_cent_of";

/// The setting that says what brackets around a number are.
pub(crate) const BRACKETS: &str = "brackets";

/// The setting that says what becomes of the marks of footnotes.
pub(crate) const FOOTNOTE_MARKS: &str = "footnote_marks";

/// What is open of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum OpenCell {
    /// A tolerance is a bare per cent: of the reading, or of the range.
    PerCentOf,
    /// Limits hold the nominal value and not 0: of the value, or of the error.
    LimitsAre,
    /// Brackets around a number: a minus, or none.
    Brackets,
    /// A mark beside a number, whose footnote may say more than the number does.
    FootnoteMark,
}

impl OpenCell {
    /// The setting of `[checks]` that decides.
    pub(crate) fn setting(self) -> &'static str {
        match self {
            Self::PerCentOf => PER_CENT_OF,
            Self::LimitsAre => "limits_are",
            Self::Brackets => BRACKETS,
            Self::FootnoteMark => FOOTNOTE_MARKS,
        }
    }

    /// The question, and the setting that answers it.
    pub(crate) fn reason(self) -> &'static str {
        match self {
            Self::PerCentOf => {
                "per cent of the reading, or of the range? State per_cent_of = \"reading\" or \"range\" under [checks]"
            }
            Self::LimitsAre => {
                "the limits hold the nominal value and not 0: of the value, or of the error? State limits_are = \"value\" (the nominal value is subtracted) or \"error\" under [checks]"
            }
            Self::Brackets => {
                "brackets around a number: a minus, or none? State brackets = \"negative\" or \"plain\" under [checks]"
            }
            Self::FootnoteMark => {
                "the mark of a footnote beside the number, which may say that it was adjusted or does not count: write that into the row, or state footnote_marks = \"ignored\" under [checks]"
            }
        }
    }
}
