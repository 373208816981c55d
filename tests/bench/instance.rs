//! Benchmark instances, and solutions in the same words. See `README.md` for both formats.

use std::error::Error;

use kurbo::{BezPath, Point};
use serde::{Deserialize, Serialize};
use sheetwright::geometry::Outline;
use sheetwright::geometry::offset::offset;
use sheetwright::plan::place::{
    Area, Best, Cutting, Effort, Layout, PartKind, Request, Shape, SheetKind, TurnSet, nm_above,
    nm_below,
};

/// Whether boxes may turn of which an instance leaves that open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Turning {
    Allowed,
    Forbidden,
}

/// An instance, ready for an engine.
#[derive(Debug)]
pub(crate) struct Instance {
    pub(crate) name: String,
    pub(crate) request: Request,
    item_ids: Vec<String>,
    /// For each part, where the item's own origin lies in the frame of its padded box, in millimetres.
    origins: Vec<Point>,
}

/// Sheets as an engine filled them: what the judge reads.
#[derive(Debug, Serialize)]
pub(crate) struct FilledSheet {
    /// Position in the instance's list of sheets.
    sheet: usize,
    runs: u32,
    places: Vec<Place>,
}

/// Where an item lies: mirrored left to right about its origin, turned about it with x towards y, then shifted.
#[derive(Debug, Serialize)]
struct Place {
    item: String,
    x: f64,
    y: f64,
    turn_deg: f64,
    mirrored: bool,
}

#[derive(Deserialize)]
#[serde(tag = "schema")]
enum File {
    #[serde(rename = "sheetwright-bench/rect/1")]
    Rectangles(Rectangles),
    #[serde(rename = "sheetwright-bench/poly/1")]
    Polygons(Polygons),
}

#[derive(Deserialize)]
struct Rectangles {
    name: String,
    sheet: RectangleSheet,
    gap: f64,
    items: Vec<Rectangle>,
}

#[derive(Deserialize)]
struct RectangleSheet {
    w: f64,
    h: f64,
}

#[derive(Deserialize)]
struct Rectangle {
    id: String,
    w: f64,
    h: f64,
    qty: u32,
    rotate: Option<bool>,
}

#[derive(Deserialize)]
struct Polygons {
    name: String,
    #[serde(default)]
    sheets: Vec<PolygonSheet>,
    gap: f64,
    items: Vec<Polygon>,
}

#[derive(Deserialize)]
struct PolygonSheet {
    outline: Vec<[f64; 2]>,
    holes: Vec<Vec<[f64; 2]>>,
    stock: Option<u32>,
    cost: Option<f64>,
}

#[derive(Deserialize)]
struct Polygon {
    id: String,
    qty: u32,
    rotations: Rotations,
    mirror: bool,
    outline: Vec<[f64; 2]>,
    holes: Vec<Vec<[f64; 2]>>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Rotations {
    Degrees(Vec<f64>),
    /// Only `any` is one.
    Word(String),
}

type Failure = Box<dyn Error>;

/// Reads an instance; `None` if it is about a strip of endless length.
pub(crate) fn read(text: &str, turning: Turning) -> Result<Option<Instance>, Failure> {
    match serde_json::from_str(text)? {
        File::Rectangles(file) => Ok(Some(from_rectangles(file, turning))),
        File::Polygons(file) if file.sheets.is_empty() => Ok(None),
        File::Polygons(file) => from_polygons(file).map(Some),
    }
}

impl Instance {
    /// Returns a layout in the instance's own words.
    pub(crate) fn solution(&self, layout: &Layout) -> Vec<FilledSheet> {
        let sheets = layout.sheets.iter().map(|sheet| FilledSheet {
            sheet: sheet.kind,
            runs: sheet.runs,
            places: sheet.places.iter().map(|p| self.place(p)).collect(),
        });
        sheets.collect()
    }

