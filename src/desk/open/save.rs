//! Writing the project to the disk, with all that lies on the desk with it.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::super::at_hand::below;
use super::{OnDisk, Open, parted};
use crate::digest::sha256_hex;
use crate::files;
use crate::job::NEW_PROJECT;

/// Why something is not saved or read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in super::super) enum SaveError {
    /// There is something else on the disk, which is only written over if that is asked for.
    Other(String),
    /// It cannot be done like this.
    Refused(String),
}

impl Open {
    /// Writes the project and the files held with it; to another file, if one is named.
    ///
    /// # Errors
    /// If there is something else in a place that is written to and `is_over` is not asked for, or the disk refuses.
    pub(in super::super) fn save(
        &mut self,
        file: Option<&str>,
        is_over: bool,
    ) -> Result<(), SaveError> {
        let Some(text) = self.text().map(str::to_owned) else {
            return Err(SaveError::Refused("nothing is open".to_owned()));
        };
        let target = self.target(file).map_err(SaveError::Refused)?;
        if !is_over {
            self.refuse_other(&target, &text)?;
        }
        let (folder, name) = parted(&target);
        let carried = self.carried(&folder);
        for (path, bytes) in &carried {
            self.refuse_picture(&folder, path, bytes, is_over)?;
        }
        let write = |file: &Path, bytes: &[u8]| {
            let made = file.parent().map_or(Ok(()), fs::create_dir_all);
            made.map_err(|e| SaveError::Refused(format!("cannot make a folder: {e}")))?;
            files::write_file(file, bytes).map_err(|d| SaveError::Refused(d.message))
        };
        for (path, bytes) in &carried {
            write(&folder.join(path), bytes)?;
        }
        write(&target, text.as_bytes())?;
        self.folder = folder;
        self.file = Some(name);
        self.seen = Some(sha256_hex(text.as_bytes()));
        self.held.clear();
        self.renewed.clear();
        self.check();
        Ok(())
    }

    /// The file to write.
    fn target(&self, file: Option<&str>) -> Result<PathBuf, String> {
        let name = file.or(self.file.as_deref()).unwrap_or(NEW_PROJECT);
        if !name.to_lowercase().ends_with(".toml") {
            return Err(format!(
                "a project's file ends in .toml: write \"{name}.toml\""
            ));
        }
        below(&self.folder, name)
    }

    /// Refuses to write over a file that is not the one last read or written.
    fn refuse_other(&self, target: &Path, text: &str) -> Result<(), SaveError> {
        let own = self.file.as_ref().map(|file| self.folder.join(file));
        let other = |problem: String| Err(SaveError::Other(problem));
        if own.as_deref() == Some(target) {
            return match self.on_disk() {
                OnDisk::Changed => other(format!(
                    "{} was changed on the disk since it was read",
                    target.display()
                )),
                OnDisk::Same | OnDisk::Gone | OnDisk::New => Ok(()),
            };
        }
        match fs::read(target) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
            Ok(there) if there == text.as_bytes() => Ok(()),
            Ok(_) | Err(_) => other(format!("{} is there already", target.display())),
        }
    }

    fn refuse_picture(
        &self,
        folder: &Path,
        path: &str,
        bytes: &[u8],
        is_over: bool,
    ) -> Result<(), SaveError> {
        let root = if folder.exists() { folder } else { &self.root };
        below(root, path).map_err(SaveError::Refused)?;
        let is_renewed = folder == self.folder && self.renewed.contains(path);
        match fs::read(folder.join(path)) {
            Ok(there) if there != bytes && !is_over && !is_renewed => Err(SaveError::Other(
                format!("{path} is there already, and is another one"),
            )),
            Ok(_) | Err(_) => Ok(()),
        }
    }

    /// The files to write with the project: those held, and all it names if it moves to another folder.
    fn carried(&self, folder: &Path) -> Vec<(String, Arc<Vec<u8>>)> {
        let mut carried = self.held.clone();
        if folder != self.folder {
            let none = BTreeSet::new();
            let asked = self.checked.as_ref().map_or(&none, |c| &c.asked);
            for path in asked {
                if !carried.contains_key(path)
                    && let Some(bytes) = self.read(path)
                {
                    carried.insert(path.clone(), Arc::new(bytes));
                }
            }
        }
        carried.into_iter().collect()
    }
}
