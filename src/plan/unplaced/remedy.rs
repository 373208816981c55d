//! The nearest change that would make a piece fit, found by trying.
//!
//! Each try changes one thing of the project and asks whether the piece alone would fit on an empty sheet. Lengths are tried in
//! steps that a maker types; the largest that is small enough is found by halving, since less bleed, gap or margin never takes
//! room away.

use super::super::demand::{Kind, groups, is_machine_cut};
use super::super::draft::{grounds, turns_on};
use super::super::feed;
use super::super::ground::{Ground, MarksWish};
use super::form::{fits, free_of, slant_that_fits};
use crate::geometry::shape;
use crate::length::{Length, LengthStyle};
use crate::paper::{self, Format, Standard};
use crate::project::{CutBy, Edges, Lesson, MarkUse, Project, StockFace, Turns};

/// A change after which a piece that found no place would find one.
#[derive(Debug, Clone, PartialEq)]
pub enum Remedy {
    /// Allow quarter turns, and let go of the wishes that stand against them.
    Turn {
        /// Its `turns` stand against it.
        turns: bool,
        /// Its `grain` does.
        grain: bool,
        /// Its `pattern_up` does.
        pattern_up: bool,
    },
    /// Allow any turn: it fits turned by that many degrees.
    AnyTurn(u32),
    /// Bleed of at most this.
    Bleed(Length),
    /// A gap of at most this.
    Gap(Length),
    /// No register marks.
    NoMarks,
    /// Printer margins of at most this.
    Margins(Length),
    /// A band out of the cutter's reach of at most this.
    Reach(Length),
    /// Another declared stock, by its position.
    Stock(usize),
    /// The same stock in another sheet format.
    Format(&'static Format),
    /// That many sheets on hand in all.
    OnHand(u32),
}

/// One piece of one edition in a job that can be changed.
pub(super) struct Trial {
    job: Project,
    piece: usize,
    edition: usize,
}

impl Trial {
    pub(super) fn new(project: &Project, piece: usize, edition: usize) -> Self {
        let mut job = Project {
            assets: Vec::new(),
            tools: Vec::new(),
            supplies: Vec::new(),
            lesson: Lesson::default(),
            paper_list_sha256: None,
            pieces: project.pieces.clone(),
            stocks: project.stocks.clone(),
            editions: project.editions.clone(),
            job: project.job.clone(),
            printer: project.printer.clone(),
            cutter: project.cutter.clone(),
            trimmer: project.trimmer.clone(),
            parts: Vec::new(),
            assemblies: Vec::new(),
            pins: Vec::new(),
        };
        // Whether it fits does not depend on how many there are, nor on the true outlines of others.
        for edition in &mut job.editions {
            (edition.copies, edition.spares) = (1, 0);
        }
        for (index, other) in job.pieces.iter_mut().enumerate() {
            if index != piece {
                other.outline =
                    shape::rectangle(1.0, 1.0).expect("a millimetre square is an outline");
            }
        }
        Self {
            job,
            piece,
            edition,
        }
    }

    /// Returns what would help, what changes least first; never sheets on hand.
    pub(super) fn remedies(&self) -> Vec<Remedy> {
        let turn = self.turn().or_else(|| self.slant().map(Remedy::AnyTurn));
        let mut found: Vec<Remedy> = turn.into_iter().collect();
        found.extend(
            self.shorter(self.widest_bleed(), lower_bleed)
                .map(Remedy::Bleed),
        );
        found.extend(self.shorter(self.job.job.gap, lower_gap).map(Remedy::Gap));
        if self.fits_after(|t| t.job.job.marks = MarkUse::Never) {
            found.push(Remedy::NoMarks);
        }
        let margins = widest(self.job.printer.margins);
        found.extend(self.shorter(margins, lower_margins).map(Remedy::Margins));
        let reach = widest(self.job.cutter.unreachable);
        found.extend(self.shorter(reach, lower_reach).map(Remedy::Reach));
        let stock = self.other_stock().map(Remedy::Stock);
        found.extend(stock.or_else(|| self.larger_format().map(Remedy::Format)));
        found
    }

