/*! The standing cautions that close every report. */

/// What an interval from this program is, and is not.
pub(crate) const ADVICE: &str = "A recommended interval is advice. It takes effect when the person \
authorised for calibration intervals approves it; laws, contracts, accreditation rules and the \
laboratory's own procedures come first.";

/// Cautions that hold for every run.
pub(crate) const CAUTIONS: [&str; 5] = [
    ADVICE,
    "An instrument marked withdraw should not be used for measurements that matter until a person \
     has looked at it and at the work done with it since its last good check.",
    "Forecasts assume that the item goes on as it did. A knock, an overload, a move or a repair \
     ends that: check the item after it, whatever the due date says.",
    "Bands and probabilities rest on the uncertainties and tolerances in the records. Where u is \
     missing it was estimated from the scatter, which cannot see what all checks have in common.",
    "Where a failing standard can hurt someone (pressure, voltage, mercury, radiation, lifting), \
     local codes and licensed practice decide, not a statistic.",
];
