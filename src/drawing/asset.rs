//! A picture file of the user's, checked and ready to place.

use super::Drawing;

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
