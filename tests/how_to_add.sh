#!/usr/bin/env bash
# Does "How to add" in DEVELOPERS.md tell the truth? Adds a dummy of each kind to a scratch copy, by
# the edits that the page names, compares the files touched with those that its bullet names, and
# builds the copy with warnings denied. Takes what `cargo clippy --release` compiled before.
set -euo pipefail
cd "$(dirname "$0")/.."
root=$PWD
target=${CARGO_TARGET_DIR:-$root/target}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
tar -c --exclude=./target --exclude=./.git . | tar -x -C "$scratch"
cd "$scratch"
touched=()

fail() { echo "how to add: $*" >&2; exit 1; }

# write FILE: a new file, from standard input.
write() {
  [ ! -e "$1" ] || fail "$1 is there already"
  cat >"$1"
  touched+=("${1/dummy/NAME}")
}

# after FILE LINE: puts standard input after the first line that is LINE but for its blanks.
after() {
  local text at
  text=$(cat)
  at=$(grep -nF -- "$2" "$1" | grep -m1 -E "^[0-9]+:[[:blank:]]*$(printf '%s' "$2" | sed 's/[][\.*^$+?(){}|/]/\\&/g')\$" | cut -d: -f1) ||
    fail "$1 has no line: $2"
  { head -n "$at" "$1"; printf '%s\n' "$text"; tail -n "+$((at + 1))" "$1"; } >"$1.new"
  mv "$1.new" "$1"
  touched+=("$1")
}

# named KIND: the files touched since the last call are those that the page's bullet on KIND names.
named() {
  local page mine
  page=$(awk -v start="- **$1**" 'index($0, start) == 1 { on = 1 } on && index($0, "- **") == 1 && index($0, start) != 1 { on = 0 } /^$/ { on = 0 } on' DEVELOPERS.md |
    grep -oE '`(src|tests)/[A-Za-z_/]+\.rs`' | tr -d '`' | sort -u)
  mine=$(printf '%s\n' "${touched[@]}" | sort -u)
  [ "$page" = "$mine" ] || fail "$1: DEVELOPERS.md names
$page
but it takes
$mine"
  touched=()
}

after src/drift/settings.rs 'level: f64 = 0.95 => PROBABILITY,' <<'RUST'
        /// A dummy.
        dummy: f64 = 1.0 => above(0.0).at_most(2.0),
RUST
named 'a setting'

write src/intervals/methods/dummy.rs <<'RUST'
/*! A dummy. */

use crate::intervals::{Evidence, GroupEvidence, Method, MethodName, NoProposal, Proposal, Proposed};

crate::settings! {
    /// A dummy.
    pub struct DummySettings in "intervals.dummy" {
        /// A share.
        share: f64 = 0.5 => at_least(0.0).at_most(1.0),
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct Dummy {
    /// Its settings.
    pub settings: DummySettings,
}

impl Method for Dummy {
    fn name(&self) -> MethodName {
        MethodName::Dummy
    }

    fn proposal(&self, evidence: &Evidence<'_>, _: &GroupEvidence) -> Proposed {
        let tolerance = evidence.tolerance.ok_or(NoProposal::NoTolerance)?;
        let interval = self.settings.share * evidence.cap * tolerance.half_width().signum();
        Ok(Proposal::of(self.name(), interval, 1.0, String::new(), String::new()))
    }
}
RUST
after src/intervals/methods/mod.rs 'pub(crate) mod drift_crossing;' <<'RUST'
pub(crate) mod dummy;
RUST
after src/intervals/names.rs 'LeastCost least_cost "least cost" with LeastCostSettings;' <<'RUST'
            /// a share of the longest interval
            Dummy dummy "dummy" with DummySettings;
RUST
named 'an interval method'

write src/reliability/models/dummy.rs <<'RUST'
/*! A dummy: R = exp(−(λt)²). */

use super::{LifeModel, Parameter};

pub(super) struct Dummy;

impl LifeModel for Dummy {
    fn parameters(&self) -> &'static [Parameter] {
        const { &[Parameter::new("rate", 1, 1e-9, 1e4)] }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        gradient[0] = -2.0 * theta[0] * t * t;
        -(theta[0] * t).powi(2)
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[1.0]]
    }
}
RUST
after src/reliability/models/mod.rs 'mod exponential;' <<'RUST'
mod dummy;
RUST
after src/reliability/models/mod.rs 'Lognormal lognormal "lognormal";' <<'RUST'
    /// A dummy.
    Dummy dummy "dummy";
RUST
named 'a life model'

write src/drift/dummy.rs <<'RUST'
/*! A dummy: the straight line under another name. */

use super::model::{Case, DriftModel};
use super::regression::straight_line::STRAIGHT_LINE;
use super::{Fit, ModelName};

pub(super) struct Dummy;

impl DriftModel for Dummy {
    fn name(&self) -> ModelName {
        ModelName::Dummy
    }

    fn fit(&self, case: &Case<'_>) -> Fit {
        let model = self.name();
        Fit { model, ..STRAIGHT_LINE.fit(case) }
    }

    fn forecast(&self, case: &Case<'_>) -> Fit {
        self.fit(case)
    }
}
RUST
after src/drift/mod.rs 'mod course;' <<'RUST'
mod dummy;
RUST
after src/drift/model_name.rs 'Wander "wander" = wander::drift_model::WANDER;' <<'RUST'
            /// A dummy.
            Dummy "dummy" = dummy::Dummy;
RUST
named 'a drift model'

write src/report/charts/dummy.rs <<'RUST'
/*! A dummy: the name of a group. */

use super::canvas::sheet;
use super::frame::heading;
use crate::report::view::GroupView;

/// A sheet with a title.
pub(crate) fn dummy_chart(group: &GroupView) -> String {
    sheet((840, 100), &group.name, "a dummy", |canvas| {
        heading(canvas, &group.name, "a dummy", 840.0);
    })
}
RUST
after src/report/charts/mod.rs 'mod dates;' <<'RUST'
mod dummy;
RUST
after src/report/charts/mod.rs 'pub(crate) use coverage::coverage_chart;' <<'RUST'
pub(crate) use dummy::dummy_chart;
RUST
after src/report/gallery.rs 'keep("rates", || drift_rates_chart(&view.groups[0]));' <<'RUST'
    keep("dummy", || dummy_chart(&view.groups[0]));
RUST
after src/report/page/group.rs 'body.extend(group.sections.iter().map(section));' <<'RUST'
    body += &figure(&crate::report::charts::dummy_chart(group));
RUST
named 'a chart'

after src/report/tables.rs '.number("band_upper", |r| r.decision.band_upper)' <<'RUST'
        .number("dummy", |r| r.fit.last_x)
RUST
after src/report/tables.rs '.about("in a mean of methods")' <<'RUST'
        .number("dummy", |(_, p)| p.weight)
        .about("a dummy")
RUST
named 'an output column'

CARGO_TARGET_DIR=$target cargo clippy --quiet --release --all-targets -- -D warnings ||
  fail "the copy with a dummy of each kind does not build"
echo "how to add: a dummy of each kind, by the edits that DEVELOPERS.md names, builds"
