//! Pictures of the finished object, of single objects and of pieces, scaled into a box.

use kurbo::{Affine, Point, Rect, Size};

use super::super::line_kind::LineKind;
use super::super::typeset::{Block, GREY, INK, Letter, wrapped};
use super::super::{artwork, folded};
use super::Told;
use crate::drawing::{AssetIndex, Drawing, FillRule, Item, Paint, Stroke, Tag, moved};
use crate::fold;
use crate::plan;
use crate::project::{Face, Project};

/// Below a picture, to the baseline box of its words.
const DROP_MM: f64 = 1.0;
/// Width of the outline of a flat piece.
const EDGE_MM: f64 = 0.3;
/// Between flat pieces, the factor from one scale that is tried to the next, and where trying ends.
const BETWEEN_MM: f64 = 5.0;
const SCALE_STEP: f64 = 0.95;
const LEAST_SCALE: f64 = 1e-3;
const ROUNDING_MM: f64 = 1e-6;

/// Pictures of all assemblies, each made once; `None` for one that cannot be folded.
#[derive(Debug, Default)]
pub(super) struct Objects {
    by_assembly: Vec<Option<(Drawing, Rect)>>,
}

impl Objects {
    pub(super) fn of(project: &Project) -> Self {
        let pictured = |assembly| {
            let folded = fold::fold(project, assembly).ok()?;
            let scene = fold::scene::scene(project, assembly, &folded);
            Some(folded::object(project, &scene))
        };
        Self {
            by_assembly: project.assemblies.iter().map(pictured).collect(),
        }
    }
}

/// The finished object: the maker's own photo; else every assembly with its name; else all pieces that lie on no other.
pub(super) fn finished(told: Told<'_>, room: (f64, f64)) -> Vec<Block> {
    if let Some(photo) = told.project.lesson.photo {
        return vec![photograph(told, photo, room)];
    }
    let assemblies = 0..told.project.assemblies.len();
    let with_names = told.project.assemblies.len() > 1;
    let pictures: Vec<Block> = assemblies
        .filter_map(|i| object(told, i, room, with_names))
        .collect();
    if pictures.is_empty() {
        return flat(told.project, room);
    }
    pictures
}

/// A picture of the maker's.
pub(super) fn photograph(told: Told<'_>, asset: AssetIndex, room: (f64, f64)) -> Block {
    let aspect = told.project.assets[asset.0].aspect.max(1e-3);
    let width_mm = room.0.min(room.1 / aspect);
    let place = Affine::scale_non_uniform(width_mm, width_mm * aspect);
    let picture = Item::Picture {
        asset,
        places: vec![place],
    };
    let id = told.project.assets[asset.0].path.clone();
    Block::new(vec![tagged("photo", id, vec![picture])], width_mm * aspect)
}

/// An assembly folded up; `None` where it cannot be.
pub(super) fn object(
    told: Told<'_>,
    assembly: usize,
    room: (f64, f64),
    with_name: bool,
) -> Option<Block> {
    let (drawing, filled) = told.objects.by_assembly.get(assembly)?.as_ref()?;
    let assembly = &told.project.assemblies[assembly];
    let mut block = scaled(drawing, *filled, room);
    block.items = vec![tagged("object-drawing", assembly.id.clone(), block.items)];
    if with_name {
        for line in wrapped(&assembly.name, Letter::BODY, room.0) {
            let start = (0.0, block.height_mm + DROP_MM + Letter::BODY.drop_mm());
            block.items.push(Letter::BODY.at(&line, start, GREY));
            block.height_mm += Letter::BODY.leading_mm();
        }
        block.height_mm += DROP_MM;
    }
    Some(block)
}

/// A piece without sizes, as it is seen from its front: what a step speaks of.
pub(super) fn piece(told: Told<'_>, piece: usize, room: (f64, f64)) -> Block {
    let declared = &told.project.pieces[piece];
    let filled = declared.outline.bounds();
    let scale = (room.0 / filled.width())
        .min(room.1 / filled.height())
        .min(1.0);
    let to_box = Affine::scale(scale) * Affine::translate(-filled.origin().to_vec2());
    let lines = super::figure::lines(declared, to_box, true);
    let id = declared.id.clone();
    let mut block = Block::new(
        vec![tagged("piece-picture", id, lines)],
        filled.height() * scale,
    );
    for line in wrapped(&told.lettered(piece), Letter::BODY, room.0) {
        let start = (0.0, block.height_mm + DROP_MM + Letter::BODY.drop_mm());
        block.items.push(Letter::BODY.at(&line, start, GREY));
        block.height_mm += Letter::BODY.leading_mm();
    }
    block.height_mm += DROP_MM;
    block
}

