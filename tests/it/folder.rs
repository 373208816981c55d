//! A folder on disk as the source of a project's files.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use sheetwright::load::{AssetError, Assets};

/// The folder that a project file lies in.
pub(crate) struct Folder(pub(crate) PathBuf);

impl Folder {
    /// The folder of `path`.
    pub(crate) fn of(path: &Path) -> Self {
        Self(path.parent().unwrap().to_owned())
    }
}

impl Assets for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, AssetError> {
        fs::read(self.0.join(path)).map_err(|error| {
            if error.kind() == ErrorKind::NotFound {
                AssetError::Missing
            } else {
                AssetError::Unreadable {
                    reason: error.to_string().to_lowercase(),
                }
            }
        })
    }
}

/// Files of that name ending below `tests/projects/KIND`, sorted.
pub(crate) fn projects(kind: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/projects")
        .join(kind);
    let mut found: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    found.sort();
    found
}