    /// The fewest wishes whose end makes it fit.
    fn turn(&self) -> Option<Remedy> {
        let mut subsets: Vec<u32> = (1..8).collect();
        subsets.sort_by_key(|subset| subset.count_ones());
        subsets.into_iter().find_map(|subset| {
            let [turns, grain, pattern_up] = [1, 2, 4].map(|bit| subset & bit != 0);
            let is_enough = self.fits_after(|trial| {
                let piece = &mut trial.job.pieces[trial.piece];
                if turns {
                    piece.turns = Turns::Quarters;
                }
                if grain {
                    piece.grain = None;
                }
                if pattern_up {
                    piece.pattern_up = None;
                }
            });
            is_enough.then_some(Remedy::Turn {
                turns,
                grain,
                pattern_up,
            })
        })
    }

    /// The degrees by which it fits if only it may take any turn.
    fn slant(&self) -> Option<u32> {
        let free = self.after(|t| t.job.pieces[t.piece].turns = Turns::Any);
        let groups = groups(&free.job);
        groups.iter().find_map(|group| {
            let kind = free.own(group.kinds.iter().cloned())?;
            let grounds = grounds(&free.job, group, MarksWish::AsAsked);
            let is_free = |g: &&Ground| turns_on(&free.job, group, g.stock, &kind).is_any();
            let mut open = grounds.iter().filter(is_free);
            open.find_map(|ground| slant_that_fits(&kind, &free_of(ground)))
        })
    }

    /// The longest length, in steps that are typed, that is shorter than `now` and short enough.
    fn shorter(&self, now: Length, change: fn(&mut Self, Length)) -> Option<Length> {
        let step = typed_step(self.job.job.lengths);
        let is_enough =
            |steps: i64| self.fits_after(|t| change(t, Length::from_nm(steps * step.nm())));
        if now <= Length::ZERO || !is_enough(0) {
            return None;
        }
        let (mut good, mut bad) = (0, (now.nm() - 1) / step.nm() + 1);
        while bad - good > 1 {
            let middle = good.midpoint(bad);
            if is_enough(middle) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        Some(Length::from_nm(good * step.nm()))
    }

    fn widest_bleed(&self) -> Length {
        let artwork = self.job.artwork_of(self.edition, self.piece);
        artwork
            .iter()
            .map(|a| a.bleed)
            .max()
            .unwrap_or(Length::ZERO)
    }

    /// The smallest other stock that holds it.
    fn other_stock(&self) -> Option<usize> {
        let own = self.job.stock_of(self.edition, self.piece);
        // Offcuts of its own stock were tried, and others are too few to count on.
        let is_other = |stock: &usize| *stock != own && self.job.stocks[*stock].offcut_of.is_none();
        let others = (0..self.job.stocks.len()).filter(is_other);
        let holds = others.filter(|stock| {
            self.can_carry(*stock)
                && self.fits_after(|t| {
                    t.job.pieces[t.piece].stock = *stock;
                    t.job.editions[t.edition].stock_swaps.clear();
                })
        });
        let area = |stock: &usize| {
            let sheet = &self.job.stocks[*stock];
            i128::from(sheet.width.length().nm()) * i128::from(sheet.height.length().nm())
        };
        holds.min_by_key(area)
    }

    /// Whether the piece may be printed on a stock as it is to be.
    fn can_carry(&self, stock: usize) -> bool {
        let Some(kind) = self.kind() else {
            return false;
        };
        let sheet = &self.job.stocks[stock];
        let side = self.job.pieces[self.piece].shows;
        let is_printable = |face: &StockFace| *face == StockFace::Printable;
        (!kind.print.front || is_printable(sheet.face(side)))
            && (!kind.print.back || is_printable(sheet.face(side.other())))
            && (!kind.print.is_any() || feed::printer_takes(&self.job.printer, sheet))
    }

    /// The smallest larger format that holds it, lying as the stock does, that the devices take and that is sold in the unit of the
    /// stock's own format. Untrimmed sheets of ISO 217 are left out: printing houses buy them, makers do not.
    fn larger_format(&self) -> Option<&'static Format> {
        let stock = self.job.stock_of(self.edition, self.piece);
        let own = &self.job.stocks[stock];
        let is_in_inches = own.format.ends_with("in");
        let (short, long) = (own.width.min(own.height), own.width.max(own.height));
        let mut sold = paper::holding(short, short).into_iter().filter(|f| {
            let is_larger = f.short_side() > short || f.long_side() > long;
            is_larger
                && f.name().ends_with("in") == is_in_inches
                && f.standard() != Standard::Iso217
        });
        sold.find(|format| {
            let after = self.after(|t| {
                let sheet = &mut t.job.stocks[stock];
                (sheet.width, sheet.height) = if sheet.width <= sheet.height {
                    (format.short_side(), format.long_side())
                } else {
                    (format.long_side(), format.short_side())
                };
            });
            after.can_carry(stock) && after.is_fed_to_cutter(stock) && after.fits()
        })
    }

