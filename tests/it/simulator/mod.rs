//! A small simulator of printers, scanners and phone cameras, which knows the truth of what it made.
//!
//! A [`Page`](target::Page), drawn from its geometry or rendered from a file that the tool wrote, becomes [`Raster`](raster::Raster)
//! ink; [`Ink`](printer::Ink) spreads it and a [`PrintPath`] carries it to the [`Sheet`](sheet::Sheet); a [`Scan`] or a [`Photo`]
//! sees the sheet. A [`Shot`] is the picture with its truth: where each place of the page and of the sheet really is.
//!
//! Millimetres from the top left corner, y down. Places in pictures are in pixels from the picture's top left corner: pixel 0 covers
//! 0 to 1, its middle is 0.5. It shares no code with what is tested; errors of home devices are design values of
//! the project's geometry notes, where not otherwise said without source.

#![allow(
    dead_code,
    reason = "the tests and the benchmark each use a part of it"
)]
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "pixels are counted by whole numbers, and all sums are of sizes that fit"
)]

pub(crate) mod affine;
mod art;
pub(crate) mod camera;
pub(crate) mod file;
pub(crate) mod picture;
pub(crate) mod printer;
pub(crate) mod random;
pub(crate) mod raster;
pub(crate) mod render;
pub(crate) mod scanner;
pub(crate) mod sheet;
pub(crate) mod target;

use image::GrayImage;
use kurbo::{Affine, Point, Size, Vec2};

use camera::{Photo, View};
use picture::Sensor;
use printer::PrintPath;
use random::Random;
use raster::{Pyramid, Raster};
use render::{Canvas, Layer, Spot};
use scanner::Scan;
use sheet::Sheet;

/// A printed sheet.
#[derive(Debug, Clone)]
pub(crate) struct Printed {
    pub(crate) sheet: Sheet,
    pub(crate) path: PrintPath,
    ink: Pyramid,
    strength: f64,
    /// Patches that cover something: their corners on the sheet, clockwise, and how light they are.
    pub(crate) covers: Vec<([Point; 4], f64)>,
}

impl Printed {
    /// Prints a page.
    pub(crate) fn new(page: &Raster, ink: &printer::Ink, path: PrintPath, sheet: Sheet) -> Self {
        Self {
            sheet,
            path,
            ink: Pyramid::new(ink.print(page)),
            strength: ink.strength,
            covers: Vec::new(),
        }
    }

    /// Covers a square of the sheet with something as light as said.
    pub(crate) fn cover(&mut self, middle: Point, side_mm: f64, light: f64) {
        let half = side_mm / 2.0;
        let corner = |x: f64, y: f64| middle + Vec2::new(x * half, y * half);
        self.covers.push((
            [
                corner(-1.0, -1.0),
                corner(1.0, -1.0),
                corner(1.0, 1.0),
                corner(-1.0, 1.0),
            ],
            light,
        ));
    }

    fn size(&self) -> Size {
        let [_, right, corner, bottom] = self.sheet.corners;
        Size::new((right.x + corner.x) / 2.0, (bottom.y + corner.y) / 2.0)
    }

    /// Draws the sheet and what covers it.
    fn draw(
        &mut self,
        on: &mut Canvas,
        spot: &Spot,
        finest_px_per_mm: f64,
        shadow: Option<(f64, f64)>,
        sheet_from_picture: &dyn Fn(Point) -> Point,
    ) {
        let raster = self.ink.for_px_per_mm(finest_px_per_mm / spot.step_px());
        let path = &self.path;
        let layer = Layer {
            sheet: self.sheet,
            print: Some((raster, &|at| path.page_from_sheet(at))),
            strength: self.strength,
            sheet_from_picture,
            shadow,
        };
        on.draw(&layer, spot);
        for (corners, light) in &self.covers {
            let patch = Layer {
                sheet: Sheet {
                    corners: *corners,
                    white: *light,
                },
                print: None,
                strength: 0.0,
                sheet_from_picture,
                shadow: None,
            };
            on.draw(&patch, spot);
        }
    }
}

/// Where places of a sheet are seen.
#[derive(Debug, Clone)]
pub(crate) enum Truth {
    /// By one map from the sheet to the picture.
    Scan(Affine),
    /// By a camera.
    Photo(View),
}

impl Truth {
    /// Returns where a place of the sheet is seen, in pixels.
    pub(crate) fn picture_from_sheet(&self, sheet: Point) -> Point {
        match self {
            Self::Scan(map) => *map * sheet,
            Self::Photo(view) => view.picture_from_sheet(sheet),
        }
    }

