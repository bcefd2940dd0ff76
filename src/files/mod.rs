/*! What a run leaves on the disk: whole, or not at all; nothing replaced that it did not write. */

pub(crate) mod folder;
mod folder_error;
mod lock;
pub(crate) mod meant;
pub(crate) mod own_files;
pub(crate) mod run_error;
pub(crate) mod spare;
pub(crate) mod whole_file;
