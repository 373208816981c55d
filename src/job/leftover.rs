//! Which pieces of a project come out of one leftover.
//!
//! The leftover is planned like any paper: as the one sheet on hand of a project that makes nothing but the piece in question, or nothing
//! but whole copies. So grain, pattern, margins and the way of cutting count as they do in the job itself.

use super::{FileSet, PICTURE_DPI};
use crate::diagnostic::Diagnostic;
use crate::draw;
use crate::emit;
use crate::length::Size;
use crate::paper::Format;
use crate::plan::{self, JobPlan, PlanOptions};
use crate::project::{Best, Edition, Lesson, Piece, Project, Stock, StockFace};

/// No more of one thing is asked for.
const MOST: u32 = 9999;

/// A leftover that is asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leftover<'a> {
    /// A rectangle, as it lies when its whole sheet lies as declared.
    Rectangle {
        /// Its width.
        width: Size,
        /// Its height.
        height: Size,
        /// Id of the stock it is of; `None` where the project has only one.
        of: Option<&'a str>,
    },
    /// An offcut that is declared, or listed among the paper on hand, by its id.
    OnHand(&'a str),
}

/// What comes out of a leftover.
#[derive(Debug, Clone, PartialEq)]
pub struct FromLeftover {
    /// The leftover, as a stock of which there is one sheet.
    pub leftover: Stock,
    /// Position of the stock it is of.
    pub of: usize,
    /// Every piece that is made of that stock, in project order.
    pub pieces: Vec<OnePiece>,
    /// Whole copies, where they need more than one kind of piece of that stock.
    pub copies: Option<WholeCopies>,
}

/// How many of one piece come out of a leftover by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct OnePiece {
    /// Position of the piece.
    pub piece: usize,
    /// How many come out of it.
    pub count: u32,
    /// Why none does.
    pub reason: Option<String>,
    /// Where they lie; `None` where none does.
    pub layout: Option<Layout>,
}

/// How many whole copies come out of a leftover.
#[derive(Debug, Clone, PartialEq)]
pub struct WholeCopies {
    /// Position of the edition whose copies these are.
    pub edition: usize,
    /// How many.
    pub copies: u32,
    /// Pieces on it, those besides included: position, and how many.
    pub pieces: Vec<(usize, u32)>,
    /// Where they lie; `None` where nothing does.
    pub layout: Option<Layout>,
}

/// Pieces on a leftover.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// The project that makes nothing else.
    pub project: Project,
    /// Its plan.
    pub plan: JobPlan,
    /// Name of its pictures, without an ending.
    pub name: String,
}

/// Returns what comes out of a leftover.
///
/// # Errors
/// If the leftover is of no stock of the project, or if no piece is made of it. Also broken promises of the layout: bugs of this program.
pub fn leftover(
    project: &Project,
    asked: Leftover<'_>,
    options: &PlanOptions<'_>,
) -> Result<FromLeftover, Vec<Diagnostic>> {
    let (leftover, of) = find(project, asked).map_err(|d| vec![d])?;
    let trial = Trial {
        project,
        leftover: &leftover,
        options,
    };
    let wanted: Vec<(usize, usize)> = (0..project.pieces.len())
        .filter_map(|piece| Some((piece, edition_with(project, piece, of)?)))
        .collect();
    if wanted.is_empty() {
        let message = format!("no piece is made of \"{}\"", project.stocks[of].id);
        let hint = format!("name the stock of a piece: {}", ids_of_used(project));
        return Err(vec![
            Diagnostic::error("leftover.unused", message).hint(hint),
        ]);
    }
    let pieces: Result<Vec<_>, _> = wanted
        .iter()
        .map(|(piece, edition)| trial.one_piece(*piece, *edition))
        .collect();
    Ok(FromLeftover {
        pieces: pieces?,
        copies: trial.whole_copies(of)?,
        leftover,
        of,
    })
}