    fn is_fed_to_cutter(&self, stock: usize) -> bool {
        let is_cut =
            self.job.job.cut_by == CutBy::Machine && is_machine_cut(&self.job.pieces[self.piece]);
        !is_cut || !feed::is_above(&self.job.stocks[stock], self.job.cutter.largest)
    }

    fn after(&self, change: impl FnOnce(&mut Self)) -> Self {
        let mut changed = Self::new(&self.job, self.piece, self.edition);
        change(&mut changed);
        changed
    }

    fn fits_after(&self, change: impl FnOnce(&mut Self)) -> bool {
        self.after(change).fits()
    }

    fn kind(&self) -> Option<Kind> {
        let kinds = groups(&self.job).into_iter().flat_map(|g| g.kinds);
        self.own(kinds)
    }

    fn own(&self, mut kinds: impl Iterator<Item = Kind>) -> Option<Kind> {
        kinds.find(|kind| {
            let is_of_edition = kind.wanted.iter().any(|i| i.edition == self.edition);
            kind.piece == self.piece && is_of_edition
        })
    }

    /// Whether the piece alone fits on an empty sheet, in a turn that it may take.
    fn fits(&self) -> bool {
        groups(&self.job).iter().any(|group| {
            let Some(kind) = self.own(group.kinds.iter().cloned()) else {
                return false;
            };
            grounds(&self.job, group, MarksWish::AsAsked)
                .iter()
                .any(|ground| {
                    let turns = turns_on(&self.job, group, ground.stock, &kind);
                    fits(&kind, turns, &free_of(ground))
                })
        })
    }
}

/// The step in which lengths are offered: what can be read on a ruler of the job's unit.
pub(in super::super) fn typed_step(style: LengthStyle) -> Length {
    match style {
        LengthStyle::InchFractions => Length::from_inch_fraction(1, 32),
        LengthStyle::InchDecimals => Length::from_inch_fraction(1, 100),
        LengthStyle::Millimetres => Length::from_um(100),
    }
}

fn lower_bleed(trial: &mut Trial, most: Length) {
    let declared = &mut trial.job.pieces[trial.piece].artwork;
    let swapped = trial.job.editions[trial.edition]
        .artwork_swaps
        .iter_mut()
        .filter(|swap| swap.piece == trial.piece)
        .map(|swap| &mut swap.instead);
    for artwork in declared.iter_mut().chain(swapped) {
        artwork.bleed = artwork.bleed.min(most);
    }
}

fn lower_gap(trial: &mut Trial, most: Length) {
    trial.job.job.gap = most;
}

fn lower_margins(trial: &mut Trial, most: Length) {
    trial.job.printer.margins = at_most(trial.job.printer.margins, most);
}

fn lower_reach(trial: &mut Trial, most: Length) {
    trial.job.cutter.unreachable = at_most(trial.job.cutter.unreachable, most);
}

fn at_most(edges: Edges<Length>, most: Length) -> Edges<Length> {
    Edges {
        top: edges.top.min(most),
        right: edges.right.min(most),
        bottom: edges.bottom.min(most),
        left: edges.left.min(most),
    }
}

/// The widest of the four.
pub(super) fn widest(edges: Edges<Length>) -> Length {
    edges.top.max(edges.right).max(edges.bottom).max(edges.left)
}
