//! Drawings moved and scaled as a whole.

use kurbo::{Affine, Vec2};

use super::{Drawing, Gradient, Item, Paint, Stroke};

/// Returns the drawing under a map that keeps shapes: a shift, a scale, a turn, a mirroring. Widths of lines scale along.
#[must_use]
pub fn moved(drawing: &Drawing, map: Affine) -> Drawing {
    Drawing {
        items: drawing
            .items
            .iter()
            .map(|item| item_moved(item, map))
            .collect(),
    }
}

/// Returns the items shifted.
#[must_use]
pub fn moved_all(items: &[Item], by: Vec2) -> Vec<Item> {
    let map = Affine::translate(by);
    items.iter().map(|item| item_moved(item, map)).collect()
}

fn item_moved(item: &Item, map: Affine) -> Item {
    match item {
        Item::Fill { path, rule, paint } => Item::Fill {
            path: map * path.clone(),
            rule: *rule,
            paint: paint_moved(paint, map),
        },
        Item::Stroke {
            path,
            stroke,
            paint,
        } => Item::Stroke {
            path: map * path.clone(),
            stroke: stroke_scaled(stroke, map.determinant().abs().sqrt()),
            paint: paint_moved(paint, map),
        },
        Item::Clip { path, rule, inner } => Item::Clip {
            path: map * path.clone(),
            rule: *rule,
            inner: moved(inner, map),
        },
        Item::Picture { asset, places } => Item::Picture {
            asset: *asset,
            places: places.iter().map(|place| map * *place).collect(),
        },
        Item::Glyphs(run) => {
            let mut run = run.clone();
            run.matrix = map * run.matrix;
            run.paint = paint_moved(&run.paint, map);
            Item::Glyphs(run)
        }
        Item::Tagged { tag, inner } => Item::Tagged {
            tag: tag.clone(),
            inner: moved(inner, map),
        },
    }
}

fn stroke_scaled(stroke: &Stroke, scale: f64) -> Stroke {
    Stroke {
        width_mm: stroke.width_mm * scale,
        dash_mm: stroke.dash_mm.iter().map(|dash| dash * scale).collect(),
        ..stroke.clone()
    }
}

fn paint_moved(paint: &Paint, map: Affine) -> Paint {
    let gradient_moved = |gradient: &Gradient| Gradient {
        matrix: map * gradient.matrix,
        ..gradient.clone()
    };
    match paint {
        Paint::Solid { .. } => paint.clone(),
        Paint::Linear { from, to, gradient } => Paint::Linear {
            from: *from,
            to: *to,
            gradient: gradient_moved(gradient),
        },
        Paint::Radial {
            focus,
            centre,
            radius,
            gradient,
        } => Paint::Radial {
            focus: *focus,
            centre: *centre,
            radius: *radius,
            gradient: gradient_moved(gradient),
        },
    }
}

#[cfg(test)]
mod tests {
    use kurbo::{BezPath, Rect, Shape};

    use super::*;
    use crate::drawing::Colour;

    #[test]
    fn a_drawing_at_half_size_has_half_the_line_width() {
        let drawing = Drawing {
            items: vec![Item::Stroke {
                path: BezPath::from_svg("M 0 0 L 10 0 L 10 4").unwrap(),
                stroke: Stroke {
                    dash_mm: vec![2.0, 1.0],
                    ..Stroke::solid(0.5)
                },
                paint: Paint::flat(Colour::BLACK),
            }],
        };
        let half = moved(&drawing, Affine::translate((3.0, 1.0)) * Affine::scale(0.5));
        let [Item::Stroke { path, stroke, .. }] = &half.items[..] else {
            panic!()
        };
        assert_eq!(path.bounding_box(), Rect::new(3.0, 1.0, 8.0, 3.0));
        assert!((stroke.width_mm - 0.25).abs() < 1e-12);
        assert!((stroke.dash_mm[0] - 1.0).abs() < 1e-12);
    }
}
