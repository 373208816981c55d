//! Pictures in a PDF: which file they come from, and which way up they are.

use std::rc::Rc;

use image::ImageDecoder;
use image::codecs::jpeg::JpegDecoder;
use image::metadata::Orientation;
use kurbo::Affine;
use lopdf::{Object, Stream};

use super::document::MOST_BYTES;
use super::found::Paint;
use crate::digest::sha256_hex;

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
pub(super) fn form(stream: &Stream, page_from_form: Affine, words: Rc<[String]>) -> Paint {
    Paint::Picture {
        page_from_picture: page_from_form,
        sha256: source(stream),
        bytes_sha256: None,
        words,
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
            bytes_sha256: jpeg.as_deref().map(sha256_hex),
        }
    }

    /// The picture placed.
    pub(super) fn placed(&self, page_from_user: Affine) -> Paint {
        Paint::Picture {
            page_from_picture: page_from_user * self.user_from_seen,
            sha256: self.sha256.clone(),
            bytes_sha256: self.bytes_sha256.clone(),
            words: Rc::default(),
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

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::*;

    /// A JPEG of one pixel with an orientation in its EXIF segment.
    fn jpeg(orientation: u8) -> Vec<u8> {
        let mut plain = Vec::new();
        image::codecs::jpeg::JpegEncoder::new(&mut plain)
            .encode(&[128], 1, 1, image::ExtendedColorType::L8)
            .unwrap();
        // TIFF header, one entry: tag 0x0112, type SHORT, count 1, the value, no further directory (EXIF 2.3, 4.6).
        let tiff = [
            b'M',
            b'M',
            0,
            42,
            0,
            0,
            0,
            8,
            0,
            1,
            0x01,
            0x12,
            0,
            3,
            0,
            0,
            0,
            1,
            0,
            orientation,
            0,
            0,
            0,
            0,
            0,
            0,
        ];
        let mut segment = vec![0xff, 0xe1, 0, 0];
        segment.extend(b"Exif\0\0");
        segment.extend(tiff);
        segment[3] = u8::try_from(segment.len() - 2).unwrap();
        // After the two bytes that start the image.
        plain.splice(2..2, segment);
        plain
    }

    #[test]
    fn a_jpeg_is_seen_as_its_orientation_says() {
        // EXIF 2.3, 4.6.4 A: the side of the seen picture on which the stored row 0 is, and the side of the stored column 0. The
        // stored top left corner is on both; the stored top right corner is on row 0 only.
        let (left, right, top, bottom) = (0.0, 1.0, 0.0, 1.0);
        let sides = [
            (1, (left, top), (right, top)),
            (2, (right, top), (left, top)),
            (3, (right, bottom), (left, bottom)),
            (4, (left, bottom), (right, bottom)),
            (5, (left, top), (left, bottom)),
            (6, (right, top), (right, bottom)),
            (7, (right, bottom), (right, top)),
            (8, (left, bottom), (left, top)),
        ];
        for (orientation, top_left, top_right) in sides {
            let map = stored_from_seen(&jpeg(orientation));
            assert_eq!(
                map * Point::from(top_left),
                Point::new(0.0, 0.0),
                "{orientation}"
            );
            assert_eq!(
                map * Point::from(top_right),
                Point::new(1.0, 0.0),
                "{orientation}"
            );
        }
    }

    #[test]
    fn a_jpeg_inside_another_filter_is_the_same_file() {
        let mut bytes = jpeg(6);
        // Long enough to be worth packing.
        bytes.extend([0; 1000]);
        let mut stream = Stream::new(lopdf::Dictionary::new(), bytes.clone());
        stream.compress().unwrap();
        let both = [b"FlateDecode".to_vec(), b"DCTDecode".to_vec()].map(Object::Name);
        stream.dict.set("Filter", both.to_vec());
        let plain = Stream::new(lopdf::dictionary! { "Filter" => "DCTDecode" }, bytes);
        assert_eq!(
            Raster::new(&stream).bytes_sha256,
            Raster::new(&plain).bytes_sha256
        );
        assert!(Raster::new(&stream).bytes_sha256.is_some());
    }
}
