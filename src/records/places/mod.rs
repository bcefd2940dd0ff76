/*! Where the rows of each group lie in the files of checks, so that a question about one instrument
reads these rows and no others.

A file is cut into blocks of a few lines. What is noted of a group are the blocks that hold
rows of its instruments; rows that no history took are noted apart, since they may be any group's.
*/

pub(crate) mod find;
pub(crate) mod held;
pub(crate) mod lines;
pub(crate) mod part;
