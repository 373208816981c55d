//! A plan in the words of `plan.json`.

mod budget;
mod device;
mod folded;

use kurbo::{Affine, BezPath, Point, Rect, Shape};

pub use folded::picture_name;

use super::file::{
    ArtworkEntry, ChoiceEntry, ContentEntry, FORMAT, FaceEntry, HandWorkEntry, LeftoverEntry,
    MarkEntry, MarksCostEntry, NicksEntry, OperationEntry, PaperEntry, PlacementEntry, PlanFile,
    PrintEntry, SheetEntry, SparesEntry, StockUsageEntry, ThereEntry, TickEntry, UnplacedEntry,
    UsageEntry,
};
use super::operations::names;
use super::reach;
use super::trimmer::entries;
use super::{
    Choice, Content, Effort, HandWork, JobPlan, Leftover, MarkClass, Placement, PlannedArtwork,
    PlannedOperation, SearchEnd, Sheet, Spares, Tick, TickKind, Unplaced, UnplacedReason, Usage,
};
use crate::drawing::{Asset, AssetContent, Item, pixels_per_inch};
use crate::geometry::path_data::to_path_data;
use crate::length::Length;
use crate::math::FLATTEN_MM;
use crate::project::{
    Artwork, ArtworkFill, Face, Maker, OperationKind, Piece, Price, Project, StockSide,
};

/// Name of the file with templates.
const TEMPLATES: &str = "templates.pdf";

/// Decimals of path data: a nanometre.
const DECIMALS: usize = 6;

impl PlanFile {
    /// Returns `plan` as it is written to `plan.json`, without what lies on the maker's table.
    #[must_use]
    pub fn new(project: &Project, plan: &JobPlan) -> Self {
        Self {
            format: FORMAT.to_owned(),
            job: project.job.name.clone(),
            copies: project.editions.iter().map(|e| e.copies).sum(),
            date: project.job.date.clone(),
            paper_list_sha256: project.paper_list_sha256.clone(),
            cut_extent_mm: plan.cut_extent_mm.map(|(w, h)| [w, h]),
            printer: device::printer(project),
            cutter: device::cutter(project),
            error_budget: plan.budget.as_ref().map(budget::entry),
            sheets: plan
                .sheets
                .iter()
                .enumerate()
                .map(|(i, s)| sheet(project, i + 1, s))
                .collect(),
            unplaced: plan.unplaced.iter().map(|u| unplaced(project, u)).collect(),
            spares: plan.spares.iter().map(|s| spares(project, *s)).collect(),
            there: there(project),
            leftovers: plan
                .leftovers
                .iter()
                .map(|l| leftover(project, plan, l))
                .collect(),
            hand_work: plan
                .hand_work
                .iter()
                .map(|w| hand_work(project, w))
                .collect(),
            templates: plan
                .sheets
                .iter()
                .any(|sheet| !sheet.placements.is_empty())
                .then(|| TEMPLATES.to_owned()),
            folded: folded::entries(project),
            handout: None,
            usage: usage(project, &plan.usage),
        }
    }
}

fn sheet(project: &Project, number: usize, sheet: &Sheet) -> SheetEntry {
    let stock = &project.stocks[sheet.stock];
    let first = sheet.prints.first();
    let cut = sheet.cut.as_ref();
    let face = |face: super::PrintedFace| FaceEntry {
        page_from_sheet: matrix(face.page_from_sheet),
        sheet_from_page: face.sheet_from_page.map(matrix),
    };
    SheetEntry {
        stock: stock.id.clone(),
        offcut_of: stock
            .offcut_of
            .map(|whole| project.stocks[whole].id.clone()),
        front_is: match sheet.front_is {
            StockSide::A => "a",
            StockSide::B => "b",
        }
        .to_owned(),
        paper: PaperEntry {
            name: stock.format.clone(),
            width_mm: sheet.width_mm,
            height_mm: sheet.height_mm,
            outline: stock.edge_seen(sheet.front_is).map(|o| path(&o.path())),
        },
        runs: sheet.runs,
        print_page: first.and_then(|p| p.front.or(p.back)),
        proof_page: u32::try_from(number).expect("a job has fewer sheets than 2^32"),
        picture: format!("sheet-{number:02}.png"),
        cut_file: cut.map(|c| c.file.clone()),
        cut_face_up: cut.map(|c| c.face_up.name().to_owned()),
        cut_from_sheet: cut.map(|c| matrix(c.cut_from_sheet)),
        cut_order: cut.map_or(Vec::new(), |c| {
            let step = |s: &super::CutStep| {
                sheet.placements[s.placement].operations[s.operation]
                    .id
                    .clone()
            };
            c.order.iter().map(step).collect()
        }),
        prints: prints(project, sheet),
        front: sheet.front.map(face),
        back: sheet.back.map(face),
        marks: marks(sheet),
        marks_moved_in_mm: marks_moved_in_mm(project, sheet),
        ticks: sheet.ticks.iter().map(tick).collect(),
        caption_box_mm: sheet.caption.map(box_mm),
        usable_box_mm: box_mm(sheet.usable),
        placements: placements(project, sheet),
        trimmer_cuts: sheet.cut_list.as_ref().map_or_else(Vec::new, entries),
    }
}

