//! Files that a project names: those that were laid on the desk first, then those in the project's own folder.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use crate::files::DiskAssets;
use crate::load::{AssetError, Assets};

/// Files by their paths in the project's folder, not yet on the disk.
pub(super) type Held = BTreeMap<String, Arc<Vec<u8>>>;

/// Files at hand, and which of them were asked for.
#[derive(Debug)]
pub(super) struct AtHand<'a> {
    held: &'a Held,
    disk: Option<DiskAssets>,
    asked: RefCell<BTreeSet<String>>,
}

impl<'a> AtHand<'a> {
    /// Those held, and those in a folder if there is one.
    pub(super) fn new(held: &'a Held, folder: Option<&Path>) -> Self {
        Self {
            held,
            disk: folder.map(DiskAssets::in_folder),
            asked: RefCell::default(),
        }
    }

    /// The paths that were asked for.
    pub(super) fn into_asked(self) -> BTreeSet<String> {
        self.asked.into_inner()
    }
}

impl Assets for AtHand<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, AssetError> {
        self.asked.borrow_mut().insert(path.to_owned());
        if let Some(bytes) = self.held.get(path) {
            return Ok(bytes.to_vec());
        }
        match &self.disk {
            Some(disk) => disk.read(path),
            None => Err(AssetError::Missing),
        }
    }
}

/// The file at a path that the page names, if that stays below `folder`, links followed; what is wrong with it otherwise.
///
/// The file need not be there, nor the folders before it.
pub(super) fn below(folder: &Path, path: &str) -> Result<PathBuf, String> {
    let parts: Vec<_> = Path::new(path).components().collect();
    let is_plain = |part: &Component<'_>| match part {
        Component::Normal(name) => !name.to_string_lossy().starts_with('.'),
        Component::CurDir | Component::ParentDir | Component::RootDir | Component::Prefix(_) => {
            false
        }
    };
    let strange = path.contains(['\\', ':', '\0']) || path.chars().any(char::is_control);
    if parts.is_empty() || strange || !parts.iter().all(is_plain) {
        return Err(format!(
            "\"{path}\" is no name for a file here: write a name, or folders and a name parted by /"
        ));
    }
    let file = folder.join(path);
    let root = folder
        .canonicalize()
        .map_err(|e| format!("cannot read {}: {e}", folder.display()))?;
    let there = file.ancestors().find_map(|p| p.canonicalize().ok());
    if there.is_some_and(|there| there.starts_with(&root)) {
        Ok(file)
    } else {
        Err(format!("\"{path}\" leads out of {}", folder.display()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_out_of_the_folder_are_refused() {
        let folder = std::env::temp_dir();
        for name in [
            "",
            ".",
            "..",
            "../a.toml",
            "/etc/passwd",
            "a/../../b",
            "./a.toml",
            ".hidden",
            "a\\b",
            "C:a",
            "a\0b",
            "art/.x",
        ] {
            assert!(below(&folder, name).is_err(), "{name:?}");
        }
        for name in ["box.toml", "herb box/project.toml", "art/new/leaf.png"] {
            assert_eq!(below(&folder, name), Ok(folder.join(name)));
        }
    }

    #[test]
    fn a_link_that_leads_out_of_the_folder_is_refused() {
        let folder = std::env::temp_dir().join(format!("desk-links-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink("/", folder.join("out")).unwrap();
            assert!(below(&folder, "out/new.toml").is_err());
        }
        assert!(below(&folder, "in/new.toml").is_ok());
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn what_is_held_comes_before_the_disk() {
        let held = Held::from([("a.svg".to_owned(), Arc::new(vec![1]))]);
        let hand = AtHand::new(&held, Some(&std::env::temp_dir()));
        assert_eq!(hand.read("a.svg"), Ok(vec![1]));
        assert_eq!(hand.read("not-there-at-all.svg"), Err(AssetError::Missing));
        assert_eq!(hand.read("../a.svg"), Err(AssetError::Outside));
        assert_eq!(hand.into_asked().len(), 3);
    }
}
