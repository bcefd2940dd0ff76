/*! The source of a reading: the laboratory, reference or certificate that gave it.

A change of source is an offset of its own, which all items that saw both sources tell together
([`offsets`]); how much sources differ at all is the variance of a random laboratory effect
([`between`]). The readings of earlier sources are brought to the level of an item's latest one
([`settle`]), so that a step of the reference moves the source's term and no item's drift.
*/

mod between;
mod offsets;
pub(crate) mod settle;
pub(crate) mod words;

#[cfg(test)]
mod source_tests;
