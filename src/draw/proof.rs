//! The pages of `proof.pdf`: every sheet in front view with every layer.

use kurbo::{Affine, Rect};

use super::artwork::artwork;
use super::caption::{self, PITCH_MM};
use super::furniture::{PAPER_EDGE, marks, outline, paper_edge, ticks};
use super::leftover;
use super::legend::Legend;
use super::line_kind::LineKind;
use super::name::{NameStyle, NamedPiece, name};
use super::page::{Document, Duplex, Page, PageLayer, ProcessStep};
use super::trims::Trims;
use super::words::{self, SheetNumber};
use crate::drawing::{Colour, Drawing, Item, Paint, Stroke, Tag};
use crate::plan::{JobPlan, Leftover, Sheet};
use crate::project::{Face, Project};

/// Height of a caption on sheets whose plan has no place for one.
const BAND_MM: f64 = 8.0;

/// Room between a caption of that sort and what is beside it.
const BAND_GAP_MM: f64 = 1.0;

/// A margin that home printers manage: 1/4 in.
const PRINTER_MARGIN_MM: f64 = 6.35;

/// Least width of the words beside a legend.
const WORDS_MM: f64 = 45.0;

/// Width of the line round an offcut.
const EDGE_LINE_MM: f64 = 0.35;

const NAMES: NameStyle = NameStyle {
    sizes_mm: &[3.0, 2.4, 1.9, 1.4],
    ink: Colour::rgb(0x55, 0x50, 0x4a),
    plate: Some(Colour::WHITE),
};

/// The layers of operations, bottom to top.
const STEPS: [(&str, Option<ProcessStep>, LineKind); 7] = [
    ("Line", None, LineKind::Line),
    ("Creasing", Some(ProcessStep::Creasing), LineKind::Valley),
    (
        "Reverse creasing",
        Some(ProcessStep::ReverseCreasing),
        LineKind::Mountain,
    ),
    (
        "Perforating",
        Some(ProcessStep::Perforating),
        LineKind::Perforation,
    ),
    (
        "Partial cutting",
        Some(ProcessStep::PartialCutting),
        LineKind::PartialCut,
    ),
    ("Punching", Some(ProcessStep::Punching), LineKind::Hole),
    ("Cutting", Some(ProcessStep::Cutting), LineKind::Cut),
];

/// Returns one page for each distinct sheet, in plan order.
pub(super) fn proof_document(project: &Project, plan: &JobPlan) -> Document {
    let of = plan.sheets.len();
    let pages = plan
        .sheets
        .iter()
        .enumerate()
        .map(|(position, sheet)| {
            let own = |l: &&Leftover| l.sheet == position;
            let leftovers: Vec<_> = plan.leftovers.iter().filter(own).collect();
            proof_page(
                project,
                sheet,
                &leftovers,
                SheetNumber {
                    number: position + 1,
                    of,
                },
            )
        })
        .collect();
    Document {
        title: format!("{}, proof", project.job.name),
        author: None,
        pages,
        duplex: Duplex::Simplex,
    }
}

fn proof_page(
    project: &Project,
    sheet: &Sheet,
    leftovers: &[&Leftover],
    number: SheetNumber,
) -> Page {
    let layer = |name, step, drawing| PageLayer {
        name,
        step,
        matrix: Affine::IDENTITY,
        drawing,
    };
    let contents = sheet.prints.first().map_or(&[][..], |run| &run.contents);
    let mut layers = vec![
        layer("Paper", None, edge(project, sheet)),
        layer(
            "Artwork",
            None,
            artwork(project, &sheet.placements, contents, Face::Front),
        ),
        layer("Bleed", Some(ProcessStep::Bleed), bleed(sheet)),
    ];
    layers.extend(STEPS.map(|(name, step, kind)| layer(name, step, operations(sheet, kind))));
    layers.push(layer("Marks", None, marks(sheet)));
    layers.push(layer("Ticks", None, ticks(sheet.ticks.iter())));
    layers.push(layer("Offcuts", None, kept(project, leftovers)));
    let trims = Trims::of(sheet, Affine::IDENTITY);
    layers.push(layer("Names", None, names(project, sheet, &trims)));
    layers.push(layer("Trims", None, trims.draw()));
    if let Some(band) = sheet.caption.or_else(|| free_band(project, sheet)) {
        layers.push(layer(
            "Caption",
            None,
            caption(project, sheet, number, band),
        ));
    }
    Page {
        label: words::page_label(project, sheet, number, Face::Front),
        width_mm: sheet.width_mm,
        height_mm: sheet.height_mm,
        layers: layers
            .into_iter()
            .filter(|l| !l.drawing.items.is_empty())
            .collect(),
    }
}

