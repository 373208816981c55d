//! The artwork of placed pieces.

use crate::drawing::{Drawing, FillRule, Item, Paint, Tag};
use crate::plan::{Content, Placement, PlannedArtwork};
use crate::project::{Artwork, ArtworkFill, Face, Project};

/// Returns the artwork that `contents` puts on one face of the sheet, in the sheet frame; one tagged item for each layer.
///
/// `contents` are in the order of `placements`.
pub(super) fn artwork(
    project: &Project,
    placements: &[Placement],
    contents: &[Content],
    face: Face,
) -> Drawing {
    let mut items = Vec::new();
    for (placement, content) in placements.iter().zip(contents) {
        let declared = project.artwork_of(content.edition, placement.piece);
        for planned in content.artwork.iter().filter(|a| a.face == face) {
            items.push(layer(declared[planned.artwork], planned, &content.id));
        }
    }
    Drawing { items }
}

/// Returns one layer, clipped to its piece with the bleed, in the frame it was planned in.
pub(super) fn layer(declared: &Artwork, planned: &PlannedArtwork, id: &str) -> Item {
    let seen = match &declared.fill {
        ArtworkFill::Flat(colour) => vec![Item::Fill {
            path: planned.clip.clone(),
            rule: FillRule::NonZero,
            paint: Paint::flat(*colour),
        }],
        ArtworkFill::Picture(_) | ArtworkFill::Repeat(_) | ArtworkFill::Each(_) => {
            let asset = planned
                .picture
                .expect("the plan of a picture says which one it is");
            let layers = [&planned.under, &planned.places].into_iter();
            let shown = layers.filter(|places| !places.is_empty());
            let picture = |places: &Vec<_>| Item::Picture {
                asset,
                places: places.clone(),
            };
            shown.map(picture).collect()
        }
    };
    let clip = Item::Clip {
        path: planned.clip.clone(),
        rule: FillRule::NonZero,
        inner: Drawing { items: seen },
    };
    Item::Tagged {
        tag: Tag {
            kind: "artwork",
            id: id.to_owned(),
        },
        inner: Drawing { items: vec![clip] },
    }
}
