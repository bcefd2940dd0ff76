/*! Driftbook: check histories in, one explained recalibration decision per history out.

```text
records ──► screening ──► reduction ──► histories ──┬─► drift ───────┐
(CSV,      (rejects with  (thermometry: (columnar,  ├─► control ─────┤
 Parquet)   reasons)       raw → R_TPW)  segments)  ├─► conformity ──┼─► intervals ─► decisions ─► reports
                                                    └─► reliability ─┘      ▲            │
                                                        (groups)          policy         └─► impact
```

Each room is a module; data flows one way. Domain rooms never import
`commands`, `pipeline` or `report`.
*/

#![forbid(unsafe_code)]
// What nothing outside the crate uses stays inside it, so that the compiler tells what is dead.
#![warn(unreachable_pub)]

#[cfg(test)]
#[macro_use]
mod assertions;

pub mod commands;
pub mod conformity;
mod control;
mod decisions;
pub mod drift;
mod files;
mod impact;
pub mod intervals;
pub mod ledger;
pub mod no_memory;
mod pipeline;
#[cfg(test)]
mod property_cases;
pub mod records;
mod reliability;
pub mod report;
mod section;
pub mod settings;
pub mod simulate;
pub mod spare_memory;
mod stats;
pub mod thermometry;
mod words;
