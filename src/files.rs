//! The disk: reading what a project names, and writing a folder all or nothing (`whole`).

#[cfg(test)]
pub(crate) mod empty_folder;
mod whole;

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Read, Write};
use std::path::{Component, Path, PathBuf};

use crate::diagnostic::Diagnostic;
use crate::job::Made;
use crate::load::{AssetError, Assets, NamedText, largest_bytes};

/// Name of the file that marks a folder as ours.
const OWN_FOLDER_MARK: &str = "report.json";
/// No project file is larger than this, in bytes.
const LARGEST_PROJECT: u64 = 4 << 20;
/// No scan is larger than this, in bytes: A4 at 1200 dpi in three colours of 16 bits.
const LARGEST_PICTURE: u64 = 900 << 20;

/// A project file as read, with the folder that its paths start from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProjectSource {
    /// The file's name for messages; `-` for standard input.
    pub name: String,
    /// Its text.
    pub text: String,
    /// Where the pictures and profiles it names are looked for.
    pub assets: DiskAssets,
}

impl ProjectSource {
    /// Returns the project file at `path`; `-` reads standard input, with paths from the current folder.
    ///
    /// # Errors
    /// If it cannot be read, is larger than 4 MiB or is no UTF-8 text.
    pub fn read(path: &Path) -> Result<Self, Diagnostic> {
        if path == Path::new("-") {
            let mut text = String::new();
            io::stdin()
                .take(LARGEST_PROJECT)
                .read_to_string(&mut text)
                .map_err(|e| unreadable(path, &e))?;
            return Ok(Self {
                name: "-".into(),
                text,
                assets: DiskAssets {
                    folder: PathBuf::from("."),
                },
            });
        }
        let file = if path.is_dir() {
            path.join("project.toml")
        } else {
            path.to_owned()
        };
        let bytes = read_limited(&file, LARGEST_PROJECT).map_err(|e| unreadable(&file, &e))?;
        let text = String::from_utf8(bytes).map_err(|e| {
            let place = e.utf8_error().valid_up_to();
            Diagnostic::error(
                "file.text",
                format!("{} is not UTF-8 text from byte {place} on", file.display()),
            )
            .hint("save it as UTF-8")
        })?;
        let folder = file
            .parent()
            .filter(|p| !p.as_os_str().is_empty())
            .map_or(".".into(), Path::to_owned);
        Ok(Self {
            name: file_name(&file),
            text,
            assets: DiskAssets { folder },
        })
    }
}

fn file_name(path: &Path) -> String {
    path.file_name()
        .map_or_else(String::new, |n| n.to_string_lossy().into_owned())
}

fn unreadable(path: &Path, error: &io::Error) -> Diagnostic {
    Diagnostic::error(
        "file.unreadable",
        format!("cannot read {}: {error}", path.display()),
    )
}

/// Reads a whole file unless it is larger than `limit` bytes.
fn read_limited(path: &Path, limit: u64) -> io::Result<Vec<u8>> {
    let file = fs::File::open(path)?;
    let length = file.metadata()?.len().min(limit) + 1;
    // Grown step by step, a large one would be in memory twice.
    let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0));
    file.take(limit + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > limit {
        return Err(io::Error::other(format!("larger than {} MiB", limit >> 20)));
    }
    Ok(bytes)
}

/// Pictures and profiles in the project's folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DiskAssets {
    folder: PathBuf,
}

impl Assets for DiskAssets {
    fn read(&self, path: &str) -> Result<Vec<u8>, AssetError> {
        if !Path::new(path)
            .components()
            .all(|c| matches!(c, Component::Normal(_) | Component::CurDir))
        {
            return Err(AssetError::Outside);
        }
        let file = self.inside(path)?;
        let bytes = fs::metadata(&file).map_err(asset_error)?.len();
        let most = largest_bytes(path);
        if bytes > most {
            return Err(AssetError::TooLarge { bytes });
        }
        read_limited(&file, most).map_err(asset_error)
    }
}

impl DiskAssets {
    /// Returns those in a folder.
    #[must_use]
    pub fn in_folder(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
        }
    }

    /// The file's own path, links followed, if it lies in the project's folder.
    fn inside(&self, path: &str) -> Result<PathBuf, AssetError> {
        let folder = self.folder.canonicalize().map_err(asset_error)?;
        let file = self.folder.join(path).canonicalize().map_err(asset_error)?;
        if file.starts_with(folder) {
            Ok(file)
        } else {
            Err(AssetError::Outside)
        }
    }
}

#[expect(
    clippy::needless_pass_by_value,
    reason = "the signature `map_err` wants"
)]
fn asset_error(error: io::Error) -> AssetError {
    if error.kind() == io::ErrorKind::NotFound {
        return AssetError::Missing;
    }
    AssetError::Unreadable {
        reason: error.to_string().to_lowercase(),
    }
}

/// Reads a profile or a list of paper named on the command line.
///
/// # Errors
/// If it cannot be read or is no UTF-8 text.
pub fn read_text(path: &Path) -> Result<NamedText, Diagnostic> {
    let bytes = read_limited(path, LARGEST_PROJECT).map_err(|e| unreadable(path, &e))?;
    let name = path.display().to_string();
    match String::from_utf8(bytes) {
        Ok(text) => Ok(NamedText { name, text }),
        Err(_) => Err(Diagnostic::error(
            "file.text",
            format!("{name} is not UTF-8 text"),
        )),
    }
}

/// Reads a picture named on the command line.
///
/// # Errors
/// If it cannot be read or is larger than a scan of 1200 dpi without compression.
pub fn read_picture(path: &Path) -> Result<Vec<u8>, Diagnostic> {
    read_limited(path, LARGEST_PICTURE).map_err(|e| unreadable(path, &e))
}

