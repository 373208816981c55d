//! Pictures that let nothing through.

use std::io::Cursor;

use kurbo::{BezPath, Rect, Shape};
use png::{ColorType, Decoder, Limits, Transformations};

use super::{Asset, AssetContent, Drawing, Item, Paint};

impl Asset {
    /// Returns whether nothing that lies under the picture shows anywhere in its box. Of a vector picture that is known where its first
    /// area is its ground.
    #[must_use]
    pub fn is_opaque(&self) -> bool {
        match &self.content {
            AssetContent::Png { bytes, .. } => has_no_alpha(bytes) == Some(true),
            AssetContent::Jpeg { .. } => true,
            AssetContent::Vector(drawing) => has_ground(drawing),
        }
    }
}

/// Whether every pixel is opaque; `None` for a file that does not decode. One row is in memory at a time.
fn has_no_alpha(file: &[u8]) -> Option<bool> {
    // Whoever took the file in has limited its size.
    let no_limits = Limits { bytes: usize::MAX };
    let mut decoder = Decoder::new_with_limits(Cursor::new(file), no_limits);
    decoder.set_transformations(Transformations::EXPAND | Transformations::STRIP_16);
    let mut reader = decoder.read_info().ok()?;
    let channels = match reader.output_color_type().0 {
        ColorType::Grayscale | ColorType::Rgb => return Some(true),
        ColorType::GrayscaleAlpha => 2,
        ColorType::Rgba => 4,
        ColorType::Indexed => return None,
    };
    while let Some(row) = reader.next_row().ok()? {
        let mut alpha = row.data().iter().skip(channels - 1).step_by(channels);
        if alpha.any(|alpha| *alpha < u8::MAX) {
            return Some(false);
        }
    }
    Some(true)
}

/// Whether the first thing painted is a flat upright rectangle over the whole unit square.
fn has_ground(drawing: &Drawing) -> bool {
    let Some(Item::Fill { path, paint, .. }) = drawing.items.first() else {
        return false;
    };
    let is_flat = matches!(paint, Paint::Solid { opacity, .. } if *opacity >= 1.0);
    is_flat && is_rectangle_around(path, Rect::new(0.0, 0.0, 1.0, 1.0))
}

/// Rounding of a rectangle that is meant to lie on the edges of the unit square.
const ON_EDGE: f64 = 1e-9;

fn is_rectangle_around(path: &BezPath, inner: Rect) -> bool {
    let bounds = path.bounding_box();
    let box_area = bounds.width() * bounds.height();
    let is_around =
        bounds.inflate(ON_EDGE, ON_EDGE).union(inner) == bounds.inflate(ON_EDGE, ON_EDGE);
    // A path that fills all of its bounds is a rectangle.
    is_around && (path.area().abs() - box_area).abs() <= ON_EDGE * box_area.max(1.0)
}

#[cfg(test)]
mod tests {
    use kurbo::Affine;
    use png::{BitDepth, Encoder};

    use super::*;
    use crate::drawing::{Colour, FillRule};

    fn png(colour: ColorType, data: &[u8]) -> Asset {
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, 2, 1);
        encoder.set_color(colour);
        encoder.set_depth(BitDepth::Eight);
        let mut writer = encoder.write_header().unwrap();
        writer.write_image_data(data).unwrap();
        writer.finish().unwrap();
        asset(AssetContent::Png {
            bytes,
            width_px: 2,
            height_px: 1,
        })
    }

    fn asset(content: AssetContent) -> Asset {
        Asset {
            path: String::new(),
            sha256: String::new(),
            aspect: 0.5,
            content,
        }
    }

    fn vector(ground: Rect, opacity: f64) -> Asset {
        let fill = Item::Fill {
            path: Affine::IDENTITY * ground.to_path(0.1),
            rule: FillRule::NonZero,
            paint: Paint::Solid {
                colour: Colour::BLACK,
                opacity,
            },
        };
        asset(AssetContent::Vector(Drawing { items: vec![fill] }))
    }

    #[test]
    fn a_png_is_opaque_if_every_pixel_is_whatever_its_form() {
        assert!(png(ColorType::Grayscale, &[1, 2]).is_opaque());
        assert!(png(ColorType::Rgba, &[1, 2, 3, 255, 4, 5, 6, 255]).is_opaque());
        assert!(!png(ColorType::Rgba, &[1, 2, 3, 255, 4, 5, 6, 254]).is_opaque());
        assert!(!png(ColorType::GrayscaleAlpha, &[1, 0, 2, 255]).is_opaque());
    }

    #[test]
    fn a_vector_picture_is_opaque_if_it_begins_with_its_ground() {
        assert!(vector(Rect::new(0.0, 0.0, 1.0, 1.0), 1.0).is_opaque());
        assert!(vector(Rect::new(-0.5, 0.0, 1.0, 2.0), 1.0).is_opaque());
        assert!(!vector(Rect::new(0.0, 0.0, 1.0, 0.9), 1.0).is_opaque());
        assert!(!vector(Rect::new(0.0, 0.0, 1.0, 1.0), 0.9).is_opaque());
        assert!(!asset(AssetContent::Vector(Drawing::default())).is_opaque());
    }
}
