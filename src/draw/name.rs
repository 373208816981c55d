//! The name of a piece and its copy written on it, with an arrow to its upper edge.
//!
//! The place is searched by trying: longest text and largest size first, level before upright, and a grid of spots from the middle
//! outwards; the first box that lies wholly on the paper and on no operation is taken, else the first that lies on the paper. The
//! search looks at a few thousand boxes for the worst piece; a piece too small for its number stays without.

use kurbo::{Affine, BezPath, PathSeg, Point, Rect, Shape, Vec2};

use super::text::TextLine;
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint};
use crate::geometry::Outline;
use crate::plan::Placement;
use crate::project::Project;

/// Spots tried along each side of the piece's box.
const SPOTS: u32 = 11;

/// Room kept free around the text, in ems.
const PADDING_EM: f64 = 0.25;

/// From the middle of the box to the baseline, in ems: half the height of capitals.
const BASELINE_EM: f64 = 0.36;

/// Size of the arrow's box, in ems.
const ARROW_EM: f64 = 1.1;

/// How names are written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct NameStyle {
    /// Em sizes to try, the largest first.
    pub(super) sizes_mm: &'static [f64],
    pub(super) ink: Colour,
    /// Colour of a plate under the name, where the ground is not known to be light.
    pub(super) plate: Option<Colour>,
}

/// A piece as it lies in the picture. All in the frame of the picture, in millimetres.
#[derive(Debug, Clone)]
pub(super) struct NamedPiece<'a> {
    /// The piece's name for people.
    pub(super) name: &'a str,
    /// Id of the placement.
    pub(super) id: &'a str,
    pub(super) outline: Outline,
    /// Paths that a name should not stand on.
    pub(super) obstacles: Vec<BezPath>,
    /// Unit vector to the piece's upper edge.
    pub(super) up: Vec2,
    /// Whether the sheet's front shows the piece's back.
    pub(super) is_front_down: bool,
}

impl<'a> NamedPiece<'a> {
    /// Returns a placed piece as it lies on its sheet.
    pub(super) fn on_sheet(project: &'a Project, placement: &'a Placement) -> Self {
        let to_sheet = placement.pose.to_affine();
        let [_, _, c, d, _, _] = to_sheet.as_coeffs();
        let is_inside = |id: &str| !id.ends_with(".outline");
        let piece = &project.pieces[placement.piece];
        Self {
            name: &piece.name,
            id: &placement.id,
            outline: piece.outline.transformed(to_sheet),
            obstacles: placement
                .operations
                .iter()
                .filter(|o| is_inside(&o.id))
                .map(|o| o.path.clone())
                .collect(),
            up: Vec2::new(-c, -d),
            is_front_down: placement.face_down,
        }
    }

    /// Returns the same piece with these areas kept free of its name, in the frame in which the piece lies.
    pub(super) fn clear_of(mut self, areas: impl Iterator<Item = Rect>) -> Self {
        let bounds = self.outline.bounds();
        let near = areas.filter(|area| meet(*area, bounds));
        self.obstacles.extend(near.map(|area| area.to_path(0.1)));
        self
    }

    /// Returns the same piece seen through `view`, a mirroring or none.
    pub(super) fn seen(self, view: Affine) -> Self {
        let [a, b, c, d, _, _] = view.as_coeffs();
        Self {
            outline: self.outline.transformed(view),
            obstacles: self.obstacles.into_iter().map(|path| view * path).collect(),
            up: Vec2::new(a * self.up.x + c * self.up.y, b * self.up.x + d * self.up.y),
            ..self
        }
    }
}