/// Draws every layout, as SVG and PNG.
#[must_use]
pub fn leftover_pictures(found: &FromLeftover) -> FileSet {
    let copies = found.copies.iter().filter_map(|c| c.layout.as_ref());
    let pieces = found.pieces.iter().filter_map(|p| p.layout.as_ref());
    let mut files = FileSet::new();
    for layout in pieces.chain(copies) {
        let assets = &layout.project.assets;
        let mut pages = draw::pictures(&layout.project, &layout.plan).into_iter();
        if let Some((_, page)) = pages.next() {
            let svg = emit::svg_picture::write(&page, assets);
            files.insert(format!("{}.svg", layout.name), svg.into_bytes());
            let png = emit::png::write(&page, assets, PICTURE_DPI);
            files.insert(format!("{}.png", layout.name), png);
        }
    }
    files
}

/// The first edition that makes `piece` of `stock`.
fn edition_with(project: &Project, piece: usize, stock: usize) -> Option<usize> {
    (0..project.editions.len()).find(|e| project.stock_of(*e, piece) == stock)
}

/// The leftover as a stock of one sheet, and the position of the stock that it is of.
fn find(project: &Project, asked: Leftover<'_>) -> Result<(Stock, usize), Diagnostic> {
    match asked {
        Leftover::OnHand(id) => {
            let listed = project.stocks.iter().find(|s| s.id == id);
            let found = listed.and_then(|s| Some((s, s.offcut_of?)));
            let (offcut, of) = found.ok_or_else(|| no_offcut(project, id, listed.is_some()))?;
            let leftover = Stock {
                on_hand: Some(1),
                offcut_of: None,
                price: None,
                ..offcut.clone()
            };
            Ok((leftover, whole_of(project, of)))
        }
        Leftover::Rectangle { width, height, of } => {
            let of = find_stock(project, of)?;
            let whole = &project.stocks[of];
            let shown = |size: Size| size.length().display(project.job.lengths);
            let leftover = Stock {
                id: "leftover".to_owned(),
                name: format!("{}, {} x {}", whole.name, shown(width), shown(height)),
                format: Format::custom("leftover", width, height).name().to_owned(),
                width,
                height,
                on_hand: Some(1),
                price: None,
                offcut_of: None,
                outline: None,
                ..whole.clone()
            };
            Ok((leftover, of))
        }
    }
}

/// The whole stock at the end of a chain of offcuts.
fn whole_of(project: &Project, stock: usize) -> usize {
    let parent = |s: &usize| project.stocks[*s].offcut_of;
    let chain = std::iter::successors(Some(stock), parent).take(project.stocks.len());
    chain.last().unwrap_or(stock)
}

fn find_stock(project: &Project, id: Option<&str>) -> Result<usize, Diagnostic> {
    let whole = |(_, stock): &(usize, &Stock)| stock.offcut_of.is_none();
    let mut wholes = project.stocks.iter().enumerate().filter(whole);
    let Some(id) = id else {
        return match (wholes.next(), wholes.count()) {
            (Some((only, _)), 0) => Ok(only),
            (_, others) => {
                let count = others + 1;
                let message = format!("the project has {count} stocks, and the leftover is of one");
                let hint = format!("say which with --stock: {}", ids_of_used(project));
                Err(Diagnostic::error("leftover.stock", message).hint(hint))
            }
        };
    };
    wholes
        .find(|(_, s)| s.id == id)
        .map(|(i, _)| i)
        .ok_or_else(|| {
            let message = format!("no whole sheets are called \"{id}\"");
            let hint = format!("write one of {}", ids_of_used(project));
            Diagnostic::error("leftover.stock", message).hint(hint)
        })
}

fn no_offcut(project: &Project, id: &str, is_whole: bool) -> Diagnostic {
    let message = if is_whole {
        format!("\"{id}\" is a whole sheet, no offcut")
    } else {
        format!("no offcut on hand is called \"{id}\"")
    };
    let offcuts = project.stocks.iter().filter(|s| s.offcut_of.is_some());
    let ids: Vec<&str> = offcuts.map(|s| s.id.as_str()).collect();
    let hint = match &ids[..] {
        [] => {
            "name a list of paper on hand that has offcuts of this project's stocks: --on-hand FILE"
                .to_owned()
        }
        [..] => format!("write one of {}", ids.join(", ")),
    };
    Diagnostic::error("leftover.offcut", message).hint(hint)
}

