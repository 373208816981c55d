//! Whether pictures of pixels are as fine as they are printed, and huge ones made as small as print needs.

use std::collections::BTreeMap;

use super::code;
use super::mistakes::Mistakes;
use crate::diagnostic::{Diagnostic, Origin};
use crate::drawing::{
    Asset, AssetContent, AssetIndex, PixelForm, Printed, Rows, png_file, printed, shrink,
};
use crate::length::{Length, LengthStyle, MM_PER_INCH};
use crate::project::{Artwork, ArtworkFill, Project};

/// Fewer pixels to the inch look soft at reading distance. Common practice, no source: 300 are asked for in print, and two thirds of that
/// are taken without complaint.
const LEAST_PER_INCH: f64 = 200.0;
/// No home printer lays down finer detail, and lines drawn in pixels gain up to here. Common practice, no source.
const MOST_PER_INCH: f64 = 600.0;
/// Pictures up to this size are kept as they are, however small they are printed.
const HUGE_PIXELS: u64 = 16_000_000;
/// Most pixels that are kept of any picture: a letter sheet at 600 to the inch; a 13 x 19 in sheet still has 380 then.
const MOST_KEPT_PIXELS: f64 = 36.0e6;

/// A place where a picture of pixels is printed.
struct Place {
    asset: AssetIndex,
    printed: Printed,
    origin: Origin,
}

/// Warns of what will look soft, and takes huge pictures smaller.
pub(super) fn settle(project: &mut Project, mistakes: &Mistakes<'_>) {
    let places = places(project);
    for place in &places {
        warn_of_coarse(project, place, mistakes);
    }
    let mut largest: BTreeMap<AssetIndex, &Place> = BTreeMap::new();
    for place in &places {
        largest
            .entry(place.asset)
            .and_modify(|known| {
                if place.printed.width_mm > known.printed.width_mm {
                    *known = place;
                }
            })
            .or_insert(place);
    }
    for (index, asset) in project.assets.iter_mut().enumerate() {
        if let Some(place) = largest.get(&AssetIndex(index)) {
            tell_profile(asset, place, mistakes);
        }
        take_smaller(asset, largest.get(&AssetIndex(index)).copied(), mistakes);
    }
}

/// Every picture of pixels in every artwork, in the order of the file.
fn places(project: &Project) -> Vec<Place> {
    let own = project.pieces.iter().flat_map(|piece| &piece.artwork);
    let swaps = project.editions.iter().flat_map(|e| &e.artwork_swaps);
    own.chain(swaps.map(|swap| &swap.instead))
        .flat_map(|artwork| places_of(project, artwork))
        .collect()
}

fn places_of(project: &Project, artwork: &Artwork) -> Vec<Place> {
    let picture = match &artwork.fill {
        // Words have no pixels.
        ArtworkFill::Flat(_) | ArtworkFill::Each(_) => return Vec::new(),
        ArtworkFill::Picture(picture) | ArtworkFill::Repeat(picture) => picture,
    };
    printed(&project.assets, picture.asset, picture.unit_to_face())
        .into_iter()
        .map(|(asset, printed)| Place {
            asset,
            printed,
            origin: artwork.origin.clone(),
        })
        .collect()
}

fn warn_of_coarse(project: &Project, place: &Place, mistakes: &Mistakes<'_>) {
    let asset = &project.assets[place.asset.0];
    let Some((width_px, height_px)) = asset.content.pixels_as_seen() else {
        return;
    };
    let per_inch = place.printed.pixels_per_inch((width_px, height_px));
    // What is shown as the least is the least.
    if per_inch.round() >= LEAST_PER_INCH {
        return;
    }
    let path = &asset.path;
    let message = format!(
        "\"{path}\" is printed with {per_inch:.0} pixels to the inch, fewer than {LEAST_PER_INCH:.0}, and will look soft"
    );
    let by = LEAST_PER_INCH / per_inch;
    // A thousandth of a pixel is rounding.
    let wanted = |pixels: u32| (f64::from(pixels) * by - 1e-3).ceil();
    let sharp = told_down(place.printed.width_mm / by, project.job.lengths);
    let hint = format!(
        "it is sharp up to a width of {sharp}; print it smaller, or take it with {} x {} pixels or more",
        wanted(width_px),
        wanted(height_px)
    );
    let warning = Diagnostic::warning(code::ARTWORK_COARSE, message);
    mistakes.push(warning.at(&place.origin).hint(hint));
}

/// Tells of colours that are not those of sRGB: pages pass the profile on, pictures of pages do not look at it.
fn tell_profile(asset: &Asset, place: &Place, mistakes: &Mistakes<'_>) {
    let Some(profile) = asset.content.profile().filter(|profile| !profile.is_srgb) else {
        return;
    };
    let name = match profile.name.as_str() {
        "" => "a profile without a name".to_owned(),
        name => format!("the profile \"{name}\""),
    };
    let message = format!(
        "\"{}\" has the colours of {name}, not those of sRGB",
        asset.path
    );
    let hint = "the PDF files pass the profile on, but not every program that prints looks at it; save the picture as sRGB to be sure";
    let warning = Diagnostic::warning(code::ASSET_PROFILE, message);
    mistakes.push(warning.at(&place.origin).hint(hint));
}