fn prints(project: &Project, sheet: &Sheet) -> Vec<PrintEntry> {
    let run = |run: &super::PrintRun| PrintEntry {
        front: run.front,
        back: run.back,
        copies: run.copies.clone(),
        times: run.times,
        contents: run
            .contents
            .iter()
            .zip(&sheet.placements)
            .map(|(c, p)| content(project, c, p.piece))
            .collect(),
    };
    sheet.prints.iter().map(run).collect()
}

fn content(project: &Project, content: &Content, piece: usize) -> ContentEntry {
    ContentEntry {
        id: content.id.clone(),
        edition: project.editions[content.edition].id.clone(),
        artwork: artwork(project, content, piece),
    }
}

fn artwork(project: &Project, content: &Content, piece: usize) -> Vec<ArtworkEntry> {
    let declared = project.artwork_of(content.edition, piece);
    content
        .artwork
        .iter()
        .map(|planned| artwork_entry(project, planned, declared[planned.artwork]))
        .collect()
}

fn artwork_entry(project: &Project, planned: &PlannedArtwork, declared: &Artwork) -> ArtworkEntry {
    let colour = match &declared.fill {
        ArtworkFill::Flat(colour) => Some(colour.to_hex()),
        ArtworkFill::Picture(_) | ArtworkFill::Repeat(_) | ArtworkFill::Each(_) => None,
    };
    let asset = planned.picture.map(|picture| &project.assets[picture.0]);
    let unit = Rect::new(0.0, 0.0, 1.0, 1.0);
    let shown = match (&declared.fill, planned.places.first()) {
        (ArtworkFill::Picture(_) | ArtworkFill::Each(_), Some(place)) => {
            place.transform_rect_bbox(unit)
        }
        (
            ArtworkFill::Picture(_)
            | ArtworkFill::Each(_)
            | ArtworkFill::Flat(_)
            | ArtworkFill::Repeat(_),
            _,
        ) => planned.clip.bounding_box(),
    };
    ArtworkEntry {
        face: planned.face.name().to_owned(),
        box_mm: box_mm(shown),
        matrix: planned.places.first().copied().map(matrix),
        places: planned.places.iter().copied().map(matrix).collect(),
        under: planned.under.iter().copied().map(matrix).collect(),
        sha256: asset.map(|a| a.sha256.clone()),
        file: asset.map(|a| a.path.clone()),
        line: planned.line,
        words: asset.map(words).filter(|words| !words.is_empty()),
        pixels_per_inch: planned
            .picture
            .zip(planned.places.first())
            .and_then(|(picture, place)| pixels_per_inch(&project.assets, picture, *place))
            .map(|pixels| (pixels * 10.0).round() / 10.0),
        colour,
        clip: path(&planned.clip),
    }
}

/// What is written in a picture as text.
fn words(asset: &Asset) -> Vec<String> {
    let items = match &asset.content {
        AssetContent::Vector(drawing) => drawing.items.as_slice(),
        AssetContent::Png { .. } | AssetContent::Jpeg { .. } => &[],
    };
    let words = items.iter().filter_map(|item| match item {
        Item::Glyphs(run) => Some(run.text.clone()),
        Item::Fill { .. }
        | Item::Stroke { .. }
        | Item::Clip { .. }
        | Item::Picture { .. }
        | Item::Tagged { .. } => None,
    });
    words.collect()
}

/// The face that marks are printed on.
fn marked_face(sheet: &Sheet) -> Face {
    if sheet.front.is_some() {
        Face::Front
    } else {
        Face::Back
    }
}

