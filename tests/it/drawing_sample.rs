//! A small plan built by hand: one Letter sheet printed on both sides, cut by machine, with every kind of operation.

use kurbo::{Affine, BezPath, Point, Rect};
use sheetwright::diagnostic::{Origin, Place};
use sheetwright::drawing::{
    Asset, AssetContent, AssetIndex, Colour, Drawing, FillRule, Item, Paint,
};
use sheetwright::geometry::{Outline, Pose, mirror_about_x};
use sheetwright::length::{Length, LengthStyle, Size};
use sheetwright::math::{Angle, FLATTEN_MM};
use sheetwright::plan::{
    Content, CutSetup, CutStep, Effort, JobPlan, Mark, MarkClass, Placement, PlannedArtwork,
    PlannedOperation, PrintRun, PrintedFace, SearchEnd, Sheet, Tick, TickKind, Usage,
};
use sheetwright::project::{
    Artwork, ArtworkFill, Best, CutBy, CutterProfile, Edition, Face, Fold, Job, Maker, MarkUse,
    OperationKind, PictureBox, Piece, PrinterProfile, Project, Reads, Stock, StockFace, StockSide,
    TrimmerProfile, TurnOver, Turns,
};

/// Letter, in millimetres.
pub(crate) const LETTER_MM: (f64, f64) = (215.9, 279.4);

/// Two seed packets with artwork on both faces, four plant labels and a band.
pub(crate) fn project() -> Project {
    Project {
        parts: Vec::new(),
        assemblies: Vec::new(),
        job: Job {
            name: "Plant-swap morning".into(),
            date: None,
            cut_by: CutBy::Machine,
            best: Best::FewestSheets,
            rows: false,
            lengths: LengthStyle::Millimetres,
            gap: Length::from_mm(4),
            least_offcut: (size(76), size(76)),
            marks: MarkUse::Auto,
            turn_over: TurnOver::LeftRight,
            mark_scales: false,
            caption: true,
            hand_lines: false,
            origin: origin(),
        },
        stocks: vec![stock()],
        pieces: vec![
            piece(
                "packet/body",
                "Seed packet",
                PACKET,
                vec![flat(Face::Front, LEEK), picture(), flat(Face::Back, SAND)],
            ),
            piece("label", "Plant label", LABEL, vec![]),
            piece("band", "Bulb band", BAND, vec![]),
        ],
        editions: vec![Edition {
            id: String::new(),
            name: String::new(),
            copies: 2,
            spares: 0,
            stock_swaps: vec![],
            artwork_swaps: vec![],
            origin: origin(),
        }],
        pins: vec![],
        tools: Vec::new(),
        supplies: Vec::new(),
        lesson: sheetwright::project::Lesson::default(),
        paper_list_sha256: None,
        assets: vec![leaf()],
        printer: PrinterProfile::default(),
        cutter: CutterProfile::default(),
        trimmer: TrimmerProfile::default(),
    }
}

const LEEK: Colour = Colour::rgb(0xcf, 0xe0, 0xb4);
const SAND: Colour = Colour::rgb(0xea, 0xdc, 0xbc);

/// 80 x 112 mm with a flap of 12 mm on the right and one of 14 mm below.
const PACKET: &str = "M 0 0 L 66 0 L 78 4 L 78 94 L 66 98 L 66 98 L 64 112 L 2 112 L 0 98 Z";
const LABEL: &str = "M 12 0 L 100 0 L 100 24 L 12 24 L 0 12 Z";
const BAND: &str = "M 0 0 L 98 0 L 98 18 L 0 18 Z";

fn origin() -> Origin {
    Origin {
        key_path: String::new(),
        place: Place {
            file: "project.toml".into(),
            span: 0..0,
        },
    }
}

fn size(mm: i64) -> Size {
    Size::new(Length::from_mm(mm)).unwrap()
}

