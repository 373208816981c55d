//! The project on the desk: its text and history, the files that came with it, and what of it is on the disk.

mod save;

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::at_hand::{AtHand, Held, below};
use super::checked::Checked;
use super::history::History;
use crate::date::Date;
use crate::digest::sha256_hex;
use crate::files;
use crate::job::NEW_PROJECT;
use crate::load::Assets;
use crate::project::Project;

pub(super) use save::SaveError;

/// How the project's file on the disk stands to what was last read from it or written to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OnDisk {
    /// As it was.
    Same,
    /// Somebody else has written it.
    Changed,
    /// It is no longer there.
    Gone,
    /// There never was one.
    New,
}

impl OnDisk {
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Same => "same",
            Self::Changed => "changed",
            Self::Gone => "gone",
            Self::New => "new",
        }
    }
}

/// The project on the desk, if there is one.
#[derive(Debug)]
pub(super) struct Open {
    /// Grows with every change.
    revision: u64,
    history: Option<History>,
    /// The desk's own folder.
    root: PathBuf,
    /// Where the project's pictures are looked for.
    folder: PathBuf,
    /// The file's name in that folder.
    file: Option<String>,
    /// Digest of the file as it was last read or written.
    seen: Option<String>,
    /// Files laid on the desk, written when the project is saved.
    held: Held,
    /// Those of them that were made from what lay at their paths, and are written over it.
    renewed: BTreeSet<String>,
    checked: Option<Arc<Checked>>,
    /// The last project without mistakes, and its revision.
    sound: Option<(u64, Arc<Project>)>,
    today: Date,
}

impl Open {
    /// An empty desk in a folder.
    pub(super) fn new(root: PathBuf, today: Date) -> Self {
        Self {
            revision: 0,
            history: None,
            folder: root.clone(),
            root,
            file: None,
            seen: None,
            held: Held::new(),
            renewed: BTreeSet::new(),
            checked: None,
            sound: None,
            today,
        }
    }

    pub(super) fn revision(&self) -> u64 {
        self.revision
    }

    pub(super) fn history(&self) -> Option<&History> {
        self.history.as_ref()
    }

    pub(super) fn text(&self) -> Option<&str> {
        self.history.as_ref().map(History::text)
    }

    /// The desk's own folder, in which projects are looked for.
    pub(super) fn root(&self) -> &Path {
        &self.root
    }

    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    pub(super) fn file(&self) -> Option<&str> {
        self.file.as_deref()
    }

    pub(super) fn held(&self) -> &Held {
        &self.held
    }

    /// How much is held that is not on the disk.
    pub(super) fn held_bytes(&self) -> usize {
        self.held.values().map(|bytes| bytes.len()).sum()
    }

    pub(super) fn today(&self) -> Date {
        self.today
    }

    pub(super) fn checked(&self) -> Option<&Arc<Checked>> {
        self.checked.as_ref()
    }

    /// The last project without mistakes, and the revision that it is of.
    pub(super) fn sound(&self) -> Option<&(u64, Arc<Project>)> {
        self.sound.as_ref()
    }

    /// The project as it is now, if it has no mistakes.
    pub(super) fn project(&self) -> Option<&Arc<Project>> {
        self.checked.as_ref()?.project.as_ref()
    }

    /// Puts a new project on the desk, which is on no disk yet.
    pub(super) fn begin(&mut self, text: String, held: Held) {
        self.put(text, self.root.clone(), None, held);
    }

    /// Reads a project file below the desk's folder.
    ///
    /// # Errors
    /// If it cannot be read.
    pub(super) fn open(&mut self, path: &str) -> Result<(), String> {
        let file = below(&self.root, path)?;
        let text = files::read_text(&file).map_err(|d| d.message)?.text;
        let (folder, name) = parted(&file);
        self.put(text, folder, Some(name), Held::new());
        Ok(())
    }

    /// Clears the desk.
    pub(super) fn close(&mut self) {
        *self = Self {
            revision: self.revision + 1,
            ..Self::new(self.root.clone(), self.today)
        };
    }

