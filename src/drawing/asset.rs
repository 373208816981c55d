//! A picture file of the user's, checked and ready to place.

use super::{Drawing, Item};
use crate::digest::sha256_hex;

/// Position of an [`Asset`] in its project's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct AssetIndex(pub usize);

/// One picture file.
#[derive(Debug, Clone, PartialEq)]
pub struct Asset {
    /// Path as the project spells it.
    pub path: String,
    /// SHA-256 of the file's bytes, lower-case hex.
    pub sha256: String,
    /// Height divided by width as seen, after any orientation stored in the file.
    pub aspect: f64,
    /// The picture itself.
    pub content: AssetContent,
}

impl Asset {
    /// Returns a vector picture that no file holds: its digest is that of what is drawn, `pictures` among it, the list that the drawing
    /// takes its own pictures from.
    ///
    /// # Panics
    /// If the drawing shows a picture that is not in the list.
    #[must_use]
    pub fn drawn(name: &str, drawing: Drawing, aspect: f64, pictures: &[Self]) -> Self {
        let mut spelled = format!("{drawing:?}");
        for shown in shown_in(&drawing) {
            spelled.push_str(&pictures[shown.0].sha256);
        }
        Self {
            path: name.to_owned(),
            sha256: sha256_hex(spelled.as_bytes()),
            aspect,
            content: AssetContent::Vector(drawing),
        }
    }
}

/// The pictures that a drawing shows, in order.
pub(super) fn shown_in(drawing: &Drawing) -> Vec<AssetIndex> {
    let shown = drawing.items.iter().flat_map(|item| match item {
        Item::Picture { asset, .. } => vec![*asset],
        Item::Clip { inner, .. } | Item::Tagged { inner, .. } => shown_in(inner),
        Item::Fill { .. } | Item::Stroke { .. } | Item::Glyphs(_) => Vec::new(),
    });
    shown.collect()
}

/// What kind of picture an [`Asset`] is.
#[derive(Debug, Clone, PartialEq)]
pub enum AssetContent {
    /// A PNG file, known to decode.
    Png {
        /// The file.
        bytes: Vec<u8>,
        /// Pixels across.
        width_px: u32,
        /// Pixels down.
        height_px: u32,
    },
    /// A baseline or progressive JPEG file with one (grey) or three (colour) components, known to decode.
    Jpeg {
        /// The file, embedded untouched.
        bytes: Vec<u8>,
        /// Pixels across, as stored.
        width_px: u32,
        /// Pixels down, as stored.
        height_px: u32,
        /// 1 or 3.
        components: u8,
        /// EXIF orientation 1 to 8; 1 is upright.
        orientation: u8,
    },
    /// A vector picture. The drawing's own space is the unit square (0, 0) to (1, 1): the picture box, y down.
    Vector(Drawing),
}

impl AssetContent {
    /// Returns the pixels across and down as seen, after any orientation stored in the file; `None` for vectors.
    #[must_use]
    pub const fn pixels_as_seen(&self) -> Option<(u32, u32)> {
        match self {
            Self::Png {
                width_px,
                height_px,
                ..
            } => Some((*width_px, *height_px)),
            // EXIF 2.3, tag 274: orientations 5 to 8 swap the sides.
            Self::Jpeg {
                width_px,
                height_px,
                orientation,
                ..
            } if *orientation >= 5 => Some((*height_px, *width_px)),
            Self::Jpeg {
                width_px,
                height_px,
                ..
            } => Some((*width_px, *height_px)),
            Self::Vector(_) => None,
        }
    }
}