/// A computed length on a ruler, never longer than it is; as it is where it is too short for a ruler.
fn told_down(length_mm: f64, style: LengthStyle) -> String {
    let length = Length::nearest_mm(length_mm);
    let on_ruler = length.down_to_ruler(style);
    match on_ruler > Length::ZERO {
        true => on_ruler.told(style),
        false => Length::from_um(length.nm() / 1000).told(style),
    }
}

/// Makes a huge PNG picture as small as its largest place and the memory ask for. JPEG files are never touched.
fn take_smaller(asset: &mut Asset, place: Option<&Place>, mistakes: &Mistakes<'_>) {
    let AssetContent::Png {
        bytes,
        width_px,
        height_px,
    } = &mut asset.content
    else {
        return;
    };
    let known = "the file was decoded before";
    let form = Rows::open(bytes).expect(known).form();
    if form.pixels() <= HUGE_PIXELS {
        return;
    }
    let kept = kept_size(form, place.map(|place| place.printed));
    let is_smaller = kept != (form.width_px, form.height_px);
    // Stored interlaced, it would have to be whole in memory each time it is read.
    if !is_smaller && !Rows::open(bytes).expect(known).is_interlaced() {
        return;
    }
    let new = PixelForm {
        width_px: kept.0,
        height_px: kept.1,
        ..form
    };
    let profile = Rows::open(bytes).expect(known).profile();
    *bytes = png_file(new, profile, |keep| {
        shrink(Rows::open(bytes).expect(known), kept, |row| keep(row))
    })
    .expect(known);
    (*width_px, *height_px) = kept;
    if let Some(place) = place.filter(|_| is_smaller) {
        tell(&asset.path, form, kept, place, mistakes);
    }
}

/// Pixels across and down that are kept.
fn kept_size(form: PixelForm, printed: Option<Printed>) -> (u32, u32) {
    let (width, height) = (f64::from(form.width_px), f64::from(form.height_px));
    let for_memory = libm::sqrt(MOST_KEPT_PIXELS / (width * height));
    let for_print = printed.map_or(1.0, |printed| {
        let across = printed.width_mm / MM_PER_INCH * MOST_PER_INCH / width;
        let down = printed.height_mm / MM_PER_INCH * MOST_PER_INCH / height;
        across.max(down)
    });
    let by = for_memory.min(for_print);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "no more than the whole number that it is a part of"
    )]
    let side = |pixels: u32| ((f64::from(pixels) * by).round().max(1.0) as u32).min(pixels);
    if by < 1.0 {
        (side(form.width_px), side(form.height_px))
    } else {
        (form.width_px, form.height_px)
    }
}

fn tell(path: &str, form: PixelForm, kept: (u32, u32), place: &Place, mistakes: &Mistakes<'_>) {
    let message = format!(
        "\"{path}\" has {} x {} pixels, more than print needs: it is taken with {} x {}, {:.0} to the inch where it is largest",
        form.width_px,
        form.height_px,
        kept.0,
        kept.1,
        place.printed.pixels_per_inch(kept)
    );
    let warning = Diagnostic::warning(code::ASSET_REDUCED, message);
    let hint = "save it with as many pixels, and the work is done sooner";
    mistakes.push(warning.at(&place.origin).hint(hint));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(width_px: u32, height_px: u32) -> PixelForm {
        PixelForm {
            width_px,
            height_px,
            components: 3,
            has_alpha: false,
        }
    }

    #[test]
    fn a_huge_picture_keeps_six_hundred_pixels_to_the_inch_and_no_more_than_a_letter_sheet_of_them()
    {
        let inches = |width: f64, height: f64| {
            Some(Printed {
                width_mm: width * 25.4,
                height_mm: height * 25.4,
            })
        };
        // 4 in at 600 are 2400.
        assert_eq!(kept_size(form(8000, 8000), inches(4.0, 4.0)), (2400, 2400));
        // Stretched, the direction that needs more of it decides: 6 in are 3600 of 8000, 45 %.
        assert_eq!(kept_size(form(8000, 4000), inches(6.0, 1.0)), (3600, 1800));
        // 20 in would be 12000; the square root of 36 million is 6000.
        assert_eq!(
            kept_size(form(8000, 8000), inches(20.0, 20.0)),
            (6000, 6000)
        );
        // Coarser than that it stays as it is.
        assert_eq!(
            kept_size(form(5000, 5000), inches(10.0, 10.0)),
            (5000, 5000)
        );
    }
}
