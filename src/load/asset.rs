//! Files that the project names: profiles, outlines and pictures, each read once.

use std::cell::RefCell;
use std::collections::BTreeMap;

use super::value::Value;
use super::{code, raster, svg_picture};
use crate::diagnostic::Diagnostic;
use crate::digest::sha256_hex;
use crate::drawing::{Asset, AssetContent, AssetIndex, Drawing};

/// Largest file that is read, in bytes; a PNG picture may be larger, since it is taken smaller where print does not need all of it.
pub const LARGEST_FILE_BYTES: u64 = 64_000_000;
/// Largest PNG file that is read, in bytes.
pub const LARGEST_PNG_BYTES: u64 = 384_000_000;

/// Returns how large a file with this path may be, in bytes.
#[must_use]
pub fn largest_bytes(path: &str) -> u64 {
    match extension(path).as_deref() {
        Some("png") => LARGEST_PNG_BYTES,
        Some(_) | None => LARGEST_FILE_BYTES,
    }
}

fn extension(path: &str) -> Option<String> {
    let (_, extension) = path.rsplit_once('.')?;
    Some(extension.to_ascii_lowercase())
}

/// Where the bytes of the files come from that a project names.
pub trait Assets {
    /// Returns the bytes of a file.
    ///
    /// `path` is relative to the project's folder, with `/` between its parts, and has no `..` in it.
    ///
    /// # Errors
    ///
    /// Returns an [`AssetError`] if there is no such file, if it lies outside the folder, if it has more than [`largest_bytes`], or if it
    /// cannot be read.
    fn read(&self, path: &str) -> Result<Vec<u8>, AssetError>;
}

/// Adds the text of each file that diagnostics point into and that is not among `texts` yet.
pub fn add_texts_of(
    diagnostics: &[Diagnostic],
    assets: &dyn Assets,
    texts: &mut BTreeMap<String, String>,
) {
    for origin in diagnostics.iter().filter_map(|d| d.origin.as_ref()) {
        let file = &origin.place.file;
        if !texts.contains_key(file)
            && let Ok(bytes) = assets.read(file)
            && let Ok(text) = String::from_utf8(bytes)
        {
            texts.insert(file.clone(), text);
        }
    }
}

/// Files in memory, by their paths.
impl Assets for BTreeMap<String, Vec<u8>> {
    fn read(&self, path: &str) -> Result<Vec<u8>, AssetError> {
        self.get(path).cloned().ok_or(AssetError::Missing)
    }
}

/// Why a file that a project names gives no bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AssetError {
    /// Occurs if there is no such file.
    Missing,
    /// Occurs if the path leads out of the project's folder, by a link for instance.
    Outside,
    /// Occurs if the file is larger than [`largest_bytes`].
    TooLarge {
        /// Its size.
        bytes: u64,
    },
    /// Occurs if the file is there and cannot be read.
    Unreadable {
        /// What the system says, lower case, no full stop.
        reason: String,
    },
}

/// What is wrong with a file, before it is known which value is to blame.
#[derive(Debug, Clone)]
pub(super) struct Fault {
    pub(super) code: &'static str,
    pub(super) message: String,
    pub(super) hint: String,
}

impl Fault {
    pub(super) fn new(
        code: &'static str,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            code,
            message: message.into(),
            hint: hint.into(),
        }
    }
}

/// Reads a picture of one kind from its path, for messages, and its bytes; returns it with its height divided by its width.
type PictureReader = fn(&str, Vec<u8>) -> Result<(AssetContent, f64), Fault>;

/// The files read so far.
pub(super) struct Library<'a> {
    source: &'a dyn Assets,
    pictures: RefCell<Vec<Asset>>,
    faults: RefCell<Vec<(String, Fault)>>,
}

impl<'a> Library<'a> {
    pub(super) fn new(source: &'a dyn Assets) -> Self {
        Self {
            source,
            pictures: RefCell::default(),
            faults: RefCell::default(),
        }
    }

    /// Returns the pictures, in the order of first use.
    pub(super) fn into_pictures(self) -> Vec<Asset> {
        self.pictures.into_inner()
    }

    /// Reads the file that a value names, as bytes.
    pub(super) fn bytes(&self, value: &Value<'_>) -> Option<Vec<u8>> {
        let path = value.raw_text()?;
        self.read(path).map_err(|fault| blame(value, &fault)).ok()
    }

    /// Reads the picture that a value names, and returns its position and its height divided by its width.
    pub(super) fn picture(&self, value: &Value<'_>) -> Option<(AssetIndex, f64)> {
        let path = value.raw_text()?;
        if let Some(known) = self
            .pictures
            .borrow()
            .iter()
            .position(|picture| picture.path == path)
        {
            return Some((AssetIndex(known), self.pictures.borrow()[known].aspect));
        }
        let known_fault = self
            .faults
            .borrow()
            .iter()
            .find(|(p, _)| p == path)
            .map(|(_, f)| f.clone());
        let read = known_fault.map_or_else(|| self.decode(path), Err);
        match read {
            Ok(picture) => {
                let aspect = picture.aspect;
                self.pictures.borrow_mut().push(picture);
                Some((AssetIndex(self.pictures.borrow().len() - 1), aspect))
            }
            Err(fault) => {
                blame(value, &fault);
                self.faults.borrow_mut().push((path.to_owned(), fault));
                None
            }
        }
    }