    fn put(&mut self, text: String, folder: PathBuf, file: Option<String>, held: Held) {
        self.close();
        self.folder = folder;
        self.seen = file.as_ref().map(|_| sha256_hex(text.as_bytes()));
        self.file = file;
        self.held = held;
        self.history = Some(History::new(text));
        self.check();
    }

    /// Takes a step; nothing if the text stays as it is.
    pub(super) fn step(&mut self, words: &str, text: String) {
        let Some(history) = &mut self.history else {
            return;
        };
        if history.text() != text {
            history.step(words, text);
            self.moved();
        }
    }

    pub(super) fn undo(&mut self) {
        if self.history.as_mut().is_some_and(History::undo) {
            self.moved();
        }
    }

    pub(super) fn redo(&mut self) {
        if self.history.as_mut().is_some_and(History::redo) {
            self.moved();
        }
    }

    fn moved(&mut self) {
        self.revision += 1;
        self.check();
    }

    fn check(&mut self) {
        let Some(text) = self.history.as_ref().map(History::text) else {
            return;
        };
        let name = self.file.as_deref().unwrap_or(NEW_PROJECT);
        let checked = Checked::of(name, text, &self.held, &self.folder, self.today);
        if let Some(project) = &checked.project {
            self.sound = Some((self.revision, Arc::clone(project)));
        }
        self.checked = Some(Arc::new(checked));
    }

    /// Lays a file on the desk under a path that no other file has; returns the path it got.
    pub(super) fn hold(&mut self, path: &str, bytes: Vec<u8>) -> String {
        let (stem, extension) = path.rsplit_once('.').unwrap_or((path, ""));
        let names = (2..).map(|n| format!("{stem}-{n}.{extension}"));
        let mut names = std::iter::once(path.to_owned()).chain(names);
        let found = names.find(|name| self.is_free(name, &bytes));
        let name = found.unwrap_or_else(|| path.to_owned());
        self.held.insert(name.clone(), Arc::new(bytes));
        name
    }

    /// Lays a file on the desk that renews what has its path, and takes a step; what names it is read again.
    pub(super) fn renew(&mut self, path: &str, bytes: Vec<u8>, words: &str, text: String) {
        self.held.insert(path.to_owned(), Arc::new(bytes));
        self.renewed.insert(path.to_owned());
        let before = self.revision;
        self.step(words, text);
        if self.revision == before {
            self.moved();
        }
    }

    fn is_free(&self, name: &str, bytes: &[u8]) -> bool {
        match self.read(name) {
            Some(there) => there == bytes,
            None => !self.folder.join(name).exists(),
        }
    }

    /// A file of the project, held or in its folder.
    pub(super) fn read(&self, path: &str) -> Option<Vec<u8>> {
        let hand = AtHand::new(&self.held, Some(&self.folder));
        hand.read(path).ok()
    }

    /// How the file on the disk stands to what was last read or written.
    pub(super) fn on_disk(&self) -> OnDisk {
        let Some(file) = &self.file else {
            return OnDisk::New;
        };
        match fs::read(self.folder.join(file)) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => OnDisk::Gone,
            Ok(bytes) if Some(sha256_hex(&bytes)) == self.seen => OnDisk::Same,
            Ok(_) | Err(_) => OnDisk::Changed,
        }
    }

    /// Whether all that is on the desk is on the disk as well.
    pub(super) fn is_saved(&self) -> bool {
        let Some(text) = self.text() else { return true };
        let is_written = self.seen == Some(sha256_hex(text.as_bytes()));
        self.file.is_some() && is_written && self.held.is_empty()
    }

    /// Takes the file as it is on the disk, as a step that can be taken back.
    pub(super) fn reread(&mut self) -> Result<(), String> {
        let Some(file) = self.file.clone() else {
            return Err("this project was never saved".to_owned());
        };
        let read = files::read_text(&self.folder.join(file)).map_err(|d| d.message)?;
        self.seen = Some(sha256_hex(read.text.as_bytes()));
        self.step("taking what is on the disk", read.text);
        // Pictures may have changed, too.
        self.moved();
        Ok(())
    }
}

