//! Where artwork lies on the sheet: its clip and the places of its pictures.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath, Rect};

use super::PlannedArtwork;
use crate::drawing::AssetIndex;
use crate::geometry::offset::offset;
use crate::geometry::{mirror_about_x, unit_square_onto};
use crate::length::Length;
use crate::project::{ArtworkFill, Face, Listed, PictureBox, Piece, Project};

/// Overlap in mm below which a repeat does not count as meeting the clip: a nanometre is rounding.
const MEETS_MM: f64 = 1e-6;

/// How far a repeat that lies under the others reaches beyond its box, in mm: a pixel and a little at 600 dpi, so that in a seam between two
/// softened edges the picture's own colours show, and not the paper.
const UNDER_MM: f64 = 0.05;

/// The clips of all pieces, each made once for each bleed, and which pictures let nothing through.
#[derive(Debug, Default)]
pub(super) struct Clips {
    by_piece_and_bleed: BTreeMap<(usize, Length), BezPath>,
    opaque: BTreeMap<usize, bool>,
}

impl Clips {
    /// Whether nothing shows through a picture.
    fn is_opaque(&mut self, project: &Project, asset: AssetIndex) -> bool {
        let known = self.opaque.entry(asset.0);
        *known.or_insert_with(|| project.assets[asset.0].is_opaque())
    }

    /// The outline of a piece grown by a bleed, in the piece frame.
    fn of(&mut self, project: &Project, piece: usize, bleed: Length) -> &BezPath {
        self.by_piece_and_bleed
            .entry((piece, bleed))
            .or_insert_with(|| {
                let grown = offset(&project.pieces[piece].outline, bleed.to_mm());
                grown
                    .iter()
                    .flat_map(|o| o.path().elements().to_vec())
                    .collect()
            })
    }
}

/// Returns the artwork of `piece` in `edition` under any map of the piece frame, as in a picture of the folded piece.
#[must_use]
pub fn artwork_under(
    project: &Project,
    edition: usize,
    piece: usize,
    from_piece: Affine,
) -> Vec<PlannedArtwork> {
    artwork(
        project,
        (edition, None),
        piece,
        from_piece,
        &mut Clips::default(),
    )
}

/// What of a layer of artwork is printed on a copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shown {
    /// The colour or the picture of all copies.
    Same(Option<AssetIndex>),
    /// The picture of a line of a list.
    Line(u32, AssetIndex),
    /// Nothing.
    Nothing,
}

impl Shown {
    pub(super) fn picture(self) -> Option<AssetIndex> {
        match self {
            Self::Same(picture) => picture,
            Self::Line(_, picture) => Some(picture),
            Self::Nothing => None,
        }
    }
}

/// What each layer of artwork of `piece` shows on a copy of an edition; where no copy is meant, the first row of a list stands for all.
pub(super) fn shown(
    project: &Project,
    (edition, copy): (usize, Option<u32>),
    piece: usize,
) -> Vec<Shown> {
    let declared = project.artwork_of(edition, piece).into_iter().enumerate();
    let shown = declared.map(|(index, artwork)| match (&artwork.fill, copy) {
        (ArtworkFill::Flat(_), _) => Shown::Same(None),
        (ArtworkFill::Picture(picture) | ArtworkFill::Repeat(picture), _) => {
            Shown::Same(Some(picture.asset))
        }
        (ArtworkFill::Each(listed), None) => Shown::Same(Some(listed.place.asset)),
        (ArtworkFill::Each(_), Some(copy)) => {
            let row = project.row_of(edition, piece, index, copy);
            let printed = row.and_then(|row| Some(Shown::Line(row.line, row.picture?)));
            printed.unwrap_or(Shown::Nothing)
        }
    });
    shown.collect()
}

/// Returns the artwork of `piece` on a copy of an edition as it lies on the sheet under `piece_to_sheet`; a layer that shows nothing
/// there is left out.
pub(super) fn artwork(
    project: &Project,
    of: (usize, Option<u32>),
    piece: usize,
    piece_to_sheet: Affine,
    clips: &mut Clips,
) -> Vec<PlannedArtwork> {
    let shown = shown(project, of, piece);
    let declared = project.artwork_of(of.0, piece).into_iter().enumerate();
    let printed = declared.filter(|(index, _)| shown[*index] != Shown::Nothing);
    let planned = printed.map(|(index, artwork)| {
        let clip = clips.of(project, piece, artwork.bleed).clone();
        let face_to_piece = face_to_piece(&project.pieces[piece], artwork.face);
        let (places, under) = match &artwork.fill {
            ArtworkFill::Flat(_) => (Vec::new(), Vec::new()),
            ArtworkFill::Picture(picture) | ArtworkFill::Each(Listed { place: picture, .. }) => {
                (vec![picture.unit_to_face()], Vec::new())
            }
            ArtworkFill::Repeat(picture) => {
                // Mirroring is its own inverse, so this is also the way from the piece to the face.
                let clip_on_face =
                    face_to_piece.transform_rect_bbox(kurbo::Shape::bounding_box(&clip));
                let places = repeats(picture, clip_on_face);
                let has_seams = places.len() > 1 && clips.is_opaque(project, picture.asset);
                let under = places.iter().filter(|_| has_seams);
                let under = under.map(|place| *place * larger(picture)).collect();
                (places, under)
            }
        };
        let on_sheet = |places: Vec<Affine>| {
            let places = places.into_iter();
            places
                .map(|unit| piece_to_sheet * face_to_piece * unit)
                .collect()
        };
        PlannedArtwork {
            artwork: index,
            face: artwork.face,
            clip: piece_to_sheet * clip,
            places: on_sheet(places),
            under: on_sheet(under),
            picture: shown[index].picture(),
            line: match shown[index] {
                Shown::Line(line, _) => Some(line),
                Shown::Same(_) | Shown::Nothing => None,
            },
        }
    });
    planned.collect()
}

