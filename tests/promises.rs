/*! The promises a user relies on: one module a promise. */

// Helpers of tests may unwrap like the tests themselves.
#![allow(clippy::unwrap_used)]

#[macro_use]
#[path = "../src/assertions.rs"]
mod assertions;

#[path = "any_unit.rs"]
mod any_unit;
#[path = "approvals.rs"]
mod approvals;
#[path = "assurance.rs"]
mod assurance;
#[path = "audited_pages.rs"]
mod audited_pages;
#[path = "bad_input.rs"]
mod bad_input;
#[path = "bad_session.rs"]
mod bad_session;
#[path = "bench_convert.rs"]
mod bench_convert;
#[path = "bench_page.rs"]
mod bench_page;
#[path = "bench_person.rs"]
mod bench_person;
#[path = "bench_recipe.rs"]
mod bench_recipe;
#[path = "bench_watch.rs"]
mod bench_watch;
#[path = "bench_year.rs"]
mod bench_year;
#[path = "beside_checks.rs"]
mod beside_checks;
#[path = "beyond_memory.rs"]
mod beyond_memory;
#[path = "cases.rs"]
mod cases;
#[path = "cells_in_doubt.rs"]
mod cells_in_doubt;
#[path = "changed_headers.rs"]
mod changed_headers;
mod changed_readings;
#[path = "claims.rs"]
mod claims;
#[path = "control_charts.rs"]
mod control_charts;
#[path = "cut_display.rs"]
mod cut_display;
#[path = "decide_on_page.rs"]
mod decide_on_page;
#[path = "decision_rule.rs"]
mod decision_rule;
#[path = "desk.rs"]
mod desk;
#[path = "drift_picture.rs"]
mod drift_picture;
#[path = "engine.rs"]
mod engine;
#[path = "every_method.rs"]
mod every_method;
#[path = "export.rs"]
mod export;
#[path = "exports_from_anywhere.rs"]
mod exports_from_anywhere;
#[path = "fresh_exports.rs"]
mod fresh_exports;
#[path = "gone_failures.rs"]
mod gone_failures;
#[path = "headless.rs"]
mod headless;
#[path = "hostile_disk.rs"]
mod hostile_disk;
#[path = "instruments.rs"]
mod instruments;
#[path = "interval_in_use.rs"]
mod interval_in_use;
#[path = "killed_run.rs"]
mod killed_run;
#[path = "laboratory.rs"]
mod laboratory;
#[path = "main_job.rs"]
mod main_job;
#[path = "make_workbook.rs"]
mod make_workbook;
#[path = "monthly_run.rs"]
mod monthly_run;
#[path = "named_by_files.rs"]
mod named_by_files;
#[path = "new_user.rs"]
mod new_user;
#[path = "next_month.rs"]
mod next_month;
#[path = "no_memory.rs"]
mod no_memory;
#[path = "odd_workbooks.rs"]
mod odd_workbooks;
#[path = "one_action.rs"]
mod one_action;
#[path = "own_files.rs"]
mod own_files;
#[path = "page_in_browser.rs"]
mod page_in_browser;
#[path = "pass_fail.rs"]
mod pass_fail;
#[path = "proof.rs"]
mod proof;
#[path = "published_fits.rs"]
mod published_fits;
#[path = "quiet_cells.rs"]
mod quiet_cells;
#[path = "quiet_losses.rs"]
mod quiet_losses;
#[path = "random_exports.rs"]
mod random_exports;
#[path = "random_laboratory.rs"]
mod random_laboratory;
#[path = "raw_exports.rs"]
mod raw_exports;
#[path = "raw_failures.rs"]
mod raw_failures;
#[path = "raw_shapes.rs"]
mod raw_shapes;
#[path = "raw_values.rs"]
mod raw_values;
#[path = "record_files.rs"]
mod record_files;
#[path = "recorded_rows.rs"]
mod recorded_rows;
#[path = "refused_shapes.rs"]
mod refused_shapes;
#[path = "remedy.rs"]
mod remedy;
#[path = "report_on_any_screen.rs"]
mod report_on_any_screen;
#[path = "rooms.rs"]
mod rooms;
#[path = "same_cases.rs"]
mod same_cases;
#[path = "scheduled_recipes.rs"]
mod scheduled_recipes;
#[path = "session_in_doubt.rs"]
mod session_in_doubt;
#[path = "session_picture.rs"]
mod session_picture;
#[path = "sources.rs"]
mod sources;
#[path = "spark.rs"]
mod spark;
#[path = "tables_documented.rs"]
mod tables_documented;
#[path = "thermometer_list.rs"]
mod thermometer_list;
#[path = "titles.rs"]
mod titles;
#[path = "tool.rs"]
mod tool;
#[path = "usage_axis.rs"]
mod usage_axis;
#[path = "value.rs"]
mod value;
#[path = "verdict.rs"]
mod verdict;
#[path = "verdict_changes.rs"]
mod verdict_changes;
mod verdict_of_a_fleet;
#[path = "wild_numbers.rs"]
mod wild_numbers;
#[path = "work_in_doubt.rs"]
mod work_in_doubt;
#[path = "workload_picture.rs"]
mod workload_picture;
#[path = "yearly_dates.rs"]
mod yearly_dates;