/// Returns all files directly in `folder` by name. One that had stepped aside for a new one when the program broke off is put back first.
///
/// # Errors
/// If the folder or a file in it cannot be read.
pub fn read_folder(folder: &Path) -> Result<BTreeMap<String, Vec<u8>>, Diagnostic> {
    if fs::symlink_metadata(folder).is_err() {
        // On a disk that cannot be written the folder stays away, which is said below.
        let _ = whole::put_back(folder);
    }
    let entries = fs::read_dir(folder).map_err(|e| unreadable(folder, &e))?;
    let mut files = BTreeMap::new();
    for entry in entries {
        let path = entry.map_err(|e| unreadable(folder, &e))?.path();
        if path.is_file() {
            files.insert(
                file_name(&path),
                fs::read(&path).map_err(|e| unreadable(&path, &e))?,
            );
        }
    }
    Ok(files)
}

/// Writes one file through a neighbour that is renamed, so that it is there whole or not at all; a link stays one.
///
/// # Errors
/// If the disk refuses.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    let file = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let partial = whole::neighbour(&file, "partial");
    fs::write(&partial, bytes)
        .and_then(|()| fs::rename(&partial, &file))
        .map_err(|e| unwritable(path, &e))
}

/// Writes a file that is not there yet.
///
/// # Errors
/// If it is there, which is never written over, or the disk refuses.
pub fn write_new_file(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    let written = fs::File::create_new(path).and_then(|mut file| file.write_all(bytes));
    written.map_err(|e| {
        if e.kind() != io::ErrorKind::AlreadyExists {
            return unwritable(path, &e);
        }
        let there = format!(
            "{} is there already and is not written over",
            path.display()
        );
        Diagnostic::error("file.there", there).hint("name another file with --out")
    })
}

/// Refuses a target folder that holds anything but an earlier result of ours.
///
/// # Errors
/// If `folder` is a file, or a folder with files but without our `report.json`.
pub fn check_target(folder: &Path) -> Result<(), Diagnostic> {
    if folder.file_name().is_none() {
        return Err(Diagnostic::error(
            "file.unwritable",
            format!("{} has no name of its own", folder.display()),
        )
        .hint("name a new folder, for example: --out made"));
    }
    match fs::read_dir(folder) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(e) => Err(unwritable(folder, &e)),
        Ok(mut entries) => {
            if entries.next().is_none() || folder.join(OWN_FOLDER_MARK).is_file() {
                return Ok(());
            }
            Err(Diagnostic::error(
                "file.foreign-folder",
                format!(
                    "{} holds files that this program did not make",
                    folder.display()
                ),
            )
            .hint(format!(
                "choose a new folder: --out {}-made",
                folder.display()
            )))
        }
    }
}

/// Replaces `folder` by one that holds just `files`: the old one stays whole until the new one is.
///
/// # Errors
/// If [`check_target`] refuses or the disk does.
pub fn write_folder(folder: &Path, files: &BTreeMap<String, Vec<u8>>) -> Result<(), Diagnostic> {
    check_target(folder)?;
    replace(folder, files)
}

/// Does the same where a folder is ours if it holds nothing but files whose names `is_ours` knows.
///
/// # Errors
/// If the folder holds anything else, or the disk refuses.
pub fn write_folder_of(
    folder: &Path,
    files: &BTreeMap<String, Vec<u8>>,
    is_ours: impl Fn(&str) -> bool,
) -> Result<(), Diagnostic> {
    let has_others = match fs::read_dir(folder) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => false,
        Err(e) => return Err(unwritable(folder, &e)),
        Ok(entries) => {
            let mut names = entries.map(|entry| entry.map(|e| file_name(&e.path())));
            names.any(|name| name.map_or(true, |name| !is_ours(&name)))
        }
    };
    if has_others || folder.file_name().is_none() {
        let message = format!("{} holds other files", folder.display());
        let hint = "name a new folder, for example: --out registered";
        return Err(Diagnostic::error("file.foreign-folder", message).hint(hint));
    }
    replace(folder, files)
}

fn replace(folder: &Path, files: &BTreeMap<String, Vec<u8>>) -> Result<(), Diagnostic> {
    whole::replace(folder, files).map_err(|e| unwritable(folder, &e))
}

/// Writes what was made to `folder` if it is proved. If not, `folder` stays as it is and the set goes to `folder.rejected`, to be
/// looked at. Returns where it went. What an earlier failed proof left there is removed either way.
///
/// # Errors
/// If [`check_target`] refuses or the disk does.
pub fn deliver(folder: &Path, made: &Made) -> Result<PathBuf, Diagnostic> {
    clear_rejected(folder)?;
    let to = if made.verdict.is_proved() {
        folder.to_owned()
    } else {
        rejected_folder(folder)
    };
    write_folder(&to, &made.files)?;
    Ok(to)
}

fn rejected_folder(folder: &Path) -> PathBuf {
    let mut name = folder.as_os_str().to_owned();
    name.push(".rejected");
    PathBuf::from(name)
}

/// Removes what an earlier failed proof left beside `folder`, and nothing that is not ours.
fn clear_rejected(folder: &Path) -> Result<(), Diagnostic> {
    let rejected = rejected_folder(folder);
    if check_target(&rejected).is_err() {
        return Ok(());
    }
    whole::remove_if_there(&rejected).map_err(|e| unwritable(&rejected, &e))
}

fn unwritable(path: &Path, error: &io::Error) -> Diagnostic {
    Diagnostic::error(
        "file.unwritable",
        format!("cannot write {}: {error}", path.display()),
    )
}