fn stock() -> Stock {
    Stock {
        id: "oat".into(),
        name: "oat card".into(),
        format: "na_letter_8.5x11in".into(),
        width: Size::new(Length::from_inch_fraction(17, 2)).unwrap(),
        height: Size::new(Length::from_inch_fraction(11, 1)).unwrap(),
        caliper: None,
        grammage_gsm: Some(216.0),
        grain: None,
        on_hand: None,
        is_clear: false,
        price: None,
        face_a: StockFace::Printable,
        face_b: StockFace::Printable,
        offcut_of: None,
        outline: None,
        origin: origin(),
    }
}

fn piece(id: &str, name: &str, outline: &str, artwork: Vec<Artwork>) -> Piece {
    Piece {
        id: id.into(),
        name: name.into(),
        per_copy: 1,
        outline: Outline::new(&path(outline), FLATTEN_MM).unwrap(),
        fills_sheet: false,
        cut_by: Maker::Machine,
        nicks: None,
        may_mirror: false,
        treatments: Vec::new(),
        finish: None,
        have: 0,
        panels: vec![],
        stock: 0,
        shows: StockSide::A,
        grain: None,
        pattern_up: None,
        turns: Turns::Quarters,
        operations: vec![],
        artwork,
        mount: None,
        origin: origin(),
    }
}

fn flat(face: Face, colour: Colour) -> Artwork {
    artwork(face, ArtworkFill::Flat(colour))
}

fn picture() -> Artwork {
    let place = PictureBox {
        asset: AssetIndex(0),
        width: size(50),
        height: size(50),
        pose: Pose::at(8.0, 20.0),
    };
    artwork(Face::Front, ArtworkFill::Picture(place))
}

fn artwork(face: Face, fill: ArtworkFill) -> Artwork {
    Artwork {
        face,
        fill,
        bleed: Length::from_mm(2),
        reads: Reads::OneWay,
        origin: origin(),
    }
}

/// A leaf in its unit square.
fn leaf() -> Asset {
    let fill = |data: &str, colour| Item::Fill {
        path: path(data),
        rule: FillRule::NonZero,
        paint: Paint::flat(colour),
    };
    Asset {
        path: "art/leaf.svg".into(),
        sha256: "0".repeat(64),
        aspect: 1.0,
        content: AssetContent::Vector(Drawing {
            items: vec![
                fill(
                    "M 0.5 0 C 0.9 0.2 0.95 0.6 0.5 1 C 0.05 0.6 0.1 0.2 0.5 0 Z",
                    Colour::rgb(0x5b, 0x86, 0x4a),
                ),
                fill(
                    "M 0.49 0.1 L 0.51 0.1 L 0.52 1 L 0.48 1 Z",
                    Colour::rgb(0xdd, 0xe8, 0xc8),
                ),
            ],
        }),
    }
}

/// Returns SVG path data as a path.
pub(crate) fn path(data: &str) -> BezPath {
    BezPath::from_svg(data).unwrap()
}

/// The plan of [`project`].
pub(crate) fn plan() -> JobPlan {
    JobPlan {
        leftovers: Vec::new(),
        sheets: vec![sheet()],
        unplaced: vec![],
        spares: vec![],
        hand_work: vec![],
        usage: Usage {
            best: Best::FewestSheets,
            effort: Effort::Usual,
            sheets: 3,
            lower_bound_sheets: 3,
            better_bound_sheets: 3,
            is_proven_fewest: true,
            costs: vec![],
            area_used_percent: 60.0,
            search: SearchEnd::Finished,
            by_stock: vec![],
            marks_cost: None,
            layouts: 1,
            trimming: None,
            other_choices: vec![],
        },
        budget: None,
        cut_extent_mm: Some(LETTER_MM),
    }
}

