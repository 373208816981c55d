//! Folded objects put together by hand, so that pictures and readings can be tried without the fold proof.

use std::collections::BTreeMap;

use kurbo::{Point, Rect};
use sheetwright::fold::{Folded, FoldedMember, FoldedPanel};
use sheetwright::geometry::space::{Rigid, Vec3};
use sheetwright::length::{Length, Size};
use sheetwright::load::{Options, project};
use sheetwright::math::Angle;
use sheetwright::project::{Assembly, Member, Project};

/// A project from its text, with the pictures it names.
pub(crate) fn read(text: &str, pictures: &[(&str, &str)]) -> Project {
    let files: BTreeMap<String, Vec<u8>> = pictures
        .iter()
        .map(|(name, svg)| ((*name).to_owned(), svg.as_bytes().to_vec()))
        .collect();
    project("project.toml", text, &files, &Options::default())
        .unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

/// The net of an open tray `width` x `depth` x `height`: a bottom with a wall on each side, the front wall at the top of the net, since the
/// piece's y runs to the back of the object.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tray {
    pub(crate) width_mm: f64,
    pub(crate) depth_mm: f64,
    pub(crate) height_mm: f64,
}

impl Tray {
    /// The piece as the project file has it, with `more` keys.
    pub(crate) fn piece(self, id: &str, more: &str) -> String {
        let Self {
            width_mm: w,
            depth_mm: d,
            height_mm: h,
        } = self;
        format!(
            r#"
            [[piece]]
            id = "{id}"
            stock = "oat"
            shape = {{ kind = "path", data = "M{h} 0 h{w} v{h} h{h} v{d} h-{h} v{h} h-{w} v-{h} h-{h} v-{d} h{h} Z", unit = "mm" }}
            {more}
            operation = [
                {{ kind = "crease", fold = "mountain", from = "{h} mm, {h} mm", to = "{x1} mm, {h} mm" }},
                {{ kind = "crease", fold = "mountain", from = "{h} mm, {y1} mm", to = "{x1} mm, {y1} mm" }},
                {{ kind = "crease", fold = "mountain", from = "{h} mm, {h} mm", to = "{h} mm, {y1} mm" }},
                {{ kind = "crease", fold = "mountain", from = "{x1} mm, {h} mm", to = "{x1} mm, {y1} mm" }},
            ]
            "#,
            x1 = h + w,
            y1 = h + d,
        )
    }

    /// The panels folded up by right angles, the bottom where `pose` puts it.
    pub(crate) fn folded(self, piece: usize, pose: Rigid) -> FoldedMember {
        let Self {
            width_mm: w,
            depth_mm: d,
            height_mm: h,
        } = self;
        let (x1, y1) = (h + w, h + d);
        let (across, back) = (Vec3::x(), Vec3::y());
        let fold = |x: f64, y: f64, axis: Vec3, deg: f64| {
            Rigid::about(Vec3::new(x, y, 0.0), axis, Angle::from_deg(deg))
        };
        // By the right hand: what lies to the front of a crease along x rises by a turn of -90 degrees about x.
        let panels = [
            ("bottom", Rect::new(h, h, x1, y1), Rigid::identity()),
            (
                "front",
                Rect::new(h, 0.0, x1, h),
                fold(0.0, h, across, -90.0),
            ),
            (
                "back",
                Rect::new(h, y1, x1, y1 + h),
                fold(0.0, y1, across, 90.0),
            ),
            ("left", Rect::new(0.0, h, h, y1), fold(h, 0.0, back, 90.0)),
            (
                "right",
                Rect::new(x1, h, x1 + h, y1),
                fold(x1, 0.0, back, -90.0),
            ),
        ];
        FoldedMember {
            piece,
            caliper_mm: 0.3,
            panels: panels
                .into_iter()
                .map(|(name, area, place)| panel(name, area, pose.after(&place)))
                .collect(),
        }
    }
}

/// A rectangular panel.
pub(crate) fn panel(name: &str, area: Rect, place: Rigid) -> FoldedPanel {
    let ring = [
        (area.x0, area.y0),
        (area.x1, area.y0),
        (area.x1, area.y1),
        (area.x0, area.y1),
    ];
    FoldedPanel {
        name: name.to_owned(),
        rings_mm: vec![ring.map(Point::from).to_vec()],
        place,
    }
}

/// An assembly of pieces by their positions, without joints.
pub(crate) fn assembly(project: &Project, pieces: &[usize]) -> Assembly {
    let member = |piece: &usize| Member {
        piece: *piece,
        name: project.pieces[*piece].id.clone(),
        root: "bottom".to_owned(),
        pose: Rigid::identity(),
        bends: Vec::new(),
    };
    Assembly {
        id: "seed/box".to_owned(),
        name: "Seed box".to_owned(),
        members: pieces.iter().map(member).collect(),
        joints: Vec::new(),
        free_of_glue: Vec::new(),
        band: None,
        tolerance: Size::new(Length::from_um(100)).unwrap(),
        origin: project.pieces[0].origin.clone(),
    }
}

/// Several members in one object.
pub(crate) fn together(members: Vec<FoldedMember>) -> Folded {
    Folded { members }
}
