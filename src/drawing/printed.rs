//! How large pictures of pixels come out where a picture is placed, whatever else shows them there.

use std::collections::BTreeMap;

use kurbo::Affine;

use super::{Asset, AssetContent, AssetIndex, Drawing, Item};
use crate::length::MM_PER_INCH;
use crate::math::hypot;

/// The size at which a whole picture of pixels is printed, in millimetres along its sides as seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Printed {
    /// Length of its upper side.
    pub width_mm: f64,
    /// Length of its left side.
    pub height_mm: f64,
}

impl Printed {
    /// Returns the size that is the larger one in both directions.
    #[must_use]
    pub fn or_larger(self, other: Self) -> Self {
        Self {
            width_mm: self.width_mm.max(other.width_mm),
            height_mm: self.height_mm.max(other.height_mm),
        }
    }

    /// Returns how many of these pixels lie on an inch, in the direction in which they are fewer.
    #[must_use]
    pub fn pixels_per_inch(self, (width_px, height_px): (u32, u32)) -> f64 {
        let across = f64::from(width_px) / self.width_mm;
        let down = f64::from(height_px) / self.height_mm;
        across.min(down) * MM_PER_INCH
    }
}

/// Returns every picture of pixels that is seen where `asset` is placed once, with the largest size at which it is; `unit_to_mm` maps the
/// unit square of the placed one.
#[must_use]
pub fn printed(
    assets: &[Asset],
    asset: AssetIndex,
    unit_to_mm: Affine,
) -> BTreeMap<AssetIndex, Printed> {
    let mut found = BTreeMap::new();
    see(assets, asset, unit_to_mm, &mut found);
    found
}

/// Returns how many pixels lie on an inch where a picture is placed: of the finest of the pictures of pixels in it, since others are only
/// the stretched edges of that one. `None` if there are none.
#[must_use]
pub fn pixels_per_inch(assets: &[Asset], asset: AssetIndex, unit_to_mm: Affine) -> Option<f64> {
    let found = printed(assets, asset, unit_to_mm);
    let finest = found.iter().filter_map(|(index, printed)| {
        let pixels = assets[index.0].content.pixels_as_seen()?;
        Some(printed.pixels_per_inch(pixels))
    });
    finest.reduce(f64::max)
}

fn see(
    assets: &[Asset],
    asset: AssetIndex,
    unit_to_mm: Affine,
    found: &mut BTreeMap<AssetIndex, Printed>,
) {
    match &assets[asset.0].content {
        AssetContent::Vector(drawing) => see_drawing(assets, drawing, unit_to_mm, found),
        AssetContent::Png { .. } | AssetContent::Jpeg { .. } => {
            let [a, b, c, d, _, _] = unit_to_mm.as_coeffs();
            let here = Printed {
                width_mm: hypot(a, b),
                height_mm: hypot(c, d),
            };
            let larger = found
                .get(&asset)
                .map_or(here, |known| known.or_larger(here));
            found.insert(asset, larger);
        }
    }
}

fn see_drawing(
    assets: &[Asset],
    drawing: &Drawing,
    to_mm: Affine,
    found: &mut BTreeMap<AssetIndex, Printed>,
) {
    for item in &drawing.items {
        match item {
            Item::Picture { asset, places } => {
                // A motif that comes ten thousand times is looked into once, where it is not itself full of pixels.
                if holds_pixels(assets, *asset) {
                    for place in places {
                        see(assets, *asset, to_mm * *place, found);
                    }
                }
            }
            Item::Clip { inner, .. } | Item::Tagged { inner, .. } => {
                see_drawing(assets, inner, to_mm, found);
            }
            Item::Fill { .. } | Item::Stroke { .. } | Item::Glyphs(_) => {}
        }
    }
}

fn holds_pixels(assets: &[Asset], asset: AssetIndex) -> bool {
    match &assets[asset.0].content {
        AssetContent::Vector(drawing) => super::asset::shown_in(drawing)
            .into_iter()
            .any(|shown| holds_pixels(assets, shown)),
        AssetContent::Png { .. } | AssetContent::Jpeg { .. } => true,
    }
}