    fn place(&self, place: &sheetwright::plan::place::Place) -> Place {
        let origin = self.origins[place.kind];
        let turn_deg = f64::from(place.turn_mdeg) / 1000.0;
        let (sin, cos) = sheetwright::math::Angle::from_deg(turn_deg).sin_cos();
        let width_mm = self.request.parts[place.kind].width_nm as f64 / NM_PER_MM;
        let (x, y) = if place.is_mirrored {
            (width_mm - origin.x, origin.y)
        } else {
            (origin.x, origin.y)
        };
        Place {
            item: self.item_ids[place.kind].clone(),
            x: place.x_nm as f64 / NM_PER_MM + x * cos - y * sin,
            y: place.y_nm as f64 / NM_PER_MM + x * sin + y * cos,
            turn_deg,
            mirrored: place.is_mirrored,
        }
    }
}

const NM_PER_MM: f64 = 1e6;

fn from_rectangles(file: Rectangles, turning: Turning) -> Instance {
    let edge = nm_above(file.gap / 2.0);
    let edge_mm = edge as f64 / NM_PER_MM;
    let padded = |length: f64| nm_above(length) + 2 * edge;
    let sheet = SheetKind {
        area: Area::from_edges(
            -edge,
            -edge,
            nm_below(file.sheet.w) + edge,
            nm_below(file.sheet.h) + edge,
        ),
        outline: None,
        obstacles: Vec::new(),
        limit: None,
        is_offcut: false,
        price_hundredths: 0,
    };
    let kits = common_divisor(file.items.iter().map(|i| i.qty));
    let parts = file.items.iter().map(|item| PartKind {
        width_nm: padded(item.w),
        height_nm: padded(item.h),
        shape: None,
        demand: item.qty,
        spares: 0,
        per_kit: item.qty / kits,
        turns: vec![match (item.rotate, turning) {
            (Some(true), _) | (None, Turning::Allowed) => TurnSet::QUARTERS,
            (Some(false), _) | (None, Turning::Forbidden) => TurnSet::of(|q| q % 2 == 0),
        }],
        may_mirror: false,
    });
    Instance {
        request: Request {
            sheets: vec![sheet],
            parts: parts.collect(),
            cutting: Cutting::EdgeToEdge { reach_nm: None },
            best: Best::FewestSheets,
            effort: Effort::Usual,
        },
        origins: vec![Point::new(edge_mm, edge_mm); file.items.len()],
        item_ids: file.items.into_iter().map(|i| i.id).collect(),
        name: file.name,
    }
}

fn from_polygons(file: Polygons) -> Result<Instance, Failure> {
    let half_gap = file.gap / 2.0;
    let sheets: Result<Vec<_>, _> = file.sheets.iter().map(|s| sheet(s, half_gap)).collect();
    let kits = common_divisor(file.items.iter().map(|i| i.qty));
    let mut origins = Vec::new();
    let mut parts = Vec::new();
    for item in &file.items {
        let padded = grown(&item.outline, &item.holes, half_gap)?;
        let (low, high) = box_of(&padded);
        let [x_mm, y_mm] = low.map(|nm| -(nm as f64) / NM_PER_MM);
        origins.push(Point::new(x_mm, y_mm));
        let turns = match &item.rotations {
            Rotations::Word(word) if word == "any" => TurnSet::ANY,
            Rotations::Word(word) => return Err(format!("no such turns: {word}").into()),
            Rotations::Degrees(list) => {
                let has = |quarters: u8| {
                    let wanted = f64::from(quarters) * 90.0;
                    list.iter().any(|deg| (deg - wanted).abs() < 1e-9)
                };
                TurnSet::of(has)
            }
        };
        parts.push(PartKind {
            width_nm: high[0] - low[0],
            height_nm: high[1] - low[1],
            shape: Some(shifted(padded, low)),
            demand: item.qty,
            spares: 0,
            per_kit: item.qty / kits,
            turns: vec![turns; file.sheets.len()],
            may_mirror: item.mirror,
        });
    }
    Ok(Instance {
        request: Request {
            sheets: sheets?,
            parts,
            cutting: Cutting::Outlines,
            best: Best::FewestSheets,
            effort: Effort::Usual,
        },
        origins,
        item_ids: file.items.into_iter().map(|i| i.id).collect(),
        name: file.name,
    })
}

fn sheet(sheet: &PolygonSheet, half_gap: f64) -> Result<SheetKind, Failure> {
    let shape = grown(&sheet.outline, &sheet.holes, half_gap)?;
    let (low, high) = box_of(&shape);
    let is_box = shape.holes.is_empty()
        && shape.outer.len() == 4
        && shape.outer.iter().all(|corner| {
            [0, 1]
                .iter()
                .all(|&axis| [low[axis], high[axis]].contains(&corner[axis]))
        });
    // What costs nothing is a remnant, to be used up before sheets that do cost.
    let cost = sheet.cost.unwrap_or(1.0);
    Ok(SheetKind {
        area: Area::from_edges(low[0], low[1], high[0], high[1]),
        outline: (!is_box).then_some(shape),
        obstacles: Vec::new(),
        limit: sheet.stock,
        is_offcut: cost <= 0.0,
        price_hundredths: if sheet.cost.is_some_and(|c| c > 0.0) {
            100
        } else {
            0
        },
    })
}

/// Returns the polygon with every edge moved outwards and every hole shrunk.
fn grown(outer: &[[f64; 2]], holes: &[Vec<[f64; 2]>], by: f64) -> Result<Shape, Failure> {
    if by <= 0.0 {
        return Ok(Shape {
            outer: ring_nm(outer.iter().copied()),
            holes: holes.iter().map(|h| ring_nm(h.iter().copied())).collect(),
        });
    }
    let mut path = BezPath::new();
    for ring in std::iter::once(outer).chain(holes.iter().map(Vec::as_slice)) {
        path.move_to((ring[0][0], ring[0][1]));
        for corner in &ring[1..] {
            path.line_to((corner[0], corner[1]));
        }
        path.close_path();
    }
    let outline = Outline::new(&path, FLAT_MM).map_err(|e| e.message(|mm| mm.to_string()))?;
    let grown = offset(&outline, by);
    let only = grown.first().ok_or("an outline vanishes when it grows")?;
    let mut rings = only
        .flattened(FLAT_MM)
        .into_iter()
        .map(|ring| ring_nm(ring.into_iter().map(|p| [p.x, p.y])));
    Ok(Shape {
        outer: rings.next().ok_or("an outline without a ring")?,
        holes: rings.collect(),
    })
}

/// Sides are straight already; this only has to be small.
const FLAT_MM: f64 = 1e-3;

fn ring_nm(ring: impl Iterator<Item = [f64; 2]>) -> Vec<[i64; 2]> {
    ring.map(|corner| corner.map(nm_nearest)).collect()
}

fn nm_nearest(mm: f64) -> i64 {
    nm_below(mm + 0.5 / NM_PER_MM)
}

fn box_of(shape: &Shape) -> ([i64; 2], [i64; 2]) {
    let ends = |axis: usize| {
        let along = shape.outer.iter().map(|corner| corner[axis]);
        (along.clone().min().unwrap_or(0), along.max().unwrap_or(0))
    };
    let (x, y) = (ends(0), ends(1));
    ([x.0, y.0], [x.1, y.1])
}

fn shifted(shape: Shape, by: [i64; 2]) -> Shape {
    let moved = |ring: Vec<[i64; 2]>| -> Vec<[i64; 2]> {
        let corners = ring.into_iter();
        corners.map(|c| [c[0] - by[0], c[1] - by[1]]).collect()
    };
    Shape {
        outer: moved(shape.outer),
        holes: shape.holes.into_iter().map(moved).collect(),
    }
}

fn common_divisor(numbers: impl Iterator<Item = u32>) -> u32 {
    let divisor = |mut a: u32, mut b: u32| {
        while b > 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    numbers.fold(0, divisor).max(1)
}
