//! Nets drawn by hand for the tests of this room.

use kurbo::{BezPath, Point, Rect};

use super::{Folded, FoldedPanel, fold, prove};
use crate::diagnostic::{Diagnostic, Origin, Place};
use crate::geometry::Outline;
use crate::geometry::space::{Rigid, Vec3};
use crate::length::{Length, LengthStyle, Size};
use crate::math::Angle;
use crate::project::{
    Assembly, Best, CutBy, CutterProfile, Edition, Face, Fold, Job, Joint, JointKind, Maker,
    MarkUse, Member, Operation, OperationKind, Panel, Piece, PrinterProfile, Project, Stock,
    StockFace, StockSide, Surface, TrimmerProfile, TurnOver, Turns,
};

/// Thickness of the paper of trial nets.
pub(super) const CALIPER_MM: f64 = 0.3;

pub(super) fn origin() -> Origin {
    let place = Place {
        file: "project.toml".to_owned(),
        span: 0..0,
    };
    Origin {
        key_path: "trial".to_owned(),
        place,
    }
}

pub(super) fn size(mm: f64) -> Size {
    Size::new(Length::nearest_mm(mm)).unwrap()
}

/// A net: its outline and creases as path data, each crease with how far it is folded (mountains above zero), and its panels with a point
/// of each.
pub(super) fn net(
    id: &str,
    outline: &str,
    creases: &[(&str, f64)],
    panels: &[(&str, (f64, f64))],
) -> Piece {
    let path = BezPath::from_svg(outline).unwrap();
    Piece {
        id: id.to_owned(),
        name: id.to_owned(),
        per_copy: 1,
        outline: Outline::new(&path, 0.001).unwrap(),
        fills_sheet: false,
        cut_by: Maker::Hand,
        nicks: None,
        panels: panels.iter().map(|(name, at)| panel(name, *at)).collect(),
        stock: 0,
        shows: StockSide::A,
        grain: None,
        pattern_up: None,
        turns: Turns::Quarters,
        may_mirror: false,
        treatments: Vec::new(),
        finish: None,
        have: 0,
        operations: creases
            .iter()
            .map(|(path, deg)| crease(path, *deg))
            .collect(),
        artwork: Vec::new(),
        mount: None,
        origin: origin(),
    }
}

fn panel(name: &str, at: (f64, f64)) -> Panel {
    let inside_mm = Point::from(at);
    Panel {
        name: name.to_owned(),
        bounds_mm: Rect::from_center_size(inside_mm, (1.0, 1.0)),
        inside_mm,
        up: None,
    }
}

pub(super) fn crease(path: &str, mountain_deg: f64) -> Operation {
    let fold = if mountain_deg < 0.0 {
        Fold::Valley
    } else {
        Fold::Mountain
    };
    Operation {
        folds_to: Some(Angle::from_deg(mountain_deg.abs())),
        ..operation(path, OperationKind::Crease { fold })
    }
}

pub(super) fn operation(path: &str, kind: OperationKind) -> Operation {
    Operation {
        kind,
        path: BezPath::from_svg(path).unwrap(),
        folds_to: None,
        by: Maker::Hand,
        origin: origin(),
    }
}

/// A project of these pieces in paper of [`CALIPER_MM`].
pub(super) fn project(pieces: Vec<Piece>) -> Project {
    let stock = Stock {
        id: "card".to_owned(),
        name: "card".to_owned(),
        format: "iso_a4_210x297mm".to_owned(),
        width: size(210.0),
        height: size(297.0),
        caliper: Some(size(CALIPER_MM)),
        grammage_gsm: None,
        grain: None,
        on_hand: None,
        is_clear: false,
        price: None,
        face_a: StockFace::Printable,
        face_b: StockFace::Printable,
        offcut_of: None,
        outline: None,
        origin: origin(),
    };
    let edition = Edition {
        id: String::new(),
        name: String::new(),
        copies: 1,
        spares: 0,
        stock_swaps: Vec::new(),
        artwork_swaps: Vec::new(),
        origin: origin(),
    };
    Project {
        job: job(),
        stocks: vec![stock],
        pieces,
        parts: Vec::new(),
        assemblies: Vec::new(),
        editions: vec![edition],
        pins: Vec::new(),
        tools: Vec::new(),
        supplies: Vec::new(),
        lesson: crate::project::Lesson::default(),
        paper_list_sha256: None,
        assets: Vec::new(),
        printer: PrinterProfile::default(),
        cutter: CutterProfile::default(),
        trimmer: TrimmerProfile::default(),
    }
}

fn job() -> Job {
    Job {
        name: "Plant swap".to_owned(),
        date: None,
        cut_by: CutBy::Machine,
        best: Best::FewestSheets,
        rows: false,
        lengths: LengthStyle::Millimetres,
        gap: Length::ZERO,
        least_offcut: (size(25.0), size(25.0)),
        marks: MarkUse::Auto,
        mark_scales: false,
        caption: false,
        turn_over: TurnOver::LeftRight,
        hand_lines: false,
        origin: origin(),
    }
}

