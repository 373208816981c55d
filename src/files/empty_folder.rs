//! A folder for a test.

use std::fs;
use std::path::PathBuf;

/// An empty folder of a test's own, gone afterwards.
#[derive(Debug)]
pub(crate) struct EmptyFolder(pub(crate) PathBuf);

impl EmptyFolder {
    pub(crate) fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("sheetwright-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }
}

impl Drop for EmptyFolder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}