fn sheet() -> Sheet {
    let placements = placements();
    Sheet {
        stock: 0,
        front_is: StockSide::A,
        width_mm: LETTER_MM.0,
        height_mm: LETTER_MM.1,
        runs: 3,
        prints: vec![PrintRun {
            front: Some(1),
            back: Some(2),
            times: 3,
            copies: vec![1, 2],
            held: vec![placements.iter().map(|p| p.copy).collect(); 3],
            contents: placements.iter().map(content).collect(),
        }],
        front: Some(PrintedFace {
            page_from_sheet: Affine::IDENTITY,
            page_from_face: Affine::IDENTITY,
            sheet_from_page: None,
        }),
        back: Some(PrintedFace {
            page_from_sheet: mirror_about_x(LETTER_MM.0 / 2.0),
            page_from_face: Affine::IDENTITY,
            sheet_from_page: None,
        }),
        marks: marks(),
        ticks: vec![
            tick(
                "t1",
                TickKind::Crop,
                Face::Front,
                (26.0, 21.0),
                (26.0, 24.0),
            ),
            tick(
                "t2",
                TickKind::Crease,
                Face::Front,
                (92.0, 21.0),
                (92.0, 24.0),
            ),
            tick("t3", TickKind::Crop, Face::Back, (26.0, 21.0), (26.0, 24.0)),
        ],
        caption: Some(Rect::new(22.0, 265.05, 193.9, 273.05)),
        usable: Rect::new(6.35, 6.35, 209.55, 264.0),
        cut_list: None,
        cut: Some(CutSetup {
            file: "cut-01.svg".into(),
            face_up: Face::Front,
            cut_from_sheet: Affine::IDENTITY,
            file_from_sheet: Affine::IDENTITY,
            order: order(&placements),
        }),
        placements,
    }
}

fn tick(id: &str, kind: TickKind, face: Face, from: (f64, f64), to: (f64, f64)) -> Tick {
    Tick {
        id: id.into(),
        kind,
        face,
        from: from.into(),
        to: to.into(),
    }
}

fn marks() -> Vec<Mark> {
    [
        ("m1", 16.0, 16.0, MarkClass::One),
        ("m2", 199.9, 16.0, MarkClass::TwoAdjacent),
        ("m3", 199.9, 111.76, MarkClass::Empty),
        ("m4", 199.9, 263.4, MarkClass::TwoOpposite),
        ("m5", 16.0, 263.4, MarkClass::Three),
        ("m6", 16.0, 173.23, MarkClass::Full),
    ]
    .map(|(id, x, y, class)| Mark {
        id: id.into(),
        centre: Point::new(x, y),
        diameter_mm: 6.0,
        class,
    })
    .into()
}

fn placements() -> Vec<Placement> {
    vec![
        placed(
            0,
            "packet/body#1",
            Pose::at(26.0, 27.0),
            PACKET,
            &PACKET_WORK,
        ),
        placed(
            0,
            "packet/body#2",
            Pose::at(112.0, 27.0),
            PACKET,
            &PACKET_WORK,
        ),
        placed(1, "label#1", Pose::at(26.0, 148.0), LABEL, &LABEL_WORK),
        placed(1, "label#2", Pose::at(26.0, 176.0), LABEL, &LABEL_WORK),
        placed(
            1,
            "label#3",
            Pose {
                turn: Angle::from_deg(90.0),
                ..Pose::at(156.0, 146.0)
            },
            LABEL,
            &LABEL_WORK,
        ),
        placed(
            1,
            "label#4",
            Pose {
                turn: Angle::from_deg(270.0),
                ..Pose::at(160.0, 246.0)
            },
            LABEL,
            &LABEL_WORK,
        ),
        placed(
            2,
            "band#1",
            Pose {
                turn: Angle::from_deg(180.0),
                ..Pose::at(124.0, 224.0)
            },
            BAND,
            &BAND_WORK,
        ),
    ]
}

const VALLEY: OperationKind = OperationKind::Crease { fold: Fold::Valley };
const MOUNTAIN: OperationKind = OperationKind::Crease {
    fold: Fold::Mountain,
};

