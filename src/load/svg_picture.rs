//! SVG pictures, kept as vectors: the usvg tree as a [`Drawing`] in the unit square.
//!
//! Strokes become filled areas here. A picture's unit square is stretched unevenly onto its box, which a line width cannot
//! follow; a filled area can. What a [`Drawing`] has no item for is refused by name, never dropped.

use kurbo::{Affine, BezPath, Point};
use usvg::tiny_skia_path::{self as skia, PathSegment};

use super::asset::Fault;
use super::svg_paint;
use super::svg_source::{damaged, document, feature, refuse_lost_elements, text};
use crate::drawing::{AssetContent, Drawing, FillRule, Item};
use crate::math::hypot;

/// Units across a picture's longer side while strokes are outlined: that works to a quarter of a unit, 0.0013 mm on 300 mm.
const STROKING_UNITS: f64 = 60_000.0;

/// Reads an SVG file; returns it with its height divided by its width.
pub(super) fn read(path: &str, bytes: &[u8]) -> Result<(AssetContent, f64), Fault> {
    let text = text(path, bytes)?;
    let document = document(path, text)?;
    refuse_lost_elements(path, &document)?;
    refuse_unsized(path, &document)?;
    let options = usvg::Options {
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_xmltree(&document, &options)
        .map_err(|error| damaged(path, &error.to_string()))?;
    let (width, height) = (tree.size().width(), tree.size().height());
    let reader = Reader {
        path,
        to_unit: Affine::scale_non_uniform(1.0 / f64::from(width), 1.0 / f64::from(height)),
        stroking_scale: STROKING_UNITS / f64::from(width.max(height)),
    };
    let mut drawing = Drawing::default();
    reader.group(tree.root(), 1.0, &mut drawing)?;
    if drawing.items.is_empty() {
        return Err(damaged(path, "nothing in it is to be seen"));
    }
    Ok((
        AssetContent::Vector(drawing),
        f64::from(height) / f64::from(width),
    ))
}

/// Without a size and a viewBox it is not known which part of the plane is the picture.
fn refuse_unsized(path: &str, document: &roxmltree::Document<'_>) -> Result<(), Fault> {
    let root = document.root_element();
    let is_absolute = |key: &str| {
        root.attribute(key)
            .is_some_and(|value| !value.trim().ends_with('%'))
    };
    if root.has_attribute("viewBox") || (is_absolute("width") && is_absolute("height")) {
        return Ok(());
    }
    let hint = "give its <svg> a viewBox, like viewBox=\"0 0 100 140\"";
    Err(feature(
        path,
        "neither a viewBox nor a width and height",
        hint,
    ))
}

struct Reader<'a> {
    path: &'a str,
    to_unit: Affine,
    stroking_scale: f64,
}

