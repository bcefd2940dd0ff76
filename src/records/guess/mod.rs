/*! A first look at a person's own file: what its columns mean, and why we think so. */

mod apart;
pub(crate) mod beside;
pub(crate) mod columns;
pub(crate) mod dates;
pub(crate) mod doubt;
pub(crate) mod draft;
pub(crate) mod file;
pub(crate) mod headers;
mod layout;
mod letters;
pub(crate) mod looked;
mod meanings;
mod said;
mod sample;
mod sheets;
pub(crate) mod sight;
pub(crate) mod stated;
mod values;
