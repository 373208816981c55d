//! Ways to spoil a made folder, and ways to save its files again without spoiling anything.
//!
//! They work on the bytes of any folder the program made, not on a certain one.

pub(crate) mod found;
pub(crate) mod pdf;
pub(crate) mod resave;
pub(crate) mod svg;

use std::collections::BTreeMap;

/// Files by name.
pub(crate) type Files = BTreeMap<String, Vec<u8>>;

/// The folder with one file changed.
pub(crate) fn changed(files: &Files, name: &str, change: impl FnOnce(&[u8]) -> Vec<u8>) -> Files {
    let mut files = files.clone();
    let changed = change(&files[name]);
    assert_ne!(changed, files[name], "{name} is as it was");
    files.insert(name.to_owned(), changed);
    files
}