impl Reader<'_> {
    fn group(&self, group: &usvg::Group, opacity: f64, drawing: &mut Drawing) -> Result<(), Fault> {
        self.refuse_effects(group)?;
        let opacity = opacity * self.group_opacity(group)?;
        let mut inner = Drawing::default();
        for node in group.children() {
            match node {
                usvg::Node::Group(child) => self.group(child, opacity, &mut inner)?,
                usvg::Node::Path(path) => self.path(path, opacity, &mut inner)?,
                usvg::Node::Image(image) => {
                    return Err(self.refused(
                        "image",
                        image.id(),
                        "place it as artwork of its own",
                    ));
                }
                usvg::Node::Text(text) => {
                    return Err(self.refused("text", text.id(), "convert the text to paths"));
                }
            }
        }
        match group.clip_path() {
            Some(clip) => drawing
                .items
                .push(self.clip(clip, group.abs_transform(), inner)?),
            None => drawing.items.append(&mut inner.items),
        }
        Ok(())
    }

    fn refuse_effects(&self, group: &usvg::Group) -> Result<(), Fault> {
        if let Some(mask) = group.mask() {
            return Err(self.refused("mask", mask.id(), "use a clip path instead"));
        }
        if let Some(filter) = group.filters().first() {
            return Err(self.refused(
                "filter",
                filter.id(),
                "take the filter off, or place the picture as a PNG file",
            ));
        }
        if group.blend_mode() != usvg::BlendMode::Normal {
            return Err(self.refused(
                "mix-blend-mode",
                group.id(),
                "use plain colours, or place the picture as a PNG file",
            ));
        }
        Ok(())
    }

    /// A group's opacity can be passed on to what is in it only if that is one area, which cannot overlap itself.
    fn group_opacity(&self, group: &usvg::Group) -> Result<f64, Fault> {
        let opacity = f64::from(group.opacity().get());
        if opacity >= 1.0 || is_one_area(group) {
            return Ok(opacity);
        }
        Err(self.refused(
            "group opacity",
            group.id(),
            "give each shape in it an opacity of its own, or use plain colours",
        ))
    }

    fn path(&self, path: &usvg::Path, opacity: f64, drawing: &mut Drawing) -> Result<(), Fault> {
        if !path.is_visible() {
            return Ok(());
        }
        let fill = |drawing: &mut Drawing| self.fill(path, opacity, drawing);
        let stroke = |drawing: &mut Drawing| self.stroke(path, opacity, drawing);
        match path.paint_order() {
            usvg::PaintOrder::FillAndStroke => fill(drawing).and_then(|()| stroke(drawing)),
            usvg::PaintOrder::StrokeAndFill => stroke(drawing).and_then(|()| fill(drawing)),
        }
    }

    fn fill(&self, path: &usvg::Path, opacity: f64, drawing: &mut Drawing) -> Result<(), Fault> {
        let Some(fill) = path.fill() else {
            return Ok(());
        };
        let to_unit = self.to_unit * affine(path.abs_transform());
        let opacity = opacity * f64::from(fill.opacity().get());
        drawing.items.push(Item::Fill {
            path: to_unit * bez_path(path.data()),
            rule: rule(fill.rule()),
            paint: svg_paint::read(self.path, fill.paint(), opacity, to_unit)?,
        });
        Ok(())
    }

    fn stroke(&self, path: &usvg::Path, opacity: f64, drawing: &mut Drawing) -> Result<(), Fault> {
        let Some(stroke) = path.stroke() else {
            return Ok(());
        };
        let to_unit = self.to_unit * affine(path.abs_transform());
        let Some((area, area_to_path)) = self.outline_stroke(path, stroke) else {
            return Ok(());
        };
        let opacity = opacity * f64::from(stroke.opacity().get());
        drawing.items.push(Item::Fill {
            path: to_unit * area_to_path * area,
            rule: FillRule::NonZero,
            paint: svg_paint::read(self.path, stroke.paint(), opacity, to_unit)?,
        });
        Ok(())
    }

    /// Returns the area that a stroke covers, in larger units, and the map from those to the path's own.
    fn outline_stroke(
        &self,
        path: &usvg::Path,
        stroke: &usvg::Stroke,
    ) -> Option<(BezPath, Affine)> {
        let [a, b, c, d, ..] = affine(path.abs_transform()).as_coeffs();
        let (across, down) = (hypot(a, b), hypot(c, d));
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the picture reader counts in f32"
        )]
        let scale = (self.stroking_scale * across.max(down)) as f32;
        let line = path
            .data()
            .clone()
            .transform(skia::Transform::from_scale(scale, scale))?;
        let mut pen = stroke.to_tiny_skia();
        pen.width *= scale;
        let dashes = stroke
            .dasharray()
            .map(|dashes| dashes.iter().map(|dash| dash * scale).collect());
        pen.dash = None;
        let dashed = match dashes {
            Some(dashes) => line.dash(
                &skia::StrokeDash::new(dashes, stroke.dashoffset() * scale)?,
                1.0,
            )?,
            None => line,
        };
        let area = dashed.stroke(&pen, 1.0)?;
        Some((bez_path(&area), Affine::scale(1.0 / f64::from(scale))))
    }

    /// Puts `inner` behind a clip path, whose own clip path, if any, lies around that.
    fn clip(
        &self,
        clip: &usvg::ClipPath,
        user_space: usvg::Transform,
        inner: Drawing,
    ) -> Result<Item, Fault> {
        let to_unit = self.to_unit * affine(user_space) * affine(clip.transform());
        let mut areas = Vec::new();
        clip_areas(clip.root(), to_unit, &mut areas);
        let several = || {
            self.refused(
                "clip path",
                clip.id(),
                "unite the shapes of the clip path into one path",
            )
        };
        if areas.len() > 1 {
            return Err(several());
        }
        let (path, rule) = areas.pop().unwrap_or((BezPath::new(), FillRule::NonZero));
        let clipped = Item::Clip { path, rule, inner };
        match clip.clip_path() {
            None => Ok(clipped),
            Some(outer) => self.clip(
                outer,
                user_space,
                Drawing {
                    items: vec![clipped],
                },
            ),
        }
    }

    fn refused(&self, what: &str, id: &str, hint: &str) -> Fault {
        let what = if id.is_empty() {
            format!("a {what}")
        } else {
            format!("the {what} \"{id}\"")
        };
        feature(self.path, &what, hint)
    }
}

/// Whether a group holds one area and nothing else: one path, filled or stroked and not both.
fn is_one_area(group: &usvg::Group) -> bool {
    match group.children() {
        [usvg::Node::Path(path)] => path.fill().is_some() != path.stroke().is_some(),
        [usvg::Node::Group(inner)] => is_one_area(inner),
        _ => false,
    }
}

fn clip_areas(group: &usvg::Group, to_unit: Affine, areas: &mut Vec<(BezPath, FillRule)>) {
    let to_unit = to_unit * affine(group.transform());
    for node in group.children() {
        match node {
            usvg::Node::Group(inner) => clip_areas(inner, to_unit, areas),
            usvg::Node::Path(path) => {
                let rule = path
                    .fill()
                    .map_or(FillRule::NonZero, |fill| rule(fill.rule()));
                areas.push((to_unit * bez_path(path.data()), rule));
            }
            usvg::Node::Image(_) | usvg::Node::Text(_) => {}
        }
    }
}

fn rule(rule: usvg::FillRule) -> FillRule {
    match rule {
        usvg::FillRule::NonZero => FillRule::NonZero,
        usvg::FillRule::EvenOdd => FillRule::EvenOdd,
    }
}

pub(super) fn affine(transform: usvg::Transform) -> Affine {
    let t = transform;
    Affine::new([t.sx, t.ky, t.kx, t.sy, t.tx, t.ty].map(f64::from))
}

fn bez_path(path: &skia::Path) -> BezPath {
    let point = |p: skia::Point| Point::new(f64::from(p.x), f64::from(p.y));
    let mut bez = BezPath::new();
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(p) => bez.move_to(point(p)),
            PathSegment::LineTo(p) => bez.line_to(point(p)),
            PathSegment::QuadTo(p, q) => bez.quad_to(point(p), point(q)),
            PathSegment::CubicTo(p, q, r) => bez.curve_to(point(p), point(q), point(r)),
            PathSegment::Close => bez.close_path(),
        }
    }
    bez
}
