//! Pictures of the sheets: the whole layout at a glance.
//!
//! What is kept is bright, what falls away is pale: the bleed is washed out, the band that no piece may use is hatched, pieces
//! without artwork have a tint of their own.

use kurbo::{Affine, BezPath, Rect, Shape};

use super::artwork::artwork;
use super::caption::caption_with_rule;
use super::furniture::{marked_face, marks, outline, paper_edge, ticks};
use super::leftover;
use super::line_kind::LineKind;
use super::name::{NameStyle, NamedPiece, name};
use super::page::{Page, PageLayer};
use super::trims::Trims;
use super::words::{self, SheetNumber};
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint, Stroke};
use crate::geometry::mirror_about_x;
use crate::plan::{Content, JobPlan, Leftover, PrintRun, Sheet};
use crate::project::{Face, OperationKind, Project, TurnOver};

const PAPER: Colour = Colour::rgb(0xfc, 0xfa, 0xf4);
/// What an offcut lies on.
const TABLE: Colour = Colour::rgb(0xd2, 0xcb, 0xbe);
const HATCH: Colour = Colour::rgb(0xd9, 0xd3, 0xc6);
/// A rectangle's path has no curves to approximate.
const EXACT: f64 = 0.1;

const HATCH_STEP_MM: f64 = 2.0;
const HATCH_LINE_MM: f64 = 0.12;

/// How much of the bleed the wash hides.
const WASH: f64 = 0.65;

/// Tints of pieces without artwork, by the piece's position.
pub(super) const TINTS: [Colour; 6] = [
    Colour::rgb(0xe4, 0xec, 0xd9),
    Colour::rgb(0xf3, 0xe2, 0xcf),
    Colour::rgb(0xdc, 0xe7, 0xee),
    Colour::rgb(0xf1, 0xdc, 0xde),
    Colour::rgb(0xee, 0xe8, 0xc8),
    Colour::rgb(0xe3, 0xdd, 0xec),
];

const SIZES_MM: &[f64] = &[4.2, 3.4, 2.8, 2.3, 1.9];
const NAMES: NameStyle = NameStyle {
    sizes_mm: SIZES_MM,
    ink: Colour::rgb(0x3c, 0x38, 0x32),
    plate: None,
};
const NAMES_ON_ARTWORK: NameStyle = NameStyle {
    plate: Some(PAPER),
    ..NAMES
};

/// One face of a sheet with what is on it.
#[derive(Clone, Copy)]
struct View<'a> {
    project: &'a Project,
    sheet: &'a Sheet,
    leftovers: &'a [Leftover],
    number: SheetNumber,
    face: Face,
    /// Sheet frame to the picture.
    from_sheet: Affine,
}

/// Returns each picture's file name and page: the front of every distinct sheet, and the backs that are printed.
pub(super) fn pictures(project: &Project, plan: &JobPlan) -> Vec<(String, Page)> {
    let mut pictures = Vec::new();
    for (position, sheet) in plan.sheets.iter().enumerate() {
        let number = SheetNumber {
            number: position + 1,
            of: plan.sheets.len(),
        };
        let view = |face, from_sheet| View {
            project,
            sheet,
            leftovers: &plan.leftovers,
            number,
            face,
            from_sheet,
        };
        let file = format!("sheet-{:02}", number.number);
        pictures.push((
            format!("{file}.png"),
            picture(view(Face::Front, Affine::IDENTITY)),
        ));
        if sheet.back.is_some() {
            let turned_over = turned_over(project.job.turn_over, sheet);
            pictures.push((
                format!("{file}-back.png"),
                picture(view(Face::Back, turned_over)),
            ));
        }
    }
    pictures
}

fn turned_over(turn_over: TurnOver, sheet: &Sheet) -> Affine {
    match turn_over {
        TurnOver::LeftRight => mirror_about_x(sheet.width_mm / 2.0),
        TurnOver::TopBottom => Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, sheet.height_mm]),
    }
}

fn picture(view: View<'_>) -> Page {
    let sheet = view.sheet;
    let on_sheet = |name, drawing| PageLayer {
        name,
        step: None,
        matrix: view.from_sheet,
        drawing,
    };
    let as_seen = |name, drawing| PageLayer {
        name,
        step: None,
        matrix: Affine::IDENTITY,
        drawing,
    };
    let run = sheet.prints.first();
    let contents = run.map_or(&[][..], |run| &run.contents);
    let mut layers = vec![
        on_sheet("Paper", paper(view)),
        on_sheet("Pieces", pieces(view, contents)),
        on_sheet(
            "Artwork",
            artwork(view.project, &sheet.placements, contents, view.face),
        ),
        on_sheet("Waste", waste(view)),
        on_sheet("Operations", operations(view)),
        on_sheet(
            "Ticks",
            ticks(sheet.ticks.iter().filter(|t| t.face == view.face)),
        ),
    ];
    if marked_face(sheet) == view.face {
        layers.push(on_sheet("Marks", marks(sheet)));
    }
    let kept = || {
        let own = |l: &&Leftover| l.sheet + 1 == view.number.number;
        view.leftovers.iter().filter(own)
    };
    layers.push(on_sheet("Offcuts", leftover::frames(kept())));
    layers.push(as_seen(
        "Offcut sizes",
        leftover::sizes(view.project, kept(), view.from_sheet),
    ));
    let trims = Trims::of(sheet, view.from_sheet);
    layers.push(as_seen("Names", names(view, contents, &trims)));
    layers.push(as_seen("Trims", trims.draw()));
    layers.extend(
        run.and_then(|run| caption(view, run))
            .map(|drawing| as_seen("Caption", drawing)),
    );
    Page {
        label: words::page_label(view.project, sheet, view.number, view.face),
        width_mm: sheet.width_mm,
        height_mm: sheet.height_mm,
        layers,
    }
}