/// The piece at this position, held by this panel where its frame is the object's, up to `shift`.
pub(super) fn member(piece: usize, name: &str, root: &str, shift: (f64, f64, f64)) -> Member {
    Member {
        piece,
        name: name.to_owned(),
        root: root.to_owned(),
        pose: Rigid::shift(shift.0, shift.1, shift.2),
        bends: Vec::new(),
    }
}

pub(super) fn surface(member: usize, panel: &str, face: Face) -> Surface {
    Surface {
        member,
        panel: panel.to_owned(),
        face,
    }
}

pub(super) fn joint(kind: JointKind, from: Surface, to: Surface) -> Joint {
    Joint {
        kind,
        from,
        to,
        origin: origin(),
    }
}

/// Glue without thickness over the whole of a flap.
pub(super) fn stuck() -> JointKind {
    JointKind::Stuck {
        area: None,
        covers_flap: true,
        rims: None,
        glue: Length::ZERO,
    }
}

pub(super) fn assembly(members: Vec<Member>, joints: Vec<Joint>) -> Assembly {
    Assembly {
        id: "tin".to_owned(),
        name: "Tin".to_owned(),
        members,
        joints,
        free_of_glue: Vec::new(),
        band: None,
        tolerance: size(0.1),
        origin: origin(),
    }
}

/// One piece folded from this panel, with these joints.
pub(super) fn folded(
    piece: Piece,
    root: &str,
    joints: Vec<Joint>,
) -> Result<Folded, Vec<Diagnostic>> {
    let name = piece.id.clone();
    let assembly = assembly(vec![member(0, &name, root, (0.0, 0.0, 0.0))], joints);
    fold(&project(vec![piece]), &assembly)
}

/// What is found on one piece folded from this panel, with these joints.
pub(super) fn proved(piece: Piece, root: &str, joints: Vec<Joint>) -> Vec<Diagnostic> {
    let name = piece.id.clone();
    let mut project = project(vec![piece]);
    project.assemblies = vec![assembly(
        vec![member(0, &name, root, (0.0, 0.0, 0.0))],
        joints,
    )];
    prove(&project)
}

/// The only finding there is.
pub(super) fn only(mut found: Vec<Diagnostic>) -> Diagnostic {
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(!found[0].hints.is_empty());
    found.remove(0)
}

pub(super) fn panel_of<'a>(folded: &'a Folded, member: usize, name: &str) -> &'a FoldedPanel {
    let mut panels = folded.members[member].panels.iter();
    panels
        .find(|p| p.name == name)
        .unwrap_or_else(|| panic!("no {name}"))
}

/// Where a point of a panel came to lie.
pub(super) fn lies(folded: &Folded, panel: &str, at: (f64, f64)) -> (f64, f64, f64) {
    let lies = panel_of(folded, 0, panel)
        .place
        .apply(Vec3::new(at.0, at.1, 0.0));
    (lies.x, lies.y, lies.z)
}

pub(super) fn assert_near(found: (f64, f64, f64), want: (f64, f64, f64)) {
    let off = (found.0 - want.0).abs() + (found.1 - want.1).abs() + (found.2 - want.2).abs();
    assert!(off < 1e-9, "{found:?} is not {want:?}");
}

/// The open tray for 60 x 40 x 20 mm inside in 0.3 mm paper: walls of 20.15 mm round a bottom of 60.3 x 40.3 mm, outside as its front,
/// tabs of 12 mm at both ends of the front and back walls, glued behind the side walls.
pub(super) fn tray() -> Piece {
    let outline = "M20.15 0 H80.45 L92.45 3 V17 L80.45 20.15 H100.6 V60.45 H80.45 L92.45 63.6 V77.6 L80.45 80.6 \
                   H20.15 L8.15 77.6 V63.6 L20.15 60.45 H0 V20.15 H20.15 L8.15 17 V3 Z";
    let creases = [
        ("M20.15 20.15 H80.45", 90.0),
        ("M20.15 60.45 H80.45", 90.0),
        ("M20.15 0 V80.6", 90.0),
        ("M80.45 0 V80.6", 90.0),
    ];
    let panels = [
        ("bottom", (50.0, 40.0)),
        ("front", (50.0, 10.0)),
        ("back", (50.0, 70.0)),
        ("left", (10.0, 40.0)),
        ("right", (90.0, 40.0)),
        ("tab-fl", (14.0, 10.0)),
        ("tab-fr", (86.0, 10.0)),
        ("tab-bl", (14.0, 70.0)),
        ("tab-br", (86.0, 70.0)),
    ];
    net("tray", outline, &creases, &panels)
}

/// The joints of [`tray`]: its tabs behind its side walls.
pub(super) fn tray_joints() -> Vec<Joint> {
    let tabs = [
        ("tab-fl", "left"),
        ("tab-bl", "left"),
        ("tab-fr", "right"),
        ("tab-br", "right"),
    ];
    let joint_of = |(tab, wall): (&str, &str)| {
        joint(
            stuck(),
            surface(0, tab, Face::Front),
            surface(0, wall, Face::Back),
        )
    };
    tabs.into_iter().map(joint_of).collect()
}
