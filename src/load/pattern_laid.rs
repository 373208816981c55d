//! Patterns laid over a face: as one vector picture of the face with its bleed, that shows each motif many times.

use kurbo::{Affine, Point, Rect, Shape, Vec2};

use super::asset::Library;
use super::code;
use super::pattern::Asked;
use super::table::Table;
use crate::drawing::{Drawing, FillRule, Item, Paint};
use crate::geometry::{Pose, unit_square_onto};
use crate::length::{Length, Size};
use crate::math::Angle;
use crate::pattern::Field;
use crate::project::PictureBox;

/// Most motifs on one face: a hundred across and two hundred down; finer patterns ask for a longer repeat.
const MOST_MOTIFS: usize = 20_000;

/// By how much more than its bleed a mitred corner may reach: `geometry::offset` cuts longer ones off.
const LONGEST_MITRE: f64 = 4.0;

/// How a pattern lies in its frame: a panel as it stands, or the face.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Laid {
    /// Clockwise.
    pub(super) angle_deg: f64,
    /// Right and down from where it starts.
    pub(super) offset_mm: (f64, f64),
    pub(super) start: Start,
    /// By how many percent its repeat may be changed so that the frame holds a whole number.
    pub(super) whole_within: Option<u32>,
    pub(super) mirrors: Mirrors,
}

/// Where in its frame a pattern begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Start {
    /// The middle of the first repeat lies in the middle of the frame.
    #[default]
    Middle,
    /// It lies in the top left corner.
    Corner,
}

/// The edges of its frame beyond which a pattern is seen in a mirror.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Mirrors {
    pub(super) left: bool,
    pub(super) right: bool,
    pub(super) top: bool,
    pub(super) bottom: bool,
}

/// What a pattern is measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    /// Its size in millimetres; its origin is the top left corner.
    pub(super) size: kurbo::Size,
    pub(super) to_face: Pose,
}

/// Returns the box that a face with these bounds and this bleed can show, in whole millimetres.
pub(super) fn cover(bounds: Rect, bleed_mm: f64) -> Rect {
    bounds
        .inflate(bleed_mm * LONGEST_MITRE, bleed_mm * LONGEST_MITRE)
        .expand()
}

/// Refuses a repeat that would have to change more than allowed to come out whole, and one that is too fine for its face.
pub(super) fn refuse(table: &Table<'_>, asked: &Asked, frame: Frame, cover: Rect) -> Option<()> {
    if let Some(most) = asked.laid.whole_within {
        refuse_broken(table, asked, frame, most)?;
    }
    let motifs: usize = patches(&asked.field, &asked.laid, frame, cover)
        .iter()
        .flat_map(|patch| {
            asked
                .field
                .layers
                .iter()
                .map(|layer| layer.shifts(patch.in_field).len())
        })
        .sum();
    if motifs <= MOST_MOTIFS {
        return Some(());
    }
    let message =
        format!("the pattern comes {motifs} times on this face, more than {MOST_MOTIFS} times");
    let at = table.origin_of("repeat");
    table
        .mistakes()
        .fail(code::ARTWORK_PATTERN, &at, message, "write a longer repeat")
}

fn refuse_broken(table: &Table<'_>, asked: &Asked, frame: Frame, most: u32) -> Option<()> {
    let at = table.origin_of("whole_within");
    let mistakes = table.mistakes();
    if !is_quarter(asked.laid.angle_deg) {
        let message = format!(
            "a pattern turned by {} deg has no repeat along the edges that could come out whole",
            asked.laid.angle_deg
        );
        return mistakes.fail(
            code::ARTWORK_PATTERN,
            &at,
            message,
            "write angle = \"0 deg\" or leave whole_within out",
        );
    }
    let change = whole(&asked.field, &asked.laid, frame);
    let worst = [change.x, change.y].into_iter().fold(1.0_f64, |worst, by| {
        if (by - 1.0).abs() > (worst - 1.0).abs() {
            by
        } else {
            worst
        }
    });
    if (worst - 1.0).abs() * 100.0 <= f64::from(most) + 1e-9 {
        return Some(());
    }
    let style = mistakes.length_style();
    let message = format!(
        "the repeat would have to change by {:.1} % to come out whole, more than {most} %",
        (worst - 1.0).abs() * 100.0
    );
    let fitting = Length::nearest_mm(asked.settings.repeat_mm * worst).told(style);
    let hint = format!("write repeat = \"{fitting}\", or allow more");
    mistakes.fail(code::ARTWORK_PATTERN, &at, message, hint)
}

