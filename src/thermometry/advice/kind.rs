/*! What the advice rests on, and what it says. */

use super::anneal::AnnealPlan;
use crate::thermometry::found::Confirmable;
use crate::thermometry::from_certificate::FromCertificate;
use crate::thermometry::its90::Platinum;
use crate::thermometry::range::RatioChange;

use crate::thermometry::session::SessionStanding;
use serde::Serialize;

crate::words::worded! {
    /// What to do.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
    #[serde(rename_all = "snake_case")]
    pub enum AdviceKind with word {
        /// No change is shown: keep the value in use.
        Keep = "keep",
        /// Adopt the new value.
        Adopt = "adopt",
        /// Anneal and measure again; use the old value with the stated doubt meanwhile, or not at all.
        Anneal = "anneal",
        /// Repeat the check before anything is decided.
        Repeat = "repeat",
        /// Withdraw from use and recalibrate.
        Withdraw = "withdraw",
    }
}

/// What the history lets expect of this check, mK.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Expected {
    /// Expected change from the value in use.
    pub change_mk: f64,
    /// Standard uncertainty of the next reading about it.
    pub u_mk: f64,
}

/// Change of R at the triple point since the last certificate.
#[derive(Debug, Clone, PartialEq)]
pub struct Total {
    pub mk: f64,
    /// Its standard uncertainty, mK.
    pub u_mk: f64,
    /// True where the session before it exceeds the limit too, and neither is in doubt.
    pub confirmed: bool,
    /// Since when, in words.
    pub since: String,
}

/// What the advice rests on.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AdviceInput {
    /// Standing of the session.
    pub standing: SessionStanding,
    /// Its reasons, in words.
    pub session_reasons: String,
    /// Change from the value in use, mK.
    pub change_mk: f64,
    /// Standard uncertainty of the change: random parts of both values, mK.
    pub u_change_mk: f64,
    /// True where the session before it, since whatever last happened, says the same and neither is
    /// in doubt: one session alone asks for another, never for an anneal or a withdrawal.
    pub confirmed: bool,
    /// True where a knock was noted since the last change of the value in use.
    pub shocked: bool,
    /// Change since the last certificate; `None` where no value in use is stated.
    pub total: Option<Total>,
    /// Expectation from the history, where there is one.
    pub expected: Option<Expected>,
    /// Changes from the value in use after each anneal since, oldest first, mK. The last
    /// one is this check where it followed an anneal.
    pub after_anneals_mk: Vec<f64>,
    /// W at another fixed point before and now, where measured.
    pub other_point: Option<Confirmable<RatioChange>>,
    /// W at another fixed point against the certificate's coefficients, where it is off.
    pub certificate: Option<Confirmable<FromCertificate>>,
    /// Whether the platinum meets the scale's limits, where known and claimed.
    pub platinum: Option<Confirmable<Platinum>>,
    /// Highest temperature the thermometer is rated for, °C.
    pub maximum_c: Option<f64>,
    /// Highest temperature it is used at, °C.
    pub highest_use_c: f64,
}

/// The advice with its reasons.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Advice {
    /// What to do.
    pub kind: AdviceKind,
    /// Why, one sentence.
    pub reason: String,
    /// Where the rule comes from.
    pub source: &'static str,
    /// How to anneal, where that is the advice.
    pub anneal: Option<AnnealPlan>,
    /// What it means for work done since the last good check; empty where nothing.
    pub impact: String,
    /// Cautions that belong to the advice.
    pub cautions: Vec<&'static str>,
}

impl Advice {
    /// The finding that its reason begins with, without figures and consequences: "changed by +1.200 mK, more than 0.5 mK".
    pub(crate) fn finding(&self) -> &str {
        let ends = [" (", ": ", "; "].map(|mark| self.reason.find(mark));
        let end = ends.into_iter().flatten().min();
        &self.reason[..end.unwrap_or(self.reason.len())]
    }

    /// True for all but keep and adopt.
    pub(crate) fn needs_person(&self) -> bool {
        !matches!(self.kind, AdviceKind::Keep | AdviceKind::Adopt)
    }
}
