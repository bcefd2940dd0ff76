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

pub mod commands;
pub mod conformity;
pub mod control;
pub mod decisions;
pub mod drift;
pub mod impact;
pub mod intervals;
pub mod ledger;
pub mod pipeline;
pub mod records;
pub mod reliability;
pub mod report;
pub mod settings;
pub mod simulate;
pub mod stats;
pub mod thermometry;
pub mod words;