/// Lays a pattern over a face.
pub(super) fn lay(library: &Library<'_>, asked: &Asked, frame: Frame, cover: Rect) -> PictureBox {
    let field = &asked.field;
    let name = format!("pattern {}", asked.kind.name);
    let motifs: Vec<_> = field
        .layers
        .iter()
        .map(|layer| {
            let (picture, unit_to_field) = layer.picture(&name);
            (library.keep(picture), unit_to_field)
        })
        .collect();
    let to_unit = unit_square_onto(cover).inverse();
    let mut items = Vec::new();
    for patch in patches(field, &asked.laid, frame, cover) {
        let mut seen = vec![Item::Fill {
            path: to_unit * patch.on_face.to_path(0.1),
            rule: FillRule::NonZero,
            paint: Paint::flat(field.ground),
        }];
        for (layer, (asset, unit_to_field)) in field.layers.iter().zip(&motifs) {
            let place =
                |shift: Vec2| to_unit * patch.to_face * Affine::translate(shift) * *unit_to_field;
            seen.push(Item::Picture {
                asset: *asset,
                places: layer
                    .shifts(patch.in_field)
                    .into_iter()
                    .map(place)
                    .collect(),
            });
        }
        if patch.is_mirrored {
            items.push(Item::Clip {
                path: to_unit * patch.on_face.to_path(0.1),
                rule: FillRule::NonZero,
                inner: Drawing { items: seen },
            });
        } else {
            items.extend(seen);
        }
    }
    let asset = library.drawn(&name, Drawing { items }, cover.height() / cover.width());
    PictureBox {
        asset,
        width: whole_mm(cover.width()),
        height: whole_mm(cover.height()),
        pose: Pose::at(cover.x0, cover.y0),
    }
}

fn whole_mm(side: f64) -> Size {
    Size::new(Length::nearest_mm(side)).expect("a face has an area, so its box has sides")
}

/// Part of a face that a pattern covers in one go.
struct Patch {
    on_face: Rect,
    /// A box in the field that holds all that is seen.
    in_field: Rect,
    to_face: Affine,
    is_mirrored: bool,
}

/// The face itself first, then what lies beyond mirrors: painted over it, so that nothing shows in the seam.
fn patches(field: &Field, laid: &Laid, frame: Frame, cover: Rect) -> Vec<Patch> {
    let field_to_frame = field_to_frame(field, laid, frame);
    let frame_to_face = frame.to_face.to_affine();
    let cover_in_frame = frame_to_face.inverse().transform_rect_bbox(cover);
    let across = strips(
        (cover_in_frame.x0, cover_in_frame.x1),
        frame.size.width,
        (laid.mirrors.left, laid.mirrors.right),
    );
    let down = strips(
        (cover_in_frame.y0, cover_in_frame.y1),
        frame.size.height,
        (laid.mirrors.top, laid.mirrors.bottom),
    );
    let mut patches = Vec::new();
    for (y0, y1, mirror_y) in &down {
        for (x0, x1, mirror_x) in &across {
            let in_frame = Rect::new(*x0, *y0, *x1, *y1);
            let mirror = mirror(*mirror_x, *mirror_y);
            let to_face = frame_to_face * mirror * field_to_frame;
            let on_face = frame_to_face.transform_rect_bbox(in_frame);
            patches.push(Patch {
                on_face,
                in_field: to_face.inverse().transform_rect_bbox(on_face),
                to_face,
                is_mirrored: mirror_x.is_some() || mirror_y.is_some(),
            });
        }
    }
    patches
}

/// A stretch from one place to another, and the mirror it is seen in.
type Strip = (f64, f64, Option<f64>);

fn strips((from, to): (f64, f64), size: f64, (low, high): (bool, bool)) -> Vec<Strip> {
    let mut strips = vec![(from, to, None)];
    if low && from < 0.0 {
        strips.push((from, 0.0, Some(0.0)));
    }
    if high && to > size {
        strips.push((size, to, Some(size)));
    }
    strips
}