/// A file's folder and name.
fn parted(file: &Path) -> (PathBuf, String) {
    let name = file.file_name().unwrap_or_default();
    let folder = file.parent().map_or_else(PathBuf::new, Path::to_owned);
    (folder, name.to_string_lossy().into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::empty_folder::EmptyFolder;

    const LABELS: &str = "sheetwright = 1\n[job]\nname = \"Labels\"\ncopies = 4\ncut_by = \"machine\"\n[[stock]]\nid = \"oat\"\nformat = \"a4\"\n[[piece]]\nid = \"label\"\nstock = \"oat\"\nshape = { kind = \"rectangle\", width = \"40 mm\", height = \"60 mm\" }\n";

    fn desk(folder: &EmptyFolder) -> Open {
        Open::new(folder.0.clone(), (2027, 4, 17))
    }

    #[test]
    fn a_project_is_saved_with_its_pictures_and_known_on_the_disk() {
        let folder = EmptyFolder::new("desk-saved");
        let mut open = desk(&folder);
        open.begin(LABELS.to_owned(), Held::new());
        assert_eq!((open.on_disk(), open.is_saved()), (OnDisk::New, false));
        assert_eq!(open.hold("art/leaf.svg", vec![1]), "art/leaf.svg");
        assert_eq!(open.hold("art/leaf.svg", vec![2]), "art/leaf-2.svg");
        open.save(Some("labels/tins.toml"), false).unwrap();
        assert_eq!((open.on_disk(), open.is_saved()), (OnDisk::Same, true));
        assert_eq!(
            fs::read(folder.0.join("labels/art/leaf-2.svg")).unwrap(),
            [2]
        );
        let written = fs::read_to_string(folder.0.join("labels/tins.toml")).unwrap();
        assert_eq!(written, LABELS);
    }

    #[test]
    fn what_somebody_else_wrote_is_noticed_and_not_written_over_unasked() {
        let folder = EmptyFolder::new("desk-changed");
        let mut open = desk(&folder);
        let file = folder.0.join("project.toml");
        fs::write(&file, LABELS).unwrap();
        open.open("project.toml").unwrap();
        open.step("Copies", LABELS.replace("= 4", "= 5"));
        assert!(!open.is_saved());
        fs::write(&file, LABELS.replace("= 4", "= 6")).unwrap();
        assert_eq!(open.on_disk(), OnDisk::Changed);
        assert!(matches!(open.save(None, false), Err(SaveError::Other(_))));
        open.reread().unwrap();
        assert_eq!((open.on_disk(), open.is_saved()), (OnDisk::Same, true));
        open.undo();
        assert!(open.text().unwrap().contains("= 5"));
        open.save(None, false).unwrap();
        fs::remove_file(&file).unwrap();
        assert_eq!(open.on_disk(), OnDisk::Gone);
    }

    #[test]
    fn another_file_is_not_written_over_unasked() {
        let folder = EmptyFolder::new("desk-other");
        let mut open = desk(&folder);
        fs::write(folder.0.join("mine.toml"), "mine").unwrap();
        open.begin(LABELS.to_owned(), Held::new());
        let refused = open.save(Some("mine.toml"), false);
        assert!(matches!(refused, Err(SaveError::Other(_))), "{refused:?}");
        let refused = open.save(Some("../out.toml"), true);
        assert!(matches!(refused, Err(SaveError::Refused(_))), "{refused:?}");
        open.save(Some("mine.toml"), true).unwrap();
    }

    #[test]
    fn the_last_sound_project_stays_while_the_text_has_mistakes() {
        let folder = EmptyFolder::new("desk-sound");
        let mut open = desk(&folder);
        open.begin(LABELS.to_owned(), Held::new());
        let sound = open.revision();
        open.step("Width", LABELS.replace("40 mm", "40"));
        assert!(open.project().is_none());
        assert_eq!(open.sound().unwrap().0, sound);
        assert_eq!(open.checked().unwrap().diagnostics.len(), 1);
        open.undo();
        assert!(open.project().is_some() && open.revision() > sound);
    }
}