const PACKET_WORK: [(OperationKind, &str, &str); 2] = [
    (VALLEY, "crease-1", "M 66 0 L 66 98"),
    (MOUNTAIN, "crease-2", "M 0 98 L 66 98"),
];

const LABEL_WORK: [(OperationKind, &str, &str); 2] = [
    (OperationKind::Line, "line-1", "M 30 18 L 90 18"),
    (
        OperationKind::Hole,
        "hole-1",
        "M 12 12 C 12 13.1 13 14 14 14 C 15 14 16 13.1 16 12 C 16 10.9 15 10 14 10 C 13 10 12 10.9 12 12 Z",
    ),
];

const BAND_WORK: [(OperationKind, &str, &str); 3] = [
    (VALLEY, "crease-1", "M 30 0 L 30 18"),
    (MOUNTAIN, "crease-2", "M 48 0 L 48 18"),
    (OperationKind::PartialCut, "partial-cut-1", "M 66 0 L 66 18"),
];

fn placed(
    piece: usize,
    id: &str,
    pose: Pose,
    outline: &str,
    work: &[(OperationKind, &str, &str)],
) -> Placement {
    let to_sheet = pose.to_affine();
    let operation = |kind, name: &str, data: &str| PlannedOperation {
        id: format!("{id}.{name}"),
        kind,
        by: Maker::Machine,
        path: to_sheet * path(data),
        nicks: None,
    };
    let mut operations: Vec<_> = work
        .iter()
        .map(|(kind, name, data)| operation(*kind, name, data))
        .collect();
    if id == "band#1" {
        let perforation = OperationKind::Perforation {
            cut: size(2),
            gap: size(1),
        };
        let cuts = "M 84 0 L 84 1 M 84 2 L 84 4 M 84 5 L 84 7 M 84 8 L 84 10 M 84 11 L 84 13 M 84 14 L 84 16 M 84 17 L 84 18";
        operations.push(operation(perforation, "perforation-1", cuts));
    }
    operations.push(operation(OperationKind::Cut, "outline", outline));
    Placement {
        id: id.into(),
        piece,
        copy: 1,
        pose,
        face_down: false,
        is_pinned: false,
        operations,
    }
}

/// Layer by layer.
fn order(placements: &[Placement]) -> Vec<CutStep> {
    let mut order = Vec::new();
    for name in [
        "line",
        "crease",
        "perforation",
        "partial-cut",
        "hole",
        "cut",
    ] {
        for (placement, placed) in placements.iter().enumerate() {
            for (operation, planned) in placed.operations.iter().enumerate() {
                if planned.kind.name() == name {
                    order.push(CutStep {
                        placement,
                        operation,
                    });
                }
            }
        }
    }
    order
}

fn content(placement: &Placement) -> Content {
    let artwork = if placement.piece == 0 {
        packet_artwork(placement.pose)
    } else {
        vec![]
    };
    Content {
        id: placement.id.clone(),
        edition: 0,
        artwork,
    }
}

fn packet_artwork(pose: Pose) -> Vec<PlannedArtwork> {
    let to_sheet = pose.to_affine();
    let clip = to_sheet
        * path("M -2 -2 L 66.3 -2 L 80 2.5 L 80 95.4 L 67.8 99.5 L 65.7 114 L 0.3 114 L -2 98 Z");
    let layer = |artwork, face, places: Vec<Affine>| PlannedArtwork {
        artwork,
        face,
        clip: clip.clone(),
        picture: places.first().map(|_| AssetIndex(0)),
        line: None,
        places,
        under: Vec::new(),
    };
    let leaf = to_sheet * Affine::new([50.0, 0.0, 0.0, 50.0, 8.0, 20.0]);
    vec![
        layer(0, Face::Front, vec![]),
        layer(1, Face::Front, vec![leaf]),
        layer(2, Face::Back, vec![]),
    ]
}