/// Ids of the stocks that pieces are made of.
fn ids_of_used(project: &Project) -> String {
    let used = project.stocks.iter().enumerate().filter(|(stock, _)| {
        let mut pieces = 0..project.pieces.len();
        pieces.any(|piece| edition_with(project, piece, *stock).is_some())
    });
    let ids: Vec<&str> = used.map(|(_, stock)| stock.id.as_str()).collect();
    ids.join(", ")
}

/// A leftover that pieces are tried on.
#[derive(Clone, Copy)]
struct Trial<'a> {
    project: &'a Project,
    leftover: &'a Stock,
    options: &'a PlanOptions<'a>,
}

impl Trial<'_> {
    /// As many of one piece as fit.
    fn one_piece(self, piece: usize, edition: usize) -> Result<OnePiece, Vec<Diagnostic>> {
        let most = self.most(&[(piece, 1)]);
        let project = self.making(edition, &[(piece, 1)], most, 0);
        let name = format!(
            "leftover-piece-{}",
            self.project.pieces[piece].id.replace('/', ".")
        );
        let (layout, reason) = self.lay_out(project, name)?;
        let count = layout.as_ref().map_or(0, |l| total(&counts(l)));
        Ok(OnePiece {
            piece,
            count,
            reason: reason.filter(|_| count == 0),
            layout,
        })
    }

    /// As many whole copies as fit, with whatever else still fits then.
    fn whole_copies(self, of: usize) -> Result<Option<WholeCopies>, Vec<Diagnostic>> {
        let of_stock = |edition: usize| -> Vec<(usize, u32)> {
            let pieces = self.project.pieces.iter().enumerate();
            pieces
                .filter(|(piece, _)| self.project.stock_of(edition, *piece) == of)
                .map(|(piece, declared)| (piece, declared.per_copy))
                .collect()
        };
        let editions = 0..self.project.editions.len();
        let found = editions
            .map(|e| (e, of_stock(e)))
            .find(|(_, p)| p.len() > 1);
        let Some((edition, pieces)) = found else {
            return Ok(None);
        };
        let (copies, mut layout) = self.most_copies(edition, &pieces)?;
        if copies > 0
            && let Some(fuller) = self.filled_up(edition, &pieces, copies)?
        {
            layout = Some(fuller);
        }
        let counted = layout.as_ref().map_or_else(Vec::new, counts);
        Ok(Some(WholeCopies {
            edition,
            copies,
            pieces: counted
                .into_iter()
                .map(|(at, n)| (pieces[at].0, n))
                .collect(),
            layout,
        }))
    }

    /// The most copies that were found to fit, halving what areas allow; with what of one copy fits where none does as a whole.
    fn most_copies(
        self,
        edition: usize,
        pieces: &[(usize, u32)],
    ) -> Result<(u32, Option<Layout>), Vec<Diagnostic>> {
        let (mut fitting, mut above) = ((0, None), self.most(pieces) + 1);
        while above - fitting.0 > 1 {
            let copies = fitting.0 + (above - fitting.0) / 2;
            match self.copies(edition, pieces, copies, 0)? {
                Some(layout) if layout.plan.unplaced.is_empty() => fitting = (copies, Some(layout)),
                Some(_) | None => above = copies,
            }
        }
        if fitting.0 == 0 {
            fitting.1 = self.copies(edition, pieces, 1, 0)?;
        }
        Ok(fitting)
    }

    /// So many copies, with single pieces in what they leave; `None` where that finds no room for all copies.
    fn filled_up(
        self,
        edition: usize,
        pieces: &[(usize, u32)],
        copies: u32,
    ) -> Result<Option<Layout>, Vec<Diagnostic>> {
        let most = pieces.iter().map(|(piece, _)| self.most(&[(*piece, 1)]));
        let spares = most.max().unwrap_or(0);
        let layout = self.copies(edition, pieces, copies, spares)?;
        Ok(layout.filter(|l| l.plan.unplaced.is_empty()))
    }

    fn copies(
        self,
        edition: usize,
        pieces: &[(usize, u32)],
        copies: u32,
        spares: u32,
    ) -> Result<Option<Layout>, Vec<Diagnostic>> {
        let project = self.making(edition, pieces, copies, spares);
        Ok(self.lay_out(project, "leftover-copies".to_owned())?.0)
    }

    /// Copies of these pieces that the leftover has area for; at least one.
    fn most(self, pieces: &[(usize, u32)]) -> u32 {
        let areas = pieces.iter().map(|(piece, count)| {
            f64::from(*count) * self.project.pieces[*piece].outline.area_mm2()
        });
        let copy_mm2: f64 = areas.sum();
        let mut most = 1;
        while most < MOST && f64::from(most + 1) * copy_mm2 <= self.leftover.area_mm2() {
            most += 1;
        }
        most
    }

    /// A project that makes nothing but these pieces of one edition, of the leftover.
    fn making(self, edition: usize, pieces: &[(usize, u32)], copies: u32, spares: u32) -> Project {
        let made = pieces.iter().map(|(piece, per_copy)| Piece {
            per_copy: *per_copy,
            stock: 0,
            artwork: self
                .project
                .artwork_of(edition, *piece)
                .into_iter()
                .cloned()
                .collect(),
            treatments: Vec::new(),
            finish: None,
            have: 0,
            mount: None,
            ..self.project.pieces[*piece].clone()
        });
        let mut job = self.project.job.clone();
        job.best = Best::FewestSheets;
        Project {
            job,
            stocks: vec![self.leftover.clone()],
            pieces: made.collect(),
            parts: Vec::new(),
            assemblies: Vec::new(),
            editions: vec![Edition {
                id: String::new(),
                name: String::new(),
                copies,
                spares,
                stock_swaps: Vec::new(),
                artwork_swaps: Vec::new(),
                origin: self.project.job.origin.clone(),
            }],
            pins: Vec::new(),
            tools: Vec::new(),
            supplies: Vec::new(),
            lesson: Lesson::default(),
            paper_list_sha256: None,
            assets: self.project.assets.clone(),
            printer: self.project.printer.clone(),
            cutter: self.project.cutter.clone(),
            trimmer: self.project.trimmer.clone(),
        }
    }

    /// Lays a project out; without a layout there is the reason.
    fn lay_out(
        self,
        project: Project,
        name: String,
    ) -> Result<(Option<Layout>, Option<String>), Vec<Diagnostic>> {
        if let Some(refused) = plan::feed(&project).into_iter().find(Diagnostic::is_error) {
            return Ok((None, Some(refused.message)));
        }
        if let Some(reason) = unprinted(&project) {
            return Ok((None, Some(reason)));
        }
        let planned = super::plan(&project, self.options)?.value;
        let unplaced = plan::unplaced_errors(&project, &planned).into_iter();
        let reason = unplaced.map(|d| d.message).next();
        let layout = (!planned.sheets.is_empty()).then_some(Layout {
            project,
            plan: planned,
            name,
        });
        Ok((layout, reason))
    }
}