/// A box of text, level or upright, about a point.
#[derive(Debug, Clone)]
struct Spot {
    line: TextLine,
    size_mm: f64,
    middle: Point,
    direction: Direction,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Direction {
    Level,
    /// Reads from below.
    Upright,
}

/// Returns the name with its arrow; nothing if not even its last part fits.
pub(super) fn name(piece: &NamedPiece<'_>, style: NameStyle) -> Drawing {
    let obstacles: Vec<Rect> = piece.obstacles.iter().flat_map(boxes).collect();
    let on_paper = |spot: &&Spot| is_on(&piece.outline, spot.bounds());
    let is_free = |spot: &&Spot| obstacles.iter().all(|o| !meet(*o, spot.bounds()));
    let spots = spots(piece, style);
    let best = spots
        .iter()
        .filter(on_paper)
        .find(is_free)
        .or_else(|| spots.iter().find(on_paper));
    best.map_or_else(Drawing::default, |spot| spot.clone().draw(piece.up, style))
}

/// All spots in the order they are wished for.
fn spots(piece: &NamedPiece<'_>, style: NameStyle) -> Vec<Spot> {
    let middles = middles(piece.outline.bounds());
    let mut spots = Vec::new();
    for text in spellings(piece) {
        for &size_mm in style.sizes_mm {
            let line = TextLine::new(&text, size_mm);
            for direction in [Direction::Level, Direction::Upright] {
                let spot = |&middle: &Point| Spot {
                    line: line.clone(),
                    size_mm,
                    middle,
                    direction,
                };
                let fitting = middles
                    .iter()
                    .map(spot)
                    .filter(|s| contains(piece.outline.bounds(), s.bounds()));
                spots.extend(fitting);
            }
        }
    }
    spots
}

/// The name with the number, the id, the id without the part it belongs to, and only the number; before these, of a piece that lies
/// front down, the same with words that say so.
fn spellings(piece: &NamedPiece<'_>) -> Vec<String> {
    let (declared, number) = piece
        .id
        .split_at(piece.id.find('#').unwrap_or(piece.id.len()));
    let short = piece.id.rsplit_once('/').map_or(piece.id, |(_, rest)| rest);
    let named = format!("{} {number}", piece.name);
    let mut spellings = vec![named, piece.id.into(), short.into(), number.into()];
    if piece.name == declared {
        spellings.remove(0);
    }
    if piece.is_front_down {
        let told: Vec<_> = spellings
            .iter()
            .map(|s| format!("{s}, front down"))
            .collect();
        spellings.splice(0..0, told);
    }
    spellings
}

/// Grid points of `bounds`, the middle one first.
fn middles(bounds: Rect) -> Vec<Point> {
    let step = |i: u32| (f64::from(i) + 0.5) / f64::from(SPOTS);
    let mut middles: Vec<Point> = (0..SPOTS)
        .flat_map(|row| (0..SPOTS).map(move |column| (column, row)))
        .map(|(column, row)| {
            Point::new(
                bounds.x0 + step(column) * bounds.width(),
                bounds.y0 + step(row) * bounds.height(),
            )
        })
        .collect();
    let from_centre = |p: &Point| (*p - bounds.center()).hypot2();
    middles.sort_by(|a, b| from_centre(a).total_cmp(&from_centre(b)));
    middles
}

/// A box for a closed path, a box for each segment of an open one.
fn boxes(path: &BezPath) -> Vec<Rect> {
    let is_closed = path.elements().last() == Some(&kurbo::PathEl::ClosePath);
    if is_closed {
        vec![path.bounding_box()]
    } else {
        path.segments()
            .map(|segment: PathSeg| kurbo::ParamCurveExtrema::bounding_box(&segment))
            .collect()
    }
}

/// Whether the corners, the middles of the sides and the middle of `bounds` lie on the piece.
fn is_on(outline: &Outline, bounds: Rect) -> bool {
    let thirds = [0.0, 0.5, 1.0];
    thirds.iter().all(|v| {
        thirds.iter().all(|u| {
            outline.contains(Point::new(
                bounds.x0 + u * bounds.width(),
                bounds.y0 + v * bounds.height(),
            ))
        })
    })
}

fn contains(outer: Rect, inner: Rect) -> bool {
    outer.x0 <= inner.x0 && outer.y0 <= inner.y0 && outer.x1 >= inner.x1 && outer.y1 >= inner.y1
}

/// Whether the boxes share a point; a level or upright line has a box without area.
fn meet(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

impl Spot {
    fn length_mm(&self) -> f64 {
        self.line.width_mm() + (ARROW_EM + 2.0 * PADDING_EM) * self.size_mm
    }

    fn bounds(&self) -> Rect {
        let (along, across) = (self.length_mm(), (1.0 + 2.0 * PADDING_EM) * self.size_mm);
        match self.direction {
            Direction::Level => Rect::from_center_size(self.middle, (along, across)),
            Direction::Upright => Rect::from_center_size(self.middle, (across, along)),
        }
    }

    /// The box's own frame, origin in its middle and x along the text, to the picture.
    fn to_picture(&self) -> Affine {
        let (x, y) = (self.middle.x, self.middle.y);
        match self.direction {
            Direction::Level => Affine::translate((x, y)),
            Direction::Upright => Affine::new([0.0, -1.0, 1.0, 0.0, x, y]),
        }
    }

    fn draw(self, up: Vec2, style: NameStyle) -> Drawing {
        let mut items = Vec::new();
        if let Some(plate) = style.plate {
            items.push(Item::Fill {
                path: self.bounds().to_path(0.1),
                rule: FillRule::NonZero,
                paint: Paint::Solid {
                    colour: plate,
                    opacity: 0.85,
                },
            });
        }
        let to_picture = self.to_picture();
        let start_mm = PADDING_EM * self.size_mm - self.length_mm() / 2.0;
        let arrow_middle = to_picture * Point::new(start_mm + 0.45 * self.size_mm, 0.0);
        items.push(arrow(arrow_middle, up, self.size_mm, style.ink));
        let baseline = (
            start_mm + ARROW_EM * self.size_mm,
            BASELINE_EM * self.size_mm,
        );
        items.push(
            self.line
                .placed(to_picture * Affine::translate(baseline), style.ink),
        );
        Drawing { items }
    }
}

/// An arrow one em high, or wide, about `middle`.
fn arrow(middle: Point, up: Vec2, size_mm: f64, ink: Colour) -> Item {
    // Half an arrow that points up, in ems: tip, barb, neck, foot.
    let right = [(0.0, -0.45), (0.26, -0.08), (0.07, -0.12), (0.07, 0.45)];
    let left = right.iter().rev().map(|(x, y)| (-x, *y));
    let across = Vec2::new(-up.y, up.x);
    let mut path = BezPath::new();
    for (i, (x, y)) in right.iter().copied().chain(left).enumerate() {
        let point = middle + (across * x - up * y) * size_mm;
        if i == 0 {
            path.move_to(point);
        } else {
            path.line_to(point);
        }
    }
    path.close_path();
    Item::Fill {
        path,
        rule: FillRule::NonZero,
        paint: Paint::flat(ink),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::FLATTEN_MM;

    const STYLE: NameStyle = NameStyle {
        sizes_mm: &[4.0, 3.0, 2.0],
        ink: Colour::BLACK,
        plate: Some(Colour::WHITE),
    };

    fn piece<'a>(id: &'a str, outline: &str) -> NamedPiece<'a> {
        NamedPiece {
            name: id.split('#').next().unwrap(),
            id,
            outline: Outline::new(&BezPath::from_svg(outline).unwrap(), FLATTEN_MM).unwrap(),
            obstacles: Vec::new(),
            up: Vec2::new(0.0, -1.0),
            is_front_down: false,
        }
    }

    /// The plate and the text of a drawn name.
    fn drawn(piece: &NamedPiece<'_>) -> Option<(Rect, String, f64)> {
        let drawing = name(piece, STYLE);
        let [Item::Fill { path, .. }, _, Item::Glyphs(run)] = &drawing.items[..] else {
            assert!(drawing.items.is_empty());
            return None;
        };
        Some((path.bounding_box(), run.text.clone(), run.size_mm))
    }

    #[test]
    fn a_name_stands_large_in_the_middle_of_a_roomy_piece() {
        let (plate, text, size_mm) =
            drawn(&piece("packet/body#12", "M 0 0 L 100 0 L 100 60 L 0 60 Z")).unwrap();
        assert_eq!(
            (text.as_str(), size_mm.to_bits()),
            ("packet/body#12", 4.0_f64.to_bits())
        );
        assert!(
            (plate.center() - Point::new(50.0, 30.0)).hypot2() < 1e-18,
            "{plate:?}"
        );
    }

    #[test]
    fn a_piece_is_called_by_its_name_where_that_fits() {
        let outline = "M 0 0 L 100 0 L 100 60 L 0 60 Z";
        let named = NamedPiece {
            name: "Żółw",
            ..piece("tag#2", outline)
        };
        assert_eq!(drawn(&named).unwrap().1, "Żółw #2");
        let long = NamedPiece {
            name: &"Żółw ".repeat(40),
            ..piece("tag#2", outline)
        };
        assert_eq!(drawn(&long).unwrap().1, "tag#2");
    }

    #[test]
    fn a_narrow_upright_piece_has_its_name_upright() {
        let (plate, text, _) =
            drawn(&piece("packet/body#12", "M 0 0 L 8 0 L 8 90 L 0 90 Z")).unwrap();
        assert_eq!(text, "packet/body#12");
        assert!(plate.height() > plate.width(), "{plate:?}");
    }

    #[test]
    fn a_small_piece_keeps_its_number() {
        let (_, text, _) = drawn(&piece("packet/body#12", "M 0 0 L 8 0 L 8 8 L 0 8 Z")).unwrap();
        assert_eq!(text, "#12");
    }

    #[test]
    fn a_piece_without_room_stays_without() {
        assert_eq!(
            drawn(&piece("packet/body#12", "M 0 0 L 4 0 L 4 2 L 0 2 Z")),
            None
        );
    }

    #[test]
    fn a_name_keeps_off_the_creases_and_inside_a_slanting_edge() {
        let mut named = piece("bulb#1", "M 0 0 L 90 0 L 30 60 L 0 60 Z");
        named
            .obstacles
            .push(BezPath::from_svg("M 45 0 L 45 45").unwrap());
        let (plate, _, _) = drawn(&named).unwrap();
        assert!(plate.x1 < 45.0 || plate.x0 > 45.0, "{plate:?}");
        // Inside: below the edge x + y = 90.
        assert!(plate.x1 + plate.y1 <= 90.0, "{plate:?}");
    }

    #[test]
    fn a_name_keeps_out_of_a_hole_of_the_shape() {
        // A frame of 20 mm round a hole.
        let (plate, _, _) = drawn(&piece(
            "frame#1",
            "M 0 0 L 100 0 L 100 80 L 0 80 Z M 20 20 L 20 60 L 80 60 L 80 20 Z",
        ))
        .unwrap();
        assert!(!meet(plate, Rect::new(20.0, 20.0, 80.0, 60.0)), "{plate:?}");
    }

    #[test]
    fn the_arrow_points_to_the_upper_edge_of_the_piece() {
        let tip = |up| {
            let Item::Fill { path, .. } = arrow(Point::new(10.0, 20.0), up, 4.0, Colour::BLACK)
            else {
                panic!()
            };
            path.elements()[0].end_point().unwrap()
        };
        // 0.45 em of 4 mm is 1.8 mm.
        for (up, want) in [
            (Vec2::new(0.0, -1.0), (10.0, 18.2)),
            (Vec2::new(1.0, 0.0), (11.8, 20.0)),
            (Vec2::new(0.0, 1.0), (10.0, 21.8)),
        ] {
            assert!((tip(up) - Point::from(want)).hypot2() < 1e-18, "{up:?}");
        }
    }
}
