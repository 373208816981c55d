//! The ready charts and the pictures of `calibration/`: remade and compared.
//!
//! Set `SHEETWRIGHT_TAKE_PICTURES` to any value to take those that the tool makes now; then look at them.

use std::fs;
use std::path::PathBuf;

use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};
use sheetwright::calibrate::chart::{Chart, ChartEdition, ChartFaces, Vernier, project};
use sheetwright::draw::page::{Page, PageLayer};
use sheetwright::drawing::{AssetIndex, Colour, Drawing, FillRule, Item, Paint, Stroke};
use sheetwright::emit::png;
use sheetwright::font;
use sheetwright::length::{Length, LengthStyle};
use sheetwright::paper::find;
use sheetwright::project::Axis;

use crate::calibration_chart::{made, ready};
use crate::program::root;

const TAKE_PICTURES: &str = "SHEETWRIGHT_TAKE_PICTURES";

/// Resolution of the close-ups: 22.5 mm are 602 pixels.
const CLOSE_DPI: f64 = 680.0;

/// Resolution of the picture of a station: 34 mm are 602 pixels.
const STATION_DPI: f64 = 450.0;

/// Resolution of whole pages: an A4 page is 909 x 1286 pixels, whole on a screen and legible.
const WHOLE_DPI: f64 = 110.0;

const STEEL: Colour = Colour::rgb(214, 219, 222);
const PLUM: Colour = Colour::rgb(150, 40, 90);

fn folder() -> PathBuf {
    root().join("calibration")
}

fn compare(name: &str, bytes: &[u8]) {
    let file = folder().join(name);
    if std::env::var_os(TAKE_PICTURES).is_some() {
        fs::write(&file, bytes).unwrap();
    }
    let is_same = fs::read(&file).is_ok_and(|kept| kept == bytes);
    assert!(
        is_same,
        "calibration/{name} is out of date: run once with {TAKE_PICTURES}=1 and look at it"
    );
}

#[test]
fn the_ready_charts_are_those_the_tool_makes() {
    for (name, chart) in ready() {
        compare(
            &format!("{name}.pdf"),
            &made(&chart, ChartFaces::Both).files["print.pdf"],
        );
    }
}

#[test]
fn the_pictures_in_the_walk_are_those_the_tool_makes() {
    let a4 = &ready()["chart-a4-mm"];
    compare("chart-front.png", &whole(a4, 0));
    compare("chart-back.png", &whole(a4, 1));
    for edition in [ChartEdition::Millimetres, ChartEdition::Inches] {
        let (name, picture) = vernier_with_ruler(edition);
        compare(name, &picture);
    }
    compare("ladder.png", &ladder_cut_off());
    compare("station.png", &station_against_a_window());
    let readme = fs::read_to_string(folder().join("README.md")).unwrap();
    for entry in fs::read_dir(folder()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(
            name == "README.md" || readme.contains(&name),
            "the walk does not show {name}"
        );
    }
}

#[test]
fn the_walk_tells_how_long_the_ruler_lines_are() {
    let readme = fs::read_to_string(folder().join("README.md")).unwrap();
    for (name, chart) in ready() {
        let style = match chart.edition {
            ChartEdition::Millimetres => LengthStyle::Millimetres,
            ChartEdition::Inches => LengthStyle::InchFractions,
        };
        let ruler = match chart.edition {
            ChartEdition::Millimetres => "mm",
            ChartEdition::Inches => "inches",
        };
        let show = |mm: f64| Length::nearest_mm(mm).display(style).to_string();
        let [a, b, c, d] = chart.lines.map(|line| show(line.length_mm()));
        let [e, f] = chart
            .edge_distances
            .map(|distance| show(distance.nominal_mm(chart.page)));
        assert_eq!((&a, &c), (&b, &d));
        let row = format!("| {}, {ruler} | {a} | {c} | {e} | {f} |", chart.format);
        assert!(readme.contains(&row), "{name}: {row}");
    }
}

