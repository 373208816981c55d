//! Pictures in a PDF: which file they come from, and which way up they are.

use image::ImageDecoder;
use image::codecs::jpeg::JpegDecoder;
use image::metadata::Orientation;
use kurbo::Affine;
use lopdf::{Object, Stream};
use sha2::{Digest, Sha256};

use super::document::MOST_BYTES;
use super::found::Paint;

/// PDF's unit square of an image has y up.
const STORED_FROM_Y_DOWN: Affine = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 1.0]);

/// The digest that a picture says its file had.
pub(super) fn source(stream: &Stream) -> Option<String> {
    let text = stream
        .dict
        .get(b"SheetwrightSource")
        .and_then(Object::as_str)
        .ok()?;
    String::from_utf8(text.to_vec()).ok()
}

/// A vector picture: a form whose space is the unit square, y down.
pub(super) fn form(stream: &Stream, page_from_form: Affine) -> Paint {
    Paint::Picture {
        page_from_picture: page_from_form,
        sha256: source(stream),
        bytes_sha256: None,
    }
}

/// What is the same wherever a raster picture is placed.
#[derive(Debug, Clone)]
pub(super) struct Raster {
    user_from_seen: Affine,
    sha256: Option<String>,
    bytes_sha256: Option<String>,
}

impl Raster {
    /// Looks at an image.
    pub(super) fn new(stream: &Stream) -> Self {
        let jpeg = jpeg_bytes(stream);
        let stored_from_seen = jpeg.as_deref().map_or(Affine::IDENTITY, stored_from_seen);
        Self {
            user_from_seen: STORED_FROM_Y_DOWN * stored_from_seen,
            sha256: source(stream),
            bytes_sha256: jpeg.map(|bytes| hex(&Sha256::digest(bytes))),
        }
    }

    /// The picture placed.
    pub(super) fn placed(&self, page_from_user: Affine) -> Paint {
        Paint::Picture {
            page_from_picture: page_from_user * self.user_from_seen,
            sha256: self.sha256.clone(),
            bytes_sha256: self.bytes_sha256.clone(),
        }
    }
}

/// The JPEG file in an image stream, unwrapped if another filter lies around it.
fn jpeg_bytes(stream: &Stream) -> Option<Vec<u8>> {
    let filters = stream.filters().ok()?;
    let (last, outer) = filters.split_last()?;
    if *last != b"DCTDecode" {
        return None;
    }
    if outer.is_empty() {
        return Some(stream.content.clone());
    }
    let mut wrapped = stream.clone();
    let names = outer
        .iter()
        .map(|name| Object::Name(name.to_vec()))
        .collect();
    wrapped.dict.set("Filter", Object::Array(names));
    wrapped.dict.remove(b"DecodeParms");
    wrapped.decompressed_content_with_limit(MOST_BYTES).ok()
}

/// The picture as seen to the picture as stored, both as unit squares with y down; cameras store turned pictures.
fn stored_from_seen(jpeg: &[u8]) -> Affine {
    let orientation = JpegDecoder::new(std::io::Cursor::new(jpeg))
        .and_then(|mut decoder| decoder.orientation())
        .unwrap_or(Orientation::NoTransforms);
    Affine::new(match orientation {
        Orientation::NoTransforms => [1.0, 0.0, 0.0, 1.0, 0.0, 0.0],
        Orientation::FlipHorizontal => [-1.0, 0.0, 0.0, 1.0, 1.0, 0.0],
        Orientation::Rotate180 => [-1.0, 0.0, 0.0, -1.0, 1.0, 1.0],
        Orientation::FlipVertical => [1.0, 0.0, 0.0, -1.0, 0.0, 1.0],
        Orientation::Rotate90FlipH => [0.0, 1.0, 1.0, 0.0, 0.0, 0.0],
        Orientation::Rotate90 => [0.0, -1.0, 1.0, 0.0, 0.0, 1.0],
        Orientation::Rotate270FlipH => [0.0, -1.0, -1.0, 0.0, 1.0, 1.0],
        Orientation::Rotate270 => [0.0, 1.0, -1.0, 0.0, 1.0, 0.0],
    })
}

/// Bytes as lower-case hexadecimal digits.
pub(in crate::verify) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
