//! Picture files as objects of the document: stored once, however often they are seen.

use std::collections::BTreeMap;

use kurbo::Affine;
use printpdf::{DictItem, ExternalStream, ExternalXObject, XObject};

use super::{content::Content, pixels::Pixels};
use crate::drawing::{Asset, AssetContent};

/// Key of the source file's SHA-256: by it a reader finds out which picture it sees.
const SOURCE_KEY: &str = "SheetwrightSource";

/// Whether the finished file may compress a stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Packing {
    Flate,
    AsIs,
}

/// Returns the way from an object's own unit square to the picture as seen, y down.
///
/// A form is drawn in the picture's frame already. An image stands y up with its first row at the top (ISO 32000-1, 8.9.5.1), and
/// a JPEG may be stored turned or mirrored (EXIF 2.3, tag 0x0112: which side of the picture row 0 and column 0 are).
pub(super) fn own_to_seen(content: &AssetContent) -> Affine {
    let own_to_stored = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 1.0]);
    match content {
        AssetContent::Vector(_) => Affine::IDENTITY,
        AssetContent::Png { .. } => own_to_stored,
        AssetContent::Jpeg { orientation, .. } => stored_to_seen(*orientation) * own_to_stored,
    }
}

/// Returns the way from a stored JPEG to the picture as seen, both in the unit square, y down.
fn stored_to_seen(orientation: u8) -> Affine {
    Affine::new(match orientation {
        2 => [-1.0, 0.0, 0.0, 1.0, 1.0, 0.0],
        3 => [-1.0, 0.0, 0.0, -1.0, 1.0, 1.0],
        4 => [1.0, 0.0, 0.0, -1.0, 0.0, 1.0],
        5 => [0.0, 1.0, 1.0, 0.0, 0.0, 0.0],
        6 => [0.0, 1.0, -1.0, 0.0, 1.0, 0.0],
        7 => [0.0, -1.0, -1.0, 0.0, 1.0, 1.0],
        8 => [0.0, -1.0, 1.0, 0.0, 0.0, 1.0],
        _ => [1.0, 0.0, 0.0, 1.0, 0.0, 0.0],
    })
}

/// Returns the object of a picture. A vector picture is given with its stream and still lacks its resources.
pub(super) fn object(asset: &Asset, spelled: Option<&Content>) -> XObject {
    let mut stream = match &asset.content {
        AssetContent::Png { bytes, .. } => png(bytes),
        AssetContent::Jpeg {
            bytes,
            width_px,
            height_px,
            components,
            ..
        } => {
            let mut dict = image_dict(*width_px, *height_px, *components);
            dict.insert("Filter".into(), name("DCTDecode"));
            // Untouched: every decoding and encoding of a JPEG loses some of it.
            stream(dict, bytes.clone(), Packing::AsIs)
        }
        AssetContent::Vector(_) => form(spelled.expect("a seen vector picture is spelled")),
    };
    let digest = DictItem::String {
        data: asset.sha256.clone().into(),
        literal: true,
    };
    stream.dict.insert(SOURCE_KEY.into(), digest);
    XObject::External(ExternalXObject {
        stream,
        width: None,
        height: None,
        dpi: None,
    })
}

fn png(file: &[u8]) -> ExternalStream {
    let pixels = Pixels::of(file);
    let (width_px, height_px) = (pixels.width_px, pixels.height_px);
    let mut dict = image_dict(width_px, height_px, pixels.components);
    packed_rows(&mut dict, width_px, pixels.components);
    if let Some(alpha) = pixels.alpha {
        let mut mask = image_dict(width_px, height_px, 1);
        packed_rows(&mut mask, width_px, 1);
        let stream = stream(mask, alpha, Packing::AsIs);
        dict.insert("SMask".into(), DictItem::Stream { stream });
    }
    stream(dict, pixels.colour, Packing::AsIs)
}

/// Says that the rows are filtered and deflated as in a PNG file (ISO 32000-1, 7.4.4.4).
fn packed_rows(dict: &mut BTreeMap<String, DictItem>, width_px: u32, components: u8) {
    let map = BTreeMap::from([
        ("Predictor".into(), DictItem::Int(15)),
        ("Colors".into(), DictItem::Int(components.into())),
        ("BitsPerComponent".into(), DictItem::Int(8)),
        ("Columns".into(), DictItem::Int(width_px.into())),
    ]);
    dict.insert("Filter".into(), name("FlateDecode"));
    dict.insert("DecodeParms".into(), DictItem::Dict { map });
}

/// The form of `printpdf` has no box and a wrong type, so that common viewers show nothing of it.
fn form(content: &Content) -> ExternalStream {
    let unit_square = [0, 0, 1, 1].map(DictItem::Int).to_vec();
    let dict = BTreeMap::from([
        ("Type".into(), name("XObject")),
        ("Subtype".into(), name("Form")),
        ("FormType".into(), DictItem::Int(1)),
        ("BBox".into(), DictItem::Array(unit_square)),
    ]);
    stream(dict, content.text().into(), Packing::Flate)
}

fn image_dict(width_px: u32, height_px: u32, components: u8) -> BTreeMap<String, DictItem> {
    let space = if components == 1 {
        "DeviceGray"
    } else {
        "DeviceRGB"
    };
    BTreeMap::from([
        ("Type".into(), name("XObject")),
        ("Subtype".into(), name("Image")),
        ("Width".into(), DictItem::Int(width_px.into())),
        ("Height".into(), DictItem::Int(height_px.into())),
        ("ColorSpace".into(), name(space)),
        ("BitsPerComponent".into(), DictItem::Int(8)),
    ])
}

fn stream(dict: BTreeMap<String, DictItem>, content: Vec<u8>, packing: Packing) -> ExternalStream {
    ExternalStream {
        dict,
        content,
        compress: packing == Packing::Flate,
    }
}

fn name(name: &str) -> DictItem {
    DictItem::Name(name.into())
}

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::*;

    #[test]
    fn stored_corners_are_seen_where_the_orientation_says() {
        // EXIF 2.3, 4.6.4 A, Orientation: where the 0th row and the 0th column are. The stored top left corner lies on both, the
        // stored top right corner on the 0th row only.
        let (left, right, top, bottom) = (0.0, 1.0, 0.0, 1.0);
        let seen = [
            (1, (left, top), (right, top)),
            (2, (right, top), (left, top)),
            (3, (right, bottom), (left, bottom)),
            (4, (left, bottom), (right, bottom)),
            (5, (left, top), (left, bottom)),
            (6, (right, top), (right, bottom)),
            (7, (right, bottom), (right, top)),
            (8, (left, bottom), (left, top)),
        ];
        for (orientation, top_left, top_right) in seen {
            let map = stored_to_seen(orientation);
            assert_eq!(map * Point::new(0.0, 0.0), top_left.into(), "{orientation}");
            assert_eq!(
                map * Point::new(1.0, 0.0),
                top_right.into(),
                "{orientation}"
            );
        }
    }
}
