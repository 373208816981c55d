//! A display list painted in pixels.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath};
use resvg::tiny_skia::{FillRule as SkiaRule, Mask, Paint as SkiaPaint, Pixmap, PixmapPaint};

use super::{picture, skia};
use crate::drawing::{
    Asset, AssetContent, AssetIndex, Drawing, FillRule, GlyphRun, Item, Paint, Stroke,
};
use crate::font::Face;

/// A picture being painted.
pub(super) struct Canvas<'a> {
    pixels: Pixmap,
    assets: &'a [Asset],
    /// Raster assets at the sizes they were painted in.
    scaled: BTreeMap<(AssetIndex, picture::SizePx), Pixmap>,
}

impl<'a> Canvas<'a> {
    /// Returns a white canvas of the nearest whole number of pixels, at least one.
    pub(super) fn new(width_px: f64, height_px: f64, assets: &'a [Asset]) -> Self {
        let mut pixels = Pixmap::new(skia::whole_px(width_px), skia::whole_px(height_px))
            .expect("a page has at least one pixel and fits into memory");
        pixels.fill(resvg::tiny_skia::Color::WHITE);
        Self {
            pixels,
            assets,
            scaled: BTreeMap::new(),
        }
    }

    /// What has been painted.
    pub(super) fn pixels(&self) -> &Pixmap {
        &self.pixels
    }

    /// Paints `drawing`; `to_px` maps its space to pixels.
    pub(super) fn paint(&mut self, drawing: &Drawing, to_px: Affine) {
        self.paint_through(drawing, to_px, None);
    }

    fn paint_through(&mut self, drawing: &Drawing, to_px: Affine, mask: Option<&Mask>) {
        for item in &drawing.items {
            match item {
                Item::Fill { path, rule, paint } => self.fill(path, *rule, paint, to_px, mask),
                Item::Stroke {
                    path,
                    stroke,
                    paint,
                } => self.stroke(path, stroke, paint, to_px, mask),
                Item::Clip { path, rule, inner } => {
                    let narrower = self.narrowed(path, *rule, to_px, mask);
                    self.paint_through(inner, to_px, Some(&narrower));
                }
                Item::Picture { asset, places } => {
                    for place in places {
                        self.picture(*asset, to_px * *place, mask);
                    }
                }
                Item::Glyphs(run) => self.glyphs(run, to_px, mask),
                Item::Tagged { inner, .. } => self.paint_through(inner, to_px, mask),
            }
        }
    }

    fn fill(
        &mut self,
        path: &BezPath,
        rule: FillRule,
        paint: &Paint,
        to_px: Affine,
        mask: Option<&Mask>,
    ) {
        let Some(path) = skia::path(path) else { return };
        let paint = skia_paint(paint);
        self.pixels.fill_path(
            &path,
            &paint,
            skia::rule(rule),
            skia::transform(to_px),
            mask,
        );
    }

    fn stroke(
        &mut self,
        path: &BezPath,
        stroke: &Stroke,
        paint: &Paint,
        to_px: Affine,
        mask: Option<&Mask>,
    ) {
        let Some(path) = skia::path(path) else { return };
        let paint = skia_paint(paint);
        self.pixels.stroke_path(
            &path,
            &paint,
            &skia::stroke(stroke),
            skia::transform(to_px),
            mask,
        );
    }

    /// Returns `mask` cut down to the inside of `path`.
    fn narrowed(&self, path: &BezPath, rule: FillRule, to_px: Affine, mask: Option<&Mask>) -> Mask {
        let blank = || {
            Mask::new(self.pixels.width(), self.pixels.height())
                .expect("a mask is as large as its canvas")
        };
        let Some(path) = skia::path(path) else {
            return blank();
        };
        let (rule, to_px) = (skia::rule(rule), skia::transform(to_px));
        if let Some(mask) = mask {
            let mut narrower = mask.clone();
            narrower.intersect_path(&path, rule, true, to_px);
            narrower
        } else {
            let mut inside = blank();
            inside.fill_path(&path, rule, true, to_px);
            inside
        }
    }

    /// Paints one picture; `unit_to_px` maps its unit square to pixels.
    fn picture(&mut self, asset: AssetIndex, unit_to_px: Affine, mask: Option<&Mask>) {
        let assets = self.assets;
        match &assets[asset.0].content {
            AssetContent::Vector(drawing) => self.paint_through(drawing, unit_to_px, mask),
            raster @ (AssetContent::Png { .. } | AssetContent::Jpeg { .. }) => {
                let wanted = picture::SizePx::of_unit_square(unit_to_px);
                let tile = self
                    .scaled
                    .entry((asset, wanted))
                    .or_insert_with(|| picture::scaled(raster, wanted));
                let tile_to_unit = Affine::scale_non_uniform(
                    1.0 / f64::from(tile.width()),
                    1.0 / f64::from(tile.height()),
                );
                let paint = PixmapPaint {
                    quality: resvg::tiny_skia::FilterQuality::Bilinear,
                    ..PixmapPaint::default()
                };
                let to_px = skia::transform(unit_to_px * tile_to_unit);
                self.pixels
                    .draw_pixmap(0, 0, tile.as_ref(), &paint, to_px, mask);
            }
        }
    }

    fn glyphs(&mut self, run: &GlyphRun, to_px: Affine, mask: Option<&Mask>) {
        let paint = skia_paint(&run.paint);
        let face = Face::of(run.weight);
        for placed in &run.glyphs {
            let glyph_to_px = to_px
                * run.matrix
                * Affine::translate((placed.x_mm, 0.0))
                * Affine::scale(run.size_mm);
            let Some(outline) = skia::path(&face.outline(placed.glyph)) else {
                continue;
            };
            self.pixels.fill_path(
                &outline,
                &paint,
                SkiaRule::Winding,
                skia::transform(glyph_to_px),
                mask,
            );
        }
    }
}

fn skia_paint(paint: &Paint) -> SkiaPaint<'static> {
    SkiaPaint {
        shader: skia::shader(paint),
        anti_alias: true,
        ..SkiaPaint::default()
    }
}