/// All pieces that lie on no other, flat, with their artwork and all that is mounted on them, to one scale in rows of this width.
fn flat(project: &Project, room: (f64, f64)) -> Vec<Block> {
    let bases = project.pieces.iter().enumerate();
    let bases = bases.filter(|(_, p)| p.mount.is_none());
    let bases: Vec<(usize, Rect)> = bases.map(|(i, p)| (i, p.finished().bounds())).collect();
    let sizes: Vec<Size> = bases.iter().map(|(_, filled)| filled.size()).collect();
    let Some((scale, corners, height_mm)) = in_rows(&sizes, room) else {
        return Vec::new();
    };
    let pictures = bases.iter().zip(corners).map(|((piece, filled), corner)| {
        let mut items = Vec::new();
        add_flat(project, *piece, Affine::IDENTITY, scale, &mut items);
        let map = Affine::translate(corner.to_vec2())
            * Affine::scale(scale)
            * Affine::translate(-filled.origin().to_vec2());
        let id = project.pieces[*piece].id.clone();
        tagged("flat-picture", id, moved(&Drawing { items }, map).items)
    });
    vec![Block::new(pictures.collect(), height_mm)]
}

/// The largest scale, of those tried, at which boxes fit into the room in rows; their top left corners, and the height they take.
fn in_rows(sizes: &[Size], room: (f64, f64)) -> Option<(f64, Vec<Point>, f64)> {
    let widest = sizes.iter().map(|s| s.width).fold(0.0, f64::max);
    let highest = sizes.iter().map(|s| s.height).fold(0.0, f64::max);
    if widest <= 0.0 || highest <= 0.0 {
        return None;
    }
    let mut scale = (room.0 / widest).min(room.1 / highest);
    loop {
        let (mut corners, mut x_mm, mut y_mm, mut row_mm) = (Vec::new(), 0.0, 0.0, 0.0_f64);
        for size in sizes {
            let own = *size * scale;
            if x_mm > 0.0 && x_mm + own.width > room.0 + ROUNDING_MM {
                x_mm = 0.0;
                y_mm += row_mm + BETWEEN_MM;
                row_mm = 0.0;
            }
            corners.push(Point::new(x_mm, y_mm));
            x_mm += own.width + BETWEEN_MM;
            row_mm = row_mm.max(own.height);
        }
        if y_mm + row_mm <= room.1 + ROUNDING_MM || scale < LEAST_SCALE {
            return Some((scale, corners, y_mm + row_mm));
        }
        scale *= SCALE_STEP;
    }
}

fn add_flat(
    project: &Project,
    piece: usize,
    to_picture: Affine,
    scale: f64,
    items: &mut Vec<Item>,
) {
    let declared = &project.pieces[piece];
    let path = to_picture * declared.finished().path();
    let mut inner = vec![Item::Fill {
        path: path.clone(),
        rule: FillRule::EvenOdd,
        paint: Paint::flat(crate::drawing::Colour::WHITE),
    }];
    let artworks = project.artwork_of(0, piece);
    for planned in plan::artwork_under(project, 0, piece, to_picture) {
        if planned.face == Face::Front {
            inner.push(artwork::layer(
                artworks[planned.artwork],
                &planned,
                &declared.id,
            ));
        }
    }
    items.push(Item::Clip {
        path: path.clone(),
        rule: FillRule::EvenOdd,
        inner: Drawing { items: inner },
    });
    items.push(Item::Stroke {
        path,
        stroke: Stroke::solid(EDGE_MM / scale),
        paint: Paint::flat(INK),
    });
    for operation in &declared.operations {
        let stroke = LineKind::of_kind(operation.kind).stroke();
        items.push(Item::Stroke {
            path: to_picture * operation.path.clone(),
            stroke: Stroke {
                width_mm: stroke.width_mm / scale,
                dash_mm: stroke.dash_mm.iter().map(|dash| dash / scale).collect(),
                ..stroke
            },
            paint: Paint::flat(INK),
        });
    }
    for (i, other) in project.pieces.iter().enumerate() {
        if let Some(mount) = other.mount.as_ref().filter(|m| m.on == piece) {
            let pose = mount.pose.to_affine();
            add_flat(project, i, to_picture * pose, scale, items);
        }
    }
}

/// A drawing as large as the box allows, at its top left.
fn scaled(drawing: &Drawing, filled: Rect, room: (f64, f64)) -> Block {
    let (width_mm, height_mm) = (filled.width().max(1e-3), filled.height().max(1e-3));
    let scale = (room.0 / width_mm).min(room.1 / height_mm);
    let map = Affine::scale(scale) * Affine::translate(-filled.origin().to_vec2());
    Block::new(moved(drawing, map).items, height_mm * scale)
}

pub(super) fn tagged(kind: &'static str, id: String, items: Vec<Item>) -> Item {
    Item::Tagged {
        tag: Tag { kind, id },
        inner: Drawing { items },
    }
}

/// A sample of a line, as a key has it.
pub(super) fn sample(kind: LineKind, from: Point, length_mm: f64) -> Item {
    let stroke = super::figure::stroke(kind);
    Item::Stroke {
        path: kind.sample(from, length_mm),
        stroke,
        paint: Paint::flat(INK),
    }
}