fn mirror(at_x: Option<f64>, at_y: Option<f64>) -> Affine {
    let along = |at: Option<f64>| at.map_or((1.0, 0.0), |at| (-1.0, 2.0 * at));
    let ((a, e), (d, f)) = (along(at_x), along(at_y));
    Affine::new([a, 0.0, 0.0, d, e, f])
}

fn field_to_frame(field: &Field, laid: &Laid, frame: Frame) -> Affine {
    let start = match laid.start {
        Start::Middle => Point::new(frame.size.width / 2.0, frame.size.height / 2.0),
        Start::Corner => Point::ORIGIN,
    };
    let (x, y) = laid.offset_mm;
    let pose = Pose {
        turn: Angle::from_deg(laid.angle_deg),
        ..Pose::at(start.x + x, start.y + y)
    };
    let by = match laid.whole_within {
        Some(_) if is_quarter(laid.angle_deg) => whole(field, laid, frame),
        Some(_) | None => Vec2::new(1.0, 1.0),
    };
    pose.to_affine() * Affine::scale_non_uniform(by.x, by.y)
}

fn is_quarter(deg: f64) -> bool {
    (deg / 90.0).fract().abs() < 1e-12
}

/// By how much a field must be stretched across and down so that whole repeats of it fill the frame.
fn whole(field: &Field, laid: &Laid, frame: Frame) -> Vec2 {
    let is_upright = (laid.angle_deg / 90.0).rem_euclid(2.0) < 0.5;
    let (width, height) = match is_upright {
        true => (frame.size.width, frame.size.height),
        false => (frame.size.height, frame.size.width),
    };
    let stretch = |side: f64, repeat: f64| match repeat > 0.0 {
        true => side / repeat / (side / repeat).round().max(1.0),
        false => 1.0,
    };
    Vec2::new(
        stretch(width, field.repeat_mm.x),
        stretch(height, field.repeat_mm.y),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(x: f64, y: f64) -> Field {
        Field {
            ground: crate::drawing::Colour::WHITE,
            layers: Vec::new(),
            reads: crate::project::Reads::Free,
            repeat_mm: Vec2::new(x, y),
        }
    }

    fn frame(width: f64, height: f64) -> Frame {
        Frame {
            size: kurbo::Size::new(width, height),
            to_face: Pose::identity(),
        }
    }

    /// By hand: 12 mm on 100 mm is 8.33 repeats; eight of them are 12.5 mm each, 25/24 of what was asked. Down 50 mm, 4 repeats of 12.5.
    #[test]
    fn a_repeat_comes_out_whole_by_the_nearest_number() {
        let by = whole(&field(12.0, 12.0), &Laid::default(), frame(100.0, 50.0));
        assert!((by.x - 25.0 / 24.0).abs() < 1e-12 && (by.y - 25.0 / 24.0).abs() < 1e-12);
        let turned = Laid {
            angle_deg: 90.0,
            ..Laid::default()
        };
        // What goes across lies along the height now: 40 mm hold three repeats of 13.33.
        let by = whole(&field(12.0, 0.0), &turned, frame(100.0, 40.0));
        assert!((by.x - 40.0 / 36.0).abs() < 1e-12 && (by.y - 1.0).abs() < 1e-12);
    }

    #[test]
    fn beyond_a_mirror_a_point_is_as_far_as_before_it() {
        let laid = Laid {
            mirrors: Mirrors {
                right: true,
                ..Mirrors::default()
            },
            ..Laid::default()
        };
        let found = patches(
            &field(10.0, 10.0),
            &laid,
            frame(60.0, 40.0),
            Rect::new(-12.0, -12.0, 72.0, 52.0),
        );
        assert_eq!(found.len(), 2);
        assert_eq!(found[1].on_face, Rect::new(60.0, -12.0, 72.0, 52.0));
        // The field starts in the middle, at 30: what lies at 55 in the frame is 25 from it, and is seen again at 65.
        let seen = found[1].to_face * Point::new(25.0, 3.0);
        assert!((seen - Point::new(65.0, 23.0)).hypot2() < 1e-24);
    }
}