    /// The path of a picture.
    pub(super) fn path(&self, picture: AssetIndex) -> String {
        self.with(picture, |picture| picture.path.clone())
    }

    /// Whether a picture is one of vectors.
    pub(super) fn is_vector(&self, picture: AssetIndex) -> bool {
        self.with(picture, |picture| {
            matches!(picture.content, AssetContent::Vector(_))
        })
    }

    /// Looks at a picture.
    pub(super) fn with<T>(
        &self,
        AssetIndex(index): AssetIndex,
        see: impl FnOnce(&Asset) -> T,
    ) -> T {
        see(&self.pictures.borrow()[index])
    }

    /// Keeps a vector picture that was drawn here, in its unit square; returns its position, that of an equal one if there is one.
    pub(super) fn drawn(&self, name: &str, drawing: Drawing, aspect: f64) -> AssetIndex {
        let picture = Asset::drawn(name, drawing, aspect, &self.pictures.borrow());
        self.keep(picture)
    }

    /// Keeps a picture; returns its position, that of an equal one if there is one.
    pub(super) fn keep(&self, picture: Asset) -> AssetIndex {
        let mut pictures = self.pictures.borrow_mut();
        let known = pictures.iter().position(|p| p.sha256 == picture.sha256);
        AssetIndex(known.unwrap_or_else(|| {
            pictures.push(picture);
            pictures.len() - 1
        }))
    }

    fn decode(&self, path: &str) -> Result<Asset, Fault> {
        let read: PictureReader = match extension(path).as_deref() {
            Some("png") => raster::read_png,
            Some("jpg" | "jpeg") => raster::read_jpeg,
            Some("webp") => raster::read_webp,
            Some("svg") => |path, bytes| svg_picture::read(path, &bytes),
            _ => {
                let message = format!("\"{path}\" has no name of a picture");
                return Err(Fault::new(
                    code::ASSET_KIND,
                    message,
                    "name a .png, .jpg, .jpeg, .webp or .svg file",
                ));
            }
        };
        let bytes = self.read(path)?;
        let sha256 = sha256_hex(&bytes);
        let (content, aspect) = read(path, bytes)?;
        Ok(Asset {
            path: path.to_owned(),
            sha256,
            aspect,
            content,
        })
    }

    fn read(&self, path: &str) -> Result<Vec<u8>, Fault> {
        refuse_outside(path)?;
        match self.source.read(path) {
            Ok(bytes) => match u64::try_from(bytes.len()) {
                Ok(size) if size <= largest_bytes(path) => Ok(bytes),
                size => Err(too_large(path, size.unwrap_or(u64::MAX))),
            },
            Err(AssetError::Missing) => Err(Fault::new(
                code::ASSET_MISSING,
                format!("there is no file \"{path}\""),
                "write the path from the folder of the project file, like \"art/packet.svg\"",
            )),
            Err(AssetError::Outside) => Err(outside(path)),
            Err(AssetError::TooLarge { bytes }) => Err(too_large(path, bytes)),
            Err(AssetError::Unreadable { reason }) => Err(Fault::new(
                code::ASSET_UNREADABLE,
                format!("\"{path}\" cannot be read: {reason}"),
                "check that it is a file and may be read",
            )),
        }
    }
}

impl std::fmt::Debug for Library<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Library")
            .field("pictures", &self.pictures)
            .finish_non_exhaustive()
    }
}

fn blame(value: &Value<'_>, fault: &Fault) {
    let diagnostic = Diagnostic::error(fault.code, fault.message.clone());
    value
        .mistakes()
        .push(diagnostic.at(&value.origin()).hint(fault.hint.clone()));
}

/// Refuses absolute paths, drive letters, backslashes, and any step upwards.
fn refuse_outside(path: &str) -> Result<(), Fault> {
    let is_inside = !path.is_empty()
        && !path.starts_with('/')
        && !path.contains(['\\', ':', '\0'])
        && path.split('/').all(|part| part != "..");
    if is_inside {
        Ok(())
    } else {
        Err(outside(path))
    }
}

fn outside(path: &str) -> Fault {
    Fault::new(
        code::ASSET_OUTSIDE,
        format!("the path \"{path}\" does not stay in the project's folder"),
        "put the file beside the project file and write a path like \"art/packet.svg\"",
    )
}

fn too_large(path: &str, bytes: u64) -> Fault {
    let mb = |bytes: u64| bytes.div_ceil(1_000_000);
    Fault::new(
        code::ASSET_TOO_LARGE,
        format!(
            "\"{path}\" has {} MB, more than {} MB",
            mb(bytes),
            mb(largest_bytes(path))
        ),
        "save it smaller; 300 pixels to the inch are enough in print",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_stay_in_the_folder() {
        for path in ["leaf.png", "art/leaf.png", "art/..leaf.png", "./leaf.png"] {
            assert!(refuse_outside(path).is_ok(), "{path}");
        }
        for path in [
            "",
            "/leaf.png",
            "../leaf.png",
            "art/../../leaf.png",
            "C:leaf.png",
            "art\\leaf.png",
        ] {
            assert!(refuse_outside(path).is_err(), "{path}");
        }
    }
}