/// Why the pieces of a project cannot be printed on the only stock that it has.
fn unprinted(project: &Project) -> Option<String> {
    let stock = &project.stocks[0];
    let mut printed = project.pieces.iter().filter(|piece| {
        let mut faces = piece.artwork.iter().map(|artwork| match artwork.face {
            crate::project::Face::Front => stock.face(piece.shows),
            crate::project::Face::Back => stock.face(piece.shows.other()),
        });
        faces.any(|face| *face != StockFace::Printable)
    });
    let piece = printed.next()?;
    Some(format!(
        "piece \"{}\" is printed, and \"{}\" cannot be printed on",
        piece.id, stock.id
    ))
}

/// How many of each piece lie on the sheets of a layout, by their positions in its project; none of those with none.
fn counts(layout: &Layout) -> Vec<(usize, u32)> {
    let placements = || layout.plan.sheets.iter().flat_map(|s| &s.placements);
    let count = |at: usize| {
        let own = placements().filter(|p| p.piece == at).count();
        u32::try_from(own).unwrap_or(u32::MAX)
    };
    let counts = (0..layout.project.pieces.len()).map(|at| (at, count(at)));
    counts.filter(|(_, n)| *n > 0).collect()
}

fn total(counts: &[(usize, u32)]) -> u32 {
    counts.iter().map(|(_, n)| n).sum()
}
