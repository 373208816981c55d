//! The last pixels at the edges and corners of a picture, each as a picture of its own.

use std::io::Cursor;

use image::metadata::Orientation;
use image::{DynamicImage, ImageFormat};

use super::asset::Library;
use super::picture_dress::Crop;
use crate::digest::sha256_hex;
use crate::drawing::{Asset, AssetContent, AssetIndex, PixelForm, Rows, png_file};

/// What is stretched beyond a picture.
pub(super) struct Strips {
    /// One pixel each: top left, top right, bottom left, bottom right.
    pub(super) corners: [AssetIndex; 4],
    /// One pixel wide or high: left, right, top, bottom.
    pub(super) sides: [AssetIndex; 4],
}

/// The pixels along the edges of the part of a picture that is kept.
struct Edges {
    form: PixelForm,
    /// Left and right from the top, top and bottom from the left.
    sides: [Vec<u8>; 4],
}

/// Returns the last pixels of the part of a picture that is kept.
///
/// # Panics
/// If the picture is one of vectors.
pub(super) fn strips(library: &Library<'_>, asset: AssetIndex, crop: Crop) -> Strips {
    let (edges, profile) = library.with(asset, |asset| {
        let profile = asset.content.profile().map(|profile| profile.bytes);
        (edges(&asset.content, crop), profile)
    });
    let path = library.path(asset);
    let keep =
        |pixels: &[u8], size| keep(library, &path, (edges.form, profile.clone()), pixels, size);
    let channels = edges.form.channels();
    let [_, _, top, bottom] = &edges.sides;
    let ends = [
        &top[..channels],
        &top[top.len() - channels..],
        &bottom[..channels],
        &bottom[bottom.len() - channels..],
    ];
    let corners = ends.map(|pixel| keep(pixel, (1, 1)));
    let long = |pixels: &[u8]| u32::try_from(pixels.len() / channels).expect("a side of a picture");
    let [left, right, top, bottom] = &edges.sides;
    let upright = |side: &[u8]| keep(side, (1, long(side)));
    let level = |side: &[u8]| keep(side, (long(side), 1));
    Strips {
        corners,
        sides: [upright(left), upright(right), level(top), level(bottom)],
    }
}

fn keep(
    library: &Library<'_>,
    path: &str,
    (form, profile): (PixelForm, Option<Vec<u8>>),
    pixels: &[u8],
    (width_px, height_px): (u32, u32),
) -> AssetIndex {
    let form = PixelForm {
        width_px,
        height_px,
        ..form
    };
    let Ok(bytes) = png_file(form, profile, |keep| {
        pixels.chunks_exact(form.row_bytes()).for_each(keep);
        Ok::<_, std::convert::Infallible>(())
    });
    library.keep(Asset {
        path: path.to_owned(),
        sha256: sha256_hex(&bytes),
        aspect: f64::from(height_px) / f64::from(width_px),
        content: AssetContent::Png {
            bytes,
            width_px,
            height_px,
        },
    })
}

fn edges(content: &AssetContent, crop: Crop) -> Edges {
    let known = "the file was decoded before";
    match content {
        AssetContent::Png { bytes, .. } => {
            let mut rows = Rows::open(bytes).expect(known);
            let mut gathered = Gathered::new(rows.form(), crop);
            while let Some(row) = rows.next_row().expect(known) {
                gathered.see(row);
            }
            gathered.edges
        }
        AssetContent::Jpeg {
            bytes, orientation, ..
        } => {
            let cursor = Cursor::new(bytes);
            let mut picture = image::load(cursor, ImageFormat::Jpeg).expect(known);
            let turn = Orientation::from_exif(*orientation);
            picture.apply_orientation(turn.unwrap_or(Orientation::NoTransforms));
            let picture = DynamicImage::ImageRgb8(picture.into_rgb8());
            let form = PixelForm {
                width_px: picture.width(),
                height_px: picture.height(),
                components: 3,
                has_alpha: false,
            };
            let mut gathered = Gathered::new(form, crop);
            let rows = picture.as_bytes().chunks_exact(form.row_bytes());
            rows.for_each(|row| gathered.see(row));
            gathered.edges
        }
        AssetContent::Vector(_) => unreachable!("vectors have no pixels, which is refused before"),
    }
}

/// Edges as far as they are seen, row by row.
struct Gathered {
    edges: Edges,
    /// First pixel that is kept and the one behind the last, across and down.
    across: (usize, usize),
    down: (usize, usize),
    row: usize,
}

impl Gathered {
    fn new(form: PixelForm, crop: Crop) -> Self {
        let kept = |pixels: u32, low: u32, high: u32| {
            let at = |percent: u32| u64::from(pixels) * u64::from(percent) / 100;
            let last = u64::from(pixels) - 1;
            let first = at(low).min(last);
            let behind = (u64::from(pixels) - at(high)).max(first + 1);
            let whole = |n: u64| usize::try_from(n).expect("a side of a picture in memory");
            (whole(first), whole(behind))
        };
        Self {
            edges: Edges {
                form,
                sides: Default::default(),
            },
            across: kept(form.width_px, crop.left, crop.right),
            down: kept(form.height_px, crop.top, crop.bottom),
            row: 0,
        }
    }

    fn see(&mut self, row: &[u8]) {
        let channels = self.edges.form.channels();
        let ((first, behind), (top, bottom)) = (self.across, self.down);
        let row_number = self.row;
        self.row += 1;
        if !(top..bottom).contains(&row_number) {
            return;
        }
        let kept = &row[first * channels..behind * channels];
        let [left, right, above, below] = &mut self.edges.sides;
        left.extend_from_slice(&kept[..channels]);
        right.extend_from_slice(&kept[kept.len() - channels..]);
        if row_number == top {
            above.extend_from_slice(kept);
        }
        if row_number + 1 == bottom {
            below.extend_from_slice(kept);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_edges_are_those_of_the_part_that_is_kept() {
        let form = PixelForm {
            width_px: 4,
            height_px: 3,
            components: 1,
            has_alpha: false,
        };
        // A quarter off the left, a third and more off the bottom.
        let crop = Crop {
            left: 25,
            bottom: 34,
            ..Crop::default()
        };
        let mut gathered = Gathered::new(form, crop);
        for row in [[1, 2, 3, 4], [5, 6, 7, 8], [9, 10, 11, 12]] {
            gathered.see(&row);
        }
        let wanted: [&[u8]; 4] = [&[2, 6], &[4, 8], &[2, 3, 4], &[6, 7, 8]];
        assert_eq!(gathered.edges.sides.each_ref().map(Vec::as_slice), wanted);
    }
}