/// A part of the sheet, seen close: what is printed, and things that lie on it.
struct CloseUp {
    chart: Chart,
    seen: Rect,
    items: Vec<Item>,
}

impl CloseUp {
    fn new(name: &str, edition: ChartEdition, seen: Rect) -> Self {
        let chart = Chart::upright(find(name).unwrap(), edition).unwrap();
        Self {
            chart,
            seen,
            items: Vec::new(),
        }
    }

    /// What a printer that shifts everything by this has printed; the back as it is seen through the sheet.
    fn printed(&mut self, face: usize, shift_mm: Vec2) {
        let page = self.chart.page;
        let on_page = Affine::scale_non_uniform(page.width, page.height);
        let in_front_view = match face {
            0 => Affine::IDENTITY,
            _ => Affine::new([-1.0, 0.0, 0.0, 1.0, page.width, 0.0]),
        };
        self.items.push(Item::Picture {
            asset: AssetIndex(face),
            places: vec![Affine::translate(shift_mm) * in_front_view * on_page],
        });
    }

    fn fill(&mut self, area: Rect, colour: Colour) {
        self.items.push(Item::Fill {
            path: area.to_path(0.0),
            rule: FillRule::NonZero,
            paint: Paint::flat(colour),
        });
    }

    fn line(&mut self, from: Point, to: Point, width_mm: f64, colour: Colour) {
        let mut path = BezPath::new();
        path.move_to(from);
        path.line_to(to);
        self.items.push(Item::Stroke {
            path,
            stroke: Stroke::solid(width_mm),
            paint: Paint::flat(colour),
        });
    }

    /// Words whose baseline is centred at a point.
    fn words(&mut self, words: &str, size_mm: f64, at: Point, colour: Colour) {
        let face = font::Face::carried();
        let half = Vec2::new(font::width_mm(&face, words, size_mm) / 2.0, 0.0);
        let matrix = Affine::translate((at - half).to_vec2());
        let run = font::run(&face, words, size_mm, matrix, Paint::flat(colour)).unwrap();
        self.items.push(Item::Glyphs(run));
    }

    fn png(self, dpi: f64) -> Vec<u8> {
        let project = project(&self.chart, ChartFaces::Both);
        let page = Page {
            label: "close-up".to_owned(),
            width_mm: self.seen.width(),
            height_mm: self.seen.height(),
            layers: vec![PageLayer {
                name: "Close-up",
                step: None,
                matrix: Affine::translate(-self.seen.origin().to_vec2()),
                drawing: Drawing { items: self.items },
            }],
        };
        png::write(&page, &project.assets, dpi)
    }
}

/// A whole face, as seen on its page.
fn whole(chart: &Chart, face: usize) -> Vec<u8> {
    let page = chart.page;
    let mut close = CloseUp {
        chart: chart.clone(),
        seen: Rect::from_origin_size((0.0, 0.0), page),
        items: Vec::new(),
    };
    close.items.push(Item::Picture {
        asset: AssetIndex(face),
        places: vec![Affine::scale_non_uniform(page.width, page.height)],
    });
    close.png(WHOLE_DPI)
}

/// Scale x1 printed a little too far to the right, with a ruler along its line: 20.3 mm, or 3/4 in and 3/128 in.
fn vernier_with_ruler(edition: ChartEdition) -> (&'static str, Vec<u8>) {
    let (format, name, meeting) = match edition {
        ChartEdition::Millimetres => ("a4", "vernier-mm.png", 3),
        ChartEdition::Inches => ("letter", "vernier-inch.png", 3),
    };
    let mut close = CloseUp::new(format, edition, Rect::new(13.0, 27.0, 35.5, 46.0));
    let vernier = close.chart.verniers[0].clone();
    let nominal_mm = vernier.reading_mm(whole_divisions(&vernier), meeting, 1.0);
    let shift_mm = nominal_mm - vernier.nominal_mm();
    close.printed(0, Vec2::new(shift_mm, 0.0));
    ruler(&mut close, &vernier);
    let meets = Point::new(vernier.tick(meeting).x + shift_mm, vernier.zero.y);
    close.line(
        meets + Vec2::new(0.0, -6.6),
        meets + Vec2::new(0.0, -3.0),
        0.25,
        PLUM,
    );
    close.words("meets", 1.9, meets + Vec2::new(0.0, -7.2), PLUM);
    (name, close.png(CLOSE_DPI))
}