/// The bare sheet; an offcut that is no rectangle lies on a table.
fn paper(view: View<'_>) -> Drawing {
    let table = paper_edge(view.project, view.sheet)
        .map(|_| fill(whole(view.sheet).to_path(EXACT), Paint::flat(TABLE)));
    let sheet = fill(edge(view), Paint::flat(PAPER));
    Drawing {
        items: table.into_iter().chain([sheet]).collect(),
    }
}

/// The edge of the paper.
fn edge(view: View<'_>) -> BezPath {
    paper_edge(view.project, view.sheet).unwrap_or_else(|| whole(view.sheet).to_path(EXACT))
}

/// Paper with a little opacity over everything outside the pieces, which leaves the bleed pale, and a hatch where no piece may lie.
fn waste(view: View<'_>) -> Drawing {
    let sheet = view.sheet;
    let mut outside = edge(view);
    let outlines = sheet.placements.iter().map(|p| outline(view.project, p));
    outside.extend(outlines.flatten());
    let operations = sheet.placements.iter().flat_map(|p| &p.operations);
    let holes = operations.filter(|o| o.kind == OperationKind::Hole);
    let mut items = vec![fill(
        outside,
        Paint::Solid {
            colour: PAPER,
            opacity: WASH,
        },
    )];
    items.extend(holes.map(|hole| fill(hole.path.clone(), Paint::flat(PAPER))));
    items.push(clip(edge(view), unusable(sheet)));
    Drawing { items }
}

fn unusable(sheet: &Sheet) -> Item {
    let mut band = whole(sheet).to_path(EXACT);
    band.extend(sheet.usable.to_path(EXACT));
    let hatch = Item::Stroke {
        path: hatch(whole(sheet)),
        stroke: Stroke::solid(HATCH_LINE_MM),
        paint: Paint::flat(HATCH),
    };
    clip(band, hatch)
}

fn clip(path: BezPath, item: Item) -> Item {
    Item::Clip {
        path,
        rule: FillRule::EvenOdd,
        inner: Drawing { items: vec![item] },
    }
}

fn whole(sheet: &Sheet) -> Rect {
    Rect::new(0.0, 0.0, sheet.width_mm, sheet.height_mm)
}

/// Slanting lines over the whole of `bounds`.
fn hatch(bounds: Rect) -> BezPath {
    let mut path = BezPath::new();
    let mut x_mm = bounds.x0 - bounds.height() + HATCH_STEP_MM / 2.0;
    while x_mm < bounds.x1 {
        path.move_to((x_mm, bounds.y1));
        path.line_to((x_mm + bounds.height(), bounds.y0));
        x_mm += HATCH_STEP_MM;
    }
    path
}

/// Pieces in the tint of their kind, or white as paper under artwork.
fn pieces(view: View<'_>, contents: &[Content]) -> Drawing {
    let placements = view.sheet.placements.iter().enumerate();
    let items = placements.map(|(i, placement)| {
        let colour = if is_printed(contents, i, view.face) {
            Colour::WHITE
        } else {
            TINTS[placement.piece % TINTS.len()]
        };
        fill(outline(view.project, placement), Paint::flat(colour))
    });
    Drawing {
        items: items.collect(),
    }
}

fn is_printed(contents: &[Content], placement: usize, face: Face) -> bool {
    contents
        .get(placement)
        .is_some_and(|c| c.artwork.iter().any(|a| a.face == face))
}

fn operations(view: View<'_>) -> Drawing {
    let operations = view.sheet.placements.iter().flat_map(|p| &p.operations);
    let lines = operations.map(|operation| {
        let kind = match view.face {
            Face::Front => LineKind::of(operation),
            Face::Back => LineKind::of(operation).seen_from_behind(),
        };
        Item::Stroke {
            path: operation.path.clone(),
            stroke: kind.stroke(),
            paint: Paint::flat(kind.colour()),
        }
    });
    Drawing {
        items: lines.collect(),
    }
}

fn names(view: View<'_>, contents: &[Content], trims: &Trims) -> Drawing {
    let placements = view.sheet.placements.iter().enumerate();
    let items = placements.flat_map(|(i, placement)| {
        let style = if is_printed(contents, i, view.face) {
            NAMES_ON_ARTWORK
        } else {
            NAMES
        };
        let piece = NamedPiece::on_sheet(view.project, placement).seen(view.from_sheet);
        name(&piece.clear_of(trims.plates()), style).items
    });
    Drawing {
        items: items.collect(),
    }
}

/// The caption as it is printed, on faces that are.
fn caption(view: View<'_>, run: &PrintRun) -> Option<Drawing> {
    let page = match view.face {
        Face::Front => run.front,
        Face::Back => run.back,
    };
    page?;
    let words = words::on_print_page(view.project, view.sheet, view.number, run, view.face);
    view.sheet
        .caption
        .map(|band| caption_with_rule(band, &words))
}

fn fill(path: BezPath, paint: Paint) -> Item {
    Item::Fill {
        path,
        rule: FillRule::EvenOdd,
        paint,
    }
}
