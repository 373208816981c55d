//! Prints on the outside of a net that end up inside the closed object: the net was folded inside out.

use super::leaf::{Leaf, leaves};
use super::reading::{corners, face_to_piece, hides, places_on, touches};
use super::{Folded, code};
use crate::diagnostic::{Diagnostic, Origin};
use crate::project::{ArtworkFill, Assembly, Face, Listed, Project, StockFace};

/// A layer of a piece's front.
struct Layer<'a> {
    name: String,
    origin: &'a Origin,
    /// Where it is printed; all over the piece without.
    picture: Option<&'a ArtworkFill>,
}

/// Warns of layers on the front of a folded piece of which nothing is seen, though the backs of its panels are.
pub(super) fn findings(project: &Project, assembly: &Assembly, folded: &Folded) -> Vec<Diagnostic> {
    let leaves = leaves(project, assembly, folded);
    let mut done: Vec<usize> = Vec::new();
    let mut found = Vec::new();
    for (m, member) in assembly.members.iter().enumerate() {
        if done.contains(&member.piece) {
            continue;
        }
        done.push(member.piece);
        let own: Vec<&Leaf> = leaves
            .iter()
            .filter(|leaf| leaf.member == m && leaf.piece == member.piece && !leaf.is_clear)
            .collect();
        let layers = layers(project, member.piece);
        found.extend(
            layers
                .iter()
                .filter_map(|layer| inside(project, &own, layer)),
        );
    }
    found
}

fn layers(project: &Project, piece: usize) -> Vec<Layer<'_>> {
    let declared = &project.pieces[piece];
    let artwork = project.artwork_of(0, piece).into_iter().enumerate();
    let mut layers: Vec<Layer<'_>> = artwork
        .filter(|(_, artwork)| artwork.face == Face::Front)
        .map(|(i, artwork)| Layer {
            name: format!("artwork {} of \"{}\"", i + 1, declared.id),
            origin: &artwork.origin,
            picture: Some(&artwork.fill),
        })
        .collect();
    let stock = &project.stocks[project.stock_of(0, piece)];
    match stock.face(declared.shows) {
        StockFace::Patterned { .. } => layers.push(Layer {
            name: format!("the pattern of \"{}\"", declared.id),
            origin: &declared.origin,
            picture: None,
        }),
        StockFace::Plain | StockFace::Printable => {}
    }
    layers
}

fn inside(project: &Project, own: &[&Leaf], layer: &Layer<'_>) -> Option<Diagnostic> {
    let printed: Vec<&Leaf> = own
        .iter()
        .copied()
        .filter(|leaf| is_printed(project, leaf, layer))
        .collect();
    if printed.iter().any(|leaf| shows(own, leaf, Face::Front)) {
        return None;
    }
    let outer = printed.iter().find(|leaf| shows(own, leaf, Face::Back))?;
    let message = format!(
        "{} ends up inside, where nobody sees it: \"{}\" shows its back",
        layer.name, outer.id
    );
    let warning = Diagnostic::warning(code::UNSEEN, message).at(layer.origin);
    let hint = "swap mountain and valley: the front of a net is the outside of the object";
    Some(match layer.picture {
        Some(_) => warning.hint(format!("{hint}; or print it on face = \"back\"")),
        None => warning.hint(hint),
    })
}

fn is_printed(project: &Project, leaf: &Leaf, layer: &Layer<'_>) -> bool {
    match layer.picture {
        Some(ArtworkFill::Picture(picture) | ArtworkFill::Each(Listed { place: picture, .. })) => {
            let map = face_to_piece(project, leaf.piece, Face::Front);
            touches(&leaf.rings_mm, &corners(picture, map))
        }
        Some(ArtworkFill::Flat(_) | ArtworkFill::Repeat(_)) | None => true,
    }
}

/// Whether a third of a face at least looks at no other panel of its piece.
fn shows(own: &[&Leaf], leaf: &Leaf, face: Face) -> bool {
    let out = leaf.looks(face);
    let places = places_on(&leaf.rings_mm);
    let is_free = |from| {
        let mut others = own.iter().filter(|other| !std::ptr::eq(**other, leaf));
        !others.any(|other| hides(other, from, out))
    };
    let free = places.iter().filter(|p| is_free(leaf.at(**p))).count();
    free > 0 && free * 3 >= places.len()
}

#[cfg(test)]
mod tests {
    use super::super::trial::{assembly, member, net, origin, project};
    use super::*;
    use crate::drawing::Colour;
    use crate::length::Length;
    use crate::project::{Artwork, Reads};

    /// A tube of four walls and a tab, all folded by as many degrees, with colour all over its front.
    fn tube(deg: f64) -> Vec<Diagnostic> {
        let lines = ["M10 0 V50", "M40 0 V50", "M60 0 V50", "M90 0 V50"];
        let mut piece = net(
            "tube",
            "M0 2 L10 0 H110 V50 H10 L0 48 Z",
            &lines.map(|line| (line, deg)),
            &[("wide", (25.0, 25.0))],
        );
        piece.artwork.push(Artwork {
            face: Face::Front,
            fill: ArtworkFill::Flat(Colour {
                red: 90,
                green: 140,
                blue: 60,
            }),
            bleed: Length::ZERO,
            reads: Reads::Free,
            origin: origin(),
        });
        let mut project = project(vec![piece]);
        let members = vec![member(0, "tube", "wide", (0.0, 0.0, 0.0))];
        project.assemblies = vec![assembly(members, Vec::new())];
        let found = super::super::prove(&project).into_iter();
        found.filter(|f| f.code == code::UNSEEN).collect()
    }

    #[test]
    fn a_print_inside_a_tube_folded_inside_out_is_warned_of() {
        assert_eq!(tube(90.0), []);
        let found = super::super::trial::only(tube(-90.0));
        assert!(!found.is_error());
        assert!(
            found
                .message
                .starts_with("artwork 1 of \"tube\" ends up inside, where nobody sees it:"),
            "{found:?}"
        );
        assert!(found.hints[0].contains("swap mountain and valley"));
        // A sheet that is hardly folded encloses nothing.
        assert_eq!(tube(-10.0), []);
    }
}