/// The edge of an offcut that is no rectangle.
fn edge(project: &Project, sheet: &Sheet) -> Drawing {
    let tagged = paper_edge(project, sheet).map(|path| Item::Tagged {
        tag: Tag {
            kind: "edge",
            id: PAPER_EDGE.to_owned(),
        },
        inner: Drawing {
            items: vec![Item::Stroke {
                path,
                stroke: Stroke::solid(EDGE_LINE_MM),
                paint: Paint::flat(Colour::rgb(0x96, 0x92, 0x8a)),
            }],
        },
    });
    Drawing {
        items: tagged.into_iter().collect(),
    }
}

/// The edges that artwork of the front runs to.
fn bleed(sheet: &Sheet) -> Drawing {
    let artwork = sheet
        .prints
        .first()
        .into_iter()
        .flat_map(|run| &run.contents)
        .flat_map(|c| &c.artwork);
    let line = |path: &kurbo::BezPath| Item::Stroke {
        path: path.clone(),
        stroke: Stroke {
            dash_mm: vec![0.6, 0.6],
            ..Stroke::solid(0.1)
        },
        paint: Paint::flat(Colour::rgb(0x80, 0x7c, 0x74)),
    };
    Drawing {
        items: artwork
            .filter(|a| a.face == Face::Front)
            .map(|a| line(&a.clip))
            .collect(),
    }
}

/// The operations drawn as `kind`, each tagged with its name and id.
fn operations(sheet: &Sheet, kind: LineKind) -> Drawing {
    let of_kind = sheet
        .placements
        .iter()
        .flat_map(|p| &p.operations)
        .filter(|o| LineKind::of(o) == kind);
    let tagged = of_kind.map(|operation| Item::Tagged {
        tag: Tag {
            kind: operation.kind.name(),
            id: operation.id.clone(),
        },
        inner: Drawing {
            items: vec![Item::Stroke {
                path: operation.path.clone(),
                stroke: kind.stroke(),
                paint: Paint::flat(kind.colour()),
            }],
        },
    });
    Drawing {
        items: tagged.collect(),
    }
}

/// Offcuts worth keeping.
fn kept(project: &Project, leftovers: &[&Leftover]) -> Drawing {
    let mut items = leftover::frames(leftovers.iter().copied()).items;
    items.extend(leftover::sizes(project, leftovers.iter().copied(), Affine::IDENTITY).items);
    Drawing { items }
}

fn names(project: &Project, sheet: &Sheet, trims: &Trims) -> Drawing {
    let items = sheet.placements.iter().flat_map(|placement| {
        let piece = NamedPiece::on_sheet(project, placement).clear_of(trims.plates());
        name(&piece, NAMES).items
    });
    Drawing {
        items: items.collect(),
    }
}

fn caption(project: &Project, sheet: &Sheet, number: SheetNumber, band: Rect) -> Drawing {
    let kinds = sheet
        .placements
        .iter()
        .flat_map(|p| &p.operations)
        .map(LineKind::of);
    let legend = Legend::new(kinds.collect(), band.height());
    let words = words::on_proof_page(project, sheet, number);
    if band.width() - legend.width_mm() < WORDS_MM {
        return Drawing {
            items: vec![caption::caption(band, &words)],
        };
    }
    let middle = band.x1 - legend.width_mm();
    let column = Rect {
        x1: middle - PITCH_MM,
        ..band
    };
    let mut items = vec![caption::caption(column, &words)];
    items.extend(legend.draw(Rect { x0: middle, ..band }).items);
    Drawing { items }
}

/// A band below or above all pieces, inside the usable area and where every printer prints.
fn free_band(project: &Project, sheet: &Sheet) -> Option<Rect> {
    let boxes = || {
        sheet
            .placements
            .iter()
            .map(|p| kurbo::Shape::bounding_box(&outline(project, p)))
    };
    let printable = Rect::new(0.0, 0.0, sheet.width_mm, sheet.height_mm)
        .inflate(-PRINTER_MARGIN_MM, -PRINTER_MARGIN_MM);
    let usable = sheet.usable.intersect(printable);
    let lowest_mm = boxes().map(|b| b.y1).fold(usable.y0, f64::max);
    let highest_mm = boxes().map(|b| b.y0).fold(usable.y1, f64::min);
    let below = Rect {
        y0: usable.y1 - BAND_MM,
        ..usable
    };
    let above = Rect {
        y1: usable.y0 + BAND_MM,
        ..usable
    };
    if below.y0 - BAND_GAP_MM >= lowest_mm {
        Some(below)
    } else if above.y1 + BAND_GAP_MM <= highest_mm {
        Some(above)
    } else {
        None
    }
}