/// Divisions of the ruler before tick 0 in the pictures: 20 mm, or 12/16 in.
fn whole_divisions(vernier: &Vernier) -> u32 {
    if vernier.last == 10 { 20 } else { 12 }
}

/// A ruler whose zero lies on the sheet's left edge and whose upper edge lies along the vernier's line.
fn ruler(close: &mut CloseUp, vernier: &Vernier) {
    let top = vernier.zero.y;
    close.fill(Rect::new(0.0, top, 60.0, top + 20.0), STEEL);
    for mark in 0..60 {
        let x = f64::from(mark) * vernier.division_mm;
        let (length_mm, label) = if vernier.last == 10 {
            match mark % 10 {
                0 => (4.5, Some((mark / 10).to_string())),
                5 => (3.5, None),
                _ => (2.4, None),
            }
        } else {
            match mark % 16 {
                0 => (5.5, Some((mark / 16).to_string())),
                8 => (4.5, None),
                4 | 12 => (3.5, None),
                _ => (2.4, None),
            }
        };
        close.line(
            Point::new(x, top),
            Point::new(x, top + length_mm),
            0.12,
            Colour::BLACK,
        );
        if let Some(label) = label {
            close.words(&label, 2.6, Point::new(x, top + 8.2), Colour::BLACK);
        }
    }
}

/// The ladder at the top edge of a printer that leaves 4.3 mm white: line 5 is the outermost one printed whole.
fn ladder_cut_off() -> Vec<u8> {
    let mut close = CloseUp::new(
        "a4",
        ChartEdition::Millimetres,
        Rect::new(103.0, -3.0, 129.0, 19.0),
    );
    close.fill(close.seen, Colour::rgb(90, 96, 100));
    close.fill(Rect::new(0.0, 0.0, 210.0, 297.0), Colour::WHITE);
    close.printed(0, Vec2::ZERO);
    close.fill(Rect::new(0.0, 0.0, 210.0, 4.3), Colour::WHITE);
    close.line(Point::new(109.5, 5.0), Point::new(106.5, 5.0), 0.25, PLUM);
    close.words("5", 2.6, Point::new(105.3, 5.9), PLUM);
    close.png(CLOSE_DPI)
}

/// Station s1 where the back lies 0.4 mm to the right of the front and 0.3 mm above it.
fn station_against_a_window() -> Vec<u8> {
    let mut close = CloseUp::new(
        "a4",
        ChartEdition::Millimetres,
        Rect::new(22.0, 109.5, 56.0, 144.5),
    );
    close.printed(1, Vec2::new(0.4, -0.3));
    close.printed(0, Vec2::ZERO);
    // Tick 4 of the back lies at 0.4 + 3.6 = 4 mm, tick 7 of the other scale at -0.3 + 6.3 = 6 mm.
    let station = close.chart.stations[0].clone();
    let (x, y) = (
        station.zero(Axis::X) + Vec2::new(4.0, 0.0),
        station.zero(Axis::Y) + Vec2::new(0.0, 6.0),
    );
    close.line(
        x + Vec2::new(0.0, -4.6),
        x + Vec2::new(0.0, -2.7),
        0.25,
        PLUM,
    );
    close.line(
        y + Vec2::new(-4.6, 0.0),
        y + Vec2::new(-2.7, 0.0),
        0.25,
        PLUM,
    );
    close.png(STATION_DPI)
}
