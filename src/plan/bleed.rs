//! Where neighbours share their bleed.
//!
//! Bleed is there so that a cut that strays shows no white. Between two pieces of one and the same flat colour the bleed of either
//! serves both, so they need no more than the gap between them; towards the edge of the sheet each keeps its own.

use kurbo::{Line, ParamCurveNearest, Point};

use crate::drawing::Colour;
use crate::geometry::Outline;
use crate::length::Length;
use crate::math::FLATTEN_MM;
use crate::project::{Artwork, ArtworkFill, Face, Project, StockSide};

/// Returns whether everything that is cut from `stock` with `side` up is printed in one and the same flat colour on each face.
pub(super) fn is_shared(project: &Project, stock: usize, side: StockSide) -> bool {
    let pieces = (0..project.pieces.len()).filter(|piece| project.pieces[*piece].shows == side);
    let mut looks = pieces.flat_map(|piece| {
        let editions = 0..project.editions.len();
        editions
            .filter(move |edition| project.stock_of(*edition, piece) == stock)
            .map(move |edition| flat_colours(&project.artwork_of(edition, piece)))
    });
    let first = looks.next().flatten();
    first.is_some() && looks.all(|look| look == first)
}

/// Returns the farthest that printed corners lie from an outline: more than the bleed where mitres are pointed.
pub(super) fn farthest(outline: &Outline, printed: &[Outline]) -> Length {
    let sides: Vec<Line> = outline
        .flattened(FLATTEN_MM)
        .iter()
        .flat_map(|ring| {
            let next = ring.iter().cycle().skip(1);
            ring.iter()
                .zip(next)
                .map(|(a, b)| Line::new(*a, *b))
                .collect::<Vec<_>>()
        })
        .collect();
    let corners = printed
        .iter()
        .flat_map(|o| o.flattened(FLATTEN_MM))
        .flatten();
    let nearest_sq = |p: Point| {
        let nearest = |side: &Line| side.nearest(p, FLATTEN_MM).distance_sq;
        sides.iter().map(nearest).fold(f64::INFINITY, f64::min)
    };
    let farthest_sq = corners.map(nearest_sq).fold(0.0, f64::max);
    // Straight sides stand in for curves on both edges.
    Length::nearest_mm(farthest_sq.sqrt() + 2.0 * FLATTEN_MM)
}

/// The colour of each printed face, the front first; `None` if nothing is printed, or a face has anything but one flat colour.
fn flat_colours(artwork: &[&Artwork]) -> Option<[Option<Colour>; 2]> {
    let mut found = [None; 2];
    for layer in artwork {
        let ArtworkFill::Flat(colour) = layer.fill else {
            return None;
        };
        let of_face = match layer.face {
            Face::Front => &mut found[0],
            Face::Back => &mut found[1],
        };
        if of_face.replace(colour).is_some() {
            return None;
        }
    }
    found.iter().any(Option::is_some).then_some(found)
}