    /// Returns which place of the sheet is seen at a place of the picture.
    pub(crate) fn sheet_from_picture(&self, picture: Point) -> Point {
        match self {
            Self::Scan(map) => map.inverse() * picture,
            Self::Photo(view) => view.sheet_from_picture(picture),
        }
    }
}

/// A picture and its truth.
#[derive(Debug, Clone)]
pub(crate) struct Shot {
    pub(crate) picture: GrayImage,
    /// What the file says of its resolution; the truth unless it was made to lie.
    pub(crate) dpi_tag: Option<f64>,
    pub(crate) truth: Truth,
    /// Corners of the sheet in the picture, clockwise from the sheet's own top left.
    pub(crate) corners: [Point; 4],
    /// Where the printer put the page.
    pub(crate) path: PrintPath,
}

impl Shot {
    /// Returns where a place of the page is seen, in pixels.
    pub(crate) fn picture_from_page(&self, page: Point) -> Point {
        self.truth
            .picture_from_sheet(self.path.sheet_from_page(page))
    }

    /// The same picture seen in a mirror, left and right swapped.
    pub(crate) fn mirrored(mut self) -> Self {
        image::imageops::flip_horizontal_in_place(&mut self.picture);
        let flip = Affine::new([-1.0, 0.0, 0.0, 1.0, f64::from(self.picture.width()), 0.0]);
        self.corners = self.corners.map(|c| flip * c);
        if let Truth::Scan(map) = &mut self.truth {
            *map = flip * *map;
        }
        self
    }
}

/// Scans a sheet.
pub(crate) fn scan(printed: &mut Printed, scan: &Scan, random: &mut Random) -> Shot {
    let (map, (width, height)) = scan.placed(&printed.sheet.corners);
    let mut canvas = Canvas::new(width, height, scan.lid.light());
    scan_onto(&mut canvas, printed, scan, map);
    shot(
        canvas,
        printed,
        Truth::Scan(map),
        Some(scan.dpi),
        &scan.sensor,
        random,
    )
}

/// Scans two sheets that lie beside each other on the glass; the truth is that of the first, at the left.
pub(crate) fn scan_two(
    first: &mut Printed,
    second: &mut Printed,
    scan: &Scan,
    gap_mm: f64,
    random: &mut Random,
) -> Shot {
    let (map, (width, height)) = scan.placed(&first.sheet.corners);
    let (beside, (more, tall)) = scan.placed(&second.sheet.corners);
    let step_px = width as f64 + (gap_mm - scan.border_mm[0] - scan.border_mm[2]) * scan.dpi / 25.4;
    let width = (step_px + more as f64) as usize;
    let mut canvas = Canvas::new(width, height.max(tall), scan.lid.light());
    scan_onto(&mut canvas, first, scan, map);
    scan_onto(
        &mut canvas,
        second,
        scan,
        Affine::translate(Vec2::new(step_px, 0.0)) * beside,
    );
    shot(
        canvas,
        first,
        Truth::Scan(map),
        Some(scan.dpi),
        &scan.sensor,
        random,
    )
}

fn scan_onto(canvas: &mut Canvas, printed: &mut Printed, scan: &Scan, map: Affine) {
    let back = map.inverse();
    let spot = Spot::new(scan.spot_px(), scan.step_px());
    printed.draw(canvas, &spot, scan.dpi / 25.4, scan.lid.shadow(), &|at| {
        back * at
    });
}

/// Takes a photo of a sheet on a table.
pub(crate) fn photo(printed: &mut Printed, photo: &Photo, random: &mut Random) -> Shot {
    let view = photo.view(printed.size());
    let mut canvas = Canvas::new(photo.width_px, photo.height_px, 0.0);
    camera::lay_table(&mut canvas, photo.table);
    let px_per_mm = 1.1 * photo.focal_px / photo.distance_mm;
    let shadow = Some((0.35, 0.6));
    let seen = |at: Point| view.sheet_from_picture(at);
    printed.draw(
        &mut canvas,
        &Spot::new(photo.spot_px, 0.8),
        px_per_mm,
        shadow,
        &seen,
    );
    shot(
        canvas,
        printed,
        Truth::Photo(view),
        None,
        &photo.sensor,
        random,
    )
}

fn shot(
    canvas: Canvas,
    printed: &Printed,
    truth: Truth,
    dpi_tag: Option<f64>,
    sensor: &Sensor,
    random: &mut Random,
) -> Shot {
    Shot {
        picture: sensor.take(canvas, random),
        dpi_tag,
        corners: printed.sheet.corners.map(|c| truth.picture_from_sheet(c)),
        truth,
        path: printed.path.clone(),
    }
}