/// The frame of a face, mapped to the piece frame.
fn face_to_piece(piece: &Piece, face: Face) -> Affine {
    match face {
        Face::Front => Affine::IDENTITY,
        Face::Back => mirror_about_x(piece.outline.bounds().center().x),
    }
}

/// The unit square of a picture, as much larger on every side as a repeat under the others is.
fn larger(picture: &PictureBox) -> Affine {
    let (x, y) = (
        UNDER_MM / picture.width.to_mm(),
        UNDER_MM / picture.height.to_mm(),
    );
    unit_square_onto(Rect::new(-x, -y, 1.0 + x, 1.0 + y))
}

/// Every repeat of a picture that meets the clip, row by row from the top.
fn repeats(picture: &PictureBox, clip: Rect) -> Vec<Affine> {
    let unit = picture.unit_to_face();
    let tile = unit.transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0));
    let (width, height) = (tile.width(), tile.height());
    let first = |low: f64, origin: f64, size: f64| ((low + MEETS_MM - origin) / size).floor();
    let last = |high: f64, origin: f64, size: f64| ((high - MEETS_MM - origin) / size).floor();
    let columns = (
        first(clip.x0, tile.x0, width),
        last(clip.x1, tile.x0, width),
    );
    let rows = (
        first(clip.y0, tile.y0, height),
        last(clip.y1, tile.y0, height),
    );
    let mut places = Vec::new();
    let mut row = rows.0;
    while row <= rows.1 {
        let mut column = columns.0;
        while column <= columns.1 {
            places.push(Affine::translate((column * width, row * height)) * unit);
            column += 1.0;
        }
        row += 1.0;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Pose;
    use crate::length::Size;
    use crate::math::Angle;

    fn picture(width_mm: i64, height_mm: i64, pose: Pose) -> PictureBox {
        let size = |mm| Size::new(Length::from_mm(mm)).unwrap();
        PictureBox {
            asset: AssetIndex(0),
            width: size(width_mm),
            height: size(height_mm),
            pose,
        }
    }

    /// By hand: a clip from -3 to 63 across holds tiles of 20 from -20 (column -1) to 60 (column 3), five columns; from -3 to 43
    /// down, tiles of 10 from -10 to 40, six rows.
    #[test]
    fn repeats_cover_the_bleed_and_no_more() {
        let places = repeats(
            &picture(20, 10, Pose::identity()),
            Rect::new(-3.0, -3.0, 63.0, 43.0),
        );
        assert_eq!(places.len(), 5 * 6);
        let corner = places[0] * kurbo::Point::ORIGIN;
        assert!((corner - kurbo::Point::new(-20.0, -10.0)).hypot2() < 1e-18);
    }

    /// By hand: a picture of 20 x 10 mm at (7, 3), larger by a twentieth of a millimetre, reaches from 6.95 to 27.05 and from 2.95 to 13.05.
    #[test]
    fn a_repeat_under_the_others_is_larger_on_every_side_by_the_same() {
        let picture = picture(20, 10, Pose::at(7.0, 3.0));
        let under = picture.unit_to_face() * larger(&picture);
        let found = under.transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0));
        let wanted = Rect::new(6.95, 2.95, 27.05, 13.05);
        let corners = [
            found.origin() - wanted.origin(),
            (found.size() - wanted.size()).to_vec2(),
        ];
        assert!(corners.iter().all(|off| off.hypot2() < 1e-24), "{found:?}");
    }

    #[test]
    fn a_repeat_that_only_touches_is_left_out() {
        let places = repeats(
            &picture(20, 10, Pose::identity()),
            Rect::new(0.0, 0.0, 60.0, 40.0),
        );
        assert_eq!(places.len(), 3 * 4);
    }

    #[test]
    fn repeats_of_a_turned_picture_are_spaced_by_its_turned_box() {
        // 20 x 10 turned by a quarter is 10 x 20; its box is then moved to (0, 0).
        let pose = Pose {
            turn: Angle::from_deg(90.0),
            ..Pose::at(10.0, 0.0)
        };
        let places = repeats(&picture(20, 10, pose), Rect::new(0.0, 0.0, 30.0, 40.0));
        assert_eq!(places.len(), 3 * 2);
    }
}