fn marks_moved_in_mm(project: &Project, sheet: &Sheet) -> Option<f64> {
    let size = kurbo::Size::new(sheet.width_mm, sheet.height_mm);
    let moved_mm = reach::marks_moved_mm(project, size, marked_face(sheet));
    (!sheet.marks.is_empty() && moved_mm > 0.0).then_some(moved_mm)
}

fn marks(sheet: &Sheet) -> Vec<MarkEntry> {
    let face = marked_face(sheet);
    let marks = sheet.marks.iter().map(|mark| MarkEntry {
        id: mark.id.clone(),
        x_mm: mark.centre.x,
        y_mm: mark.centre.y,
        diameter_mm: mark.diameter_mm,
        quadrants: match mark.class {
            MarkClass::Empty => "empty",
            MarkClass::One => "one",
            MarkClass::TwoAdjacent => "two-adjacent",
            MarkClass::TwoOpposite => "two-opposite",
            MarkClass::Three => "three",
            MarkClass::Full => "full",
        }
        .to_owned(),
        face: face.name().to_owned(),
    });
    marks.collect()
}

fn tick(tick: &Tick) -> TickEntry {
    TickEntry {
        id: tick.id.clone(),
        kind: match tick.kind {
            TickKind::Crop => "crop",
            TickKind::Crease => "crease",
            TickKind::Scale => "scale",
            TickKind::Light => "light",
        }
        .to_owned(),
        face: tick.face.name().to_owned(),
        from_mm: point(tick.from),
        to_mm: point(tick.to),
    }
}

fn placements(project: &Project, sheet: &Sheet) -> Vec<PlacementEntry> {
    let first = sheet.prints.first().expect("a sheet has at least one run");
    let pairs = sheet.placements.iter().zip(&first.contents);
    pairs
        .map(|(placement, content)| placement_entry(project, placement, content))
        .collect()
}

fn placement_entry(project: &Project, placement: &Placement, content: &Content) -> PlacementEntry {
    let piece = &project.pieces[placement.piece];
    let outline = piece.outline.transformed(placement.pose.to_affine());
    let rings = outline.flattened(FLATTEN_MM);
    PlacementEntry {
        id: placement.id.clone(),
        piece: piece.id.clone(),
        copy: placement.copy,
        x_mm: placement.pose.x_mm,
        y_mm: placement.pose.y_mm,
        turn_deg: placement.pose.turn.deg(),
        face_down: placement.face_down,
        pinned: placement.is_pinned,
        path: path(&outline.path()),
        outline_mm: rings
            .first()
            .map_or(Vec::new(), |ring| ring.iter().copied().map(point).collect()),
        operations: placement.operations.iter().map(operation).collect(),
        artwork: artwork(project, content, placement.piece),
    }
}

fn operation(operation: &PlannedOperation) -> OperationEntry {
    OperationEntry {
        id: operation.id.clone(),
        kind: operation.kind.name().to_owned(),
        fold: fold(operation.kind),
        by: maker_name(operation.by),
        path: path(&operation.path),
        nicks: operation.nicks.map(|nicks| NicksEntry {
            count: nicks.count,
            length_mm: nicks.length.to_mm(),
        }),
    }
}

fn there(project: &Project) -> Vec<ThereEntry> {
    let editions = || 0..project.editions.len();
    let entry = |(piece, declared): (usize, &Piece)| ThereEntry {
        piece: declared.id.clone(),
        count: editions().map(|e| project.there(e, piece)).sum(),
    };
    let entries = project.pieces.iter().enumerate().map(entry);
    entries.filter(|entry| entry.count > 0).collect()
}

fn unplaced(project: &Project, unplaced: &Unplaced) -> UnplacedEntry {
    UnplacedEntry {
        piece: project.pieces[unplaced.piece].id.clone(),
        edition: project.editions[unplaced.edition].id.clone(),
        stock: project.stocks[unplaced.stock].id.clone(),
        count: unplaced.count,
        needs_mm: [unplaced.needs_mm.0, unplaced.needs_mm.1],
        has_mm: [unplaced.has_mm.0, unplaced.has_mm.1],
        reason: match unplaced.reason {
            UnplacedReason::TooLarge => "too-large",
            UnplacedReason::TurnForbidden => "turn-forbidden",
            UnplacedReason::NoSheetsLeft => "no-sheets-left",
        }
        .to_owned(),
    }
}

fn spares(project: &Project, spares: Spares) -> SparesEntry {
    SparesEntry {
        piece: project.pieces[spares.piece].id.clone(),
        placed: spares.placed,
        wished: spares.wished,
    }
}

