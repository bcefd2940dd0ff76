/*! What a rule of the advice answers, and where the rules come from. */

use super::kind::AdviceKind;

pub(super) const SITE: &str = "limit of the site; common practice, no source";
pub(super) const STABILISATION: &str =
    "Minor and Strouse, Stabilization of SPRTs for ITS-90 calibrations, NCSLI conference 2005";
pub(super) const GUM: &str = "JCGM 100:2008 (uncertainty of the difference, expanded)";
pub(super) const SCALE: &str = "ITS-90, Metrologia 27 (1990) 3, section 3.3";

/// What to do, why, and the rule's source; `None` where the rule does not apply.
pub(super) type Answer = Option<(AdviceKind, String, &'static str)>;
