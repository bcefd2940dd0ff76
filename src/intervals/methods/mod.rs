/*! The interval methods, one file a published method: evidence in, proposal out. */

pub(crate) mod control_chart;
pub(crate) mod drift_crossing;
pub(crate) mod group_regression;
pub(crate) mod in_service_check;
pub(crate) mod in_use_time;
pub(crate) mod incremental_response;
pub(crate) mod interval_test;
pub(crate) mod least_cost;
pub(crate) mod reliability;
pub(crate) mod simple_response;
pub(crate) mod staircase;
pub(crate) mod uncertainty_growth;