pub(super) fn leftover(project: &Project, plan: &JobPlan, leftover: &Leftover) -> LeftoverEntry {
    let show = |mm: f64| Length::nearest_mm(mm).display(project.job.lengths);
    let sheet = &plan.sheets[leftover.sheet];
    let stock = &project.stocks[sheet.stock];
    let whole = stock
        .offcut_of
        .map_or(stock, |whole| &project.stocks[whole]);
    LeftoverEntry {
        of: whole.id.clone(),
        sheet: u32::try_from(leftover.sheet + 1).expect("a job has fewer sheets than 2^32"),
        count: sheet.runs,
        size: format!(
            "{} x {}",
            show(leftover.area.width()),
            show(leftover.area.height())
        ),
        box_mm: box_mm(leftover.area),
    }
}

fn hand_work(project: &Project, work: &HandWork) -> HandWorkEntry {
    let piece = &project.pieces[work.piece];
    let (operation, kind, at) = match work.operation {
        None => (
            "outline".to_owned(),
            OperationKind::Cut,
            piece.outline.path(),
        ),
        Some(i) => (
            names(piece)[i].clone(),
            piece.operations[i].kind,
            piece.operations[i].path.clone(),
        ),
    };
    HandWorkEntry {
        piece: piece.id.clone(),
        operation,
        fold: fold(kind),
        by: maker_name(work.by),
        times: work.times,
        path: path(&at),
    }
}

fn usage(project: &Project, usage: &Usage) -> UsageEntry {
    let by_stock = usage.by_stock.iter().map(|s| StockUsageEntry {
        stock: project.stocks[s.stock].id.clone(),
        sheets: s.sheets,
        lower_bound_sheets: s.lower_bound_sheets,
        better_bound_sheets: s.better_bound_sheets,
        area_used_percent: s.area_used_percent,
        cost: s
            .cost_hundredths
            .zip(project.stocks[s.stock].price.as_ref())
            .map(|(hundredths, price)| {
                let currency = price.currency.clone();
                Price {
                    hundredths,
                    currency,
                }
                .to_string()
            }),
    });
    UsageEntry {
        area_used_percent: usage.area_used_percent,
        best: usage.best.name().to_owned(),
        effort: match usage.effort {
            Effort::Quick => "quick",
            Effort::Usual => "usual",
            Effort::Long => "long",
        }
        .to_owned(),
        sheets: usage.sheets,
        lower_bound_sheets: usage.lower_bound_sheets,
        better_bound_sheets: usage.better_bound_sheets,
        is_proven_fewest: usage.is_proven_fewest,
        costs: amounts(&usage.costs),
        search: match usage.search {
            SearchEnd::Finished => "finished",
            SearchEnd::Stopped => "stopped",
        }
        .to_owned(),
        by_stock: by_stock.collect(),
        marks_cost: usage.marks_cost.map(|cost| MarksCostEntry {
            area_mm2: cost.area_mm2,
            sheets_without: cost.sheets_without,
        }),
        layouts: usage.layouts,
        fence_settings: usage.trimming.map(|t| t.fence_settings),
        strokes: usage.trimming.map(|t| t.strokes),
        other_choices: usage.other_choices.iter().map(choice).collect(),
    }
}

fn choice(choice: &Choice) -> ChoiceEntry {
    ChoiceEntry {
        best: choice.best.name().to_owned(),
        sheets: choice.sheets,
        layouts: choice.layouts,
        costs: amounts(&choice.costs),
    }
}

fn amounts(prices: &[Price]) -> Vec<String> {
    prices.iter().map(Price::to_string).collect()
}

fn maker_name(maker: Maker) -> String {
    match maker {
        Maker::Machine => "machine",
        Maker::Hand => "hand",
        Maker::Die => "die",
    }
    .to_owned()
}

fn fold(kind: OperationKind) -> Option<String> {
    match kind {
        OperationKind::Crease { fold } => Some(fold.name().to_owned()),
        OperationKind::Cut
        | OperationKind::Perforation { .. }
        | OperationKind::PartialCut
        | OperationKind::Hole
        | OperationKind::Line => None,
    }
}

fn path(path: &BezPath) -> String {
    to_path_data(path, DECIMALS)
}

fn matrix(map: Affine) -> [f64; 6] {
    map.as_coeffs()
}

fn point(at: Point) -> [f64; 2] {
    [at.x, at.y]
}

fn box_mm(rect: Rect) -> [f64; 4] {
    [rect.x0, rect.y0, rect.width(), rect.height()]
}
