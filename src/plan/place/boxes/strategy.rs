//! The ways of filling that are tried.

use super::super::{Cutting, Request};
use super::guillotine::{self, Block, Rule, Split};
use super::max_rects::{self, Free};
use super::pile::{Order, Pile};
use super::shelf::{self, Run, Stand};
use super::{Place, exact};

/// One way of laying out everything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Strategy {
    pub(super) step: Step,
    pub(super) ration: Ration,
}

/// How each sheet is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
    /// Always in this way.
    Fixed(Filler),
    /// In the way that fills most of this very sheet.
    Fullest,
}

/// How many boxes a sheet may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ration {
    /// Whatever fits.
    All,
    /// Of each kind its share if all sheets that areas ask for were filled alike.
    Even,
}

/// A way of filling one sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Filler {
    order: Order,
    method: Method,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Method {
    Shelf(Stand, Run),
    Guillotine(Rule),
    Exact,
    MaxRects(max_rects::Fit),
}

impl Filler {
    /// Fills one sheet of kind `sheet`. Free layouts are filled up around whatever the method has left open.
    pub(super) fn fill(self, request: &Request, sheet: usize, pile: &mut Pile) -> Vec<Place> {
        let kind = &request.sheets[sheet];
        let obstacles = kind.obstacles.iter().copied();
        let Some(open) = Free::new(kind.area, obstacles.clone()).largest() else {
            return Vec::new();
        };
        let mut places = match self.method {
            Method::Shelf(stand, run) => shelf::fill(open, pile, stand, run),
            Method::Guillotine(rule) => guillotine::fill(open, pile, rule),
            Method::Exact => exact::fill(open, pile),
            Method::MaxRects(_) => Vec::new(),
        };
        if request.cutting == Cutting::Outlines {
            let fit = match self.method {
                Method::MaxRects(fit) => fit,
                Method::Shelf(..) | Method::Guillotine(_) | Method::Exact => {
                    max_rects::Fit::ShortSide
                }
            };
            let taken: Vec<_> = obstacles.chain(places.iter().map(|p| p.area)).collect();
            places.extend(max_rects::fill(&mut Free::new(kind.area, taken), pile, fit));
        }
        places
    }

    /// The order in which boxes are tried.
    pub(super) fn order(self) -> Order {
        self.order
    }
}

/// The filler that is cheap whatever the request: it bounds what the search must always finish.
pub(super) const PLAIN: Filler = Filler {
    order: Order::Size,
    method: Method::Shelf(Stand::Tall, Run::Across),
};

/// All ways of filling one sheet, cheap ones first.
pub(super) fn fillers(cutting: Cutting) -> Vec<Filler> {
    let mut methods = Vec::new();
    for stand in [Stand::Tall, Stand::Flat] {
        methods.extend([Run::Across, Run::Down].map(|run| Method::Shelf(stand, run)));
    }
    let is_rows = cutting == Cutting::Rows;
    for block in Block::ALL.into_iter().filter(|_| !is_rows) {
        for fit in guillotine::Fit::ALL {
            methods.extend(Split::ALL.map(|split| Method::Guillotine(Rule { fit, split, block })));
        }
    }
    if cutting == Cutting::Outlines {
        methods.extend(max_rects::Fit::ALL.map(Method::MaxRects));
    }
    let with_order = |method| Order::ALL.map(|order| Filler { order, method });
    let exact = (!is_rows).then_some(Filler {
        order: Order::Size,
        method: Method::Exact,
    });
    methods
        .into_iter()
        .flat_map(with_order)
        .chain(exact)
        .collect()
}

/// All ways of laying out everything, cheap ones first.
pub(super) fn strategies(cutting: Cutting) -> Vec<Strategy> {
    let fixed = fillers(cutting).into_iter().map(Step::Fixed);
    let steps: Vec<Step> = fixed.chain([Step::Fullest]).collect();
    let with_ration = |step| [Ration::All, Ration::Even].map(|ration| Strategy { step, ration });
    steps.into_iter().flat_map(with_ration).collect()
}
