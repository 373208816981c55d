//! Which cut comes next: the search for a list with few cautions, few settings of the fence and few strokes, in that order.
//!
//! A state is what lies on the table: piles of equal parts. A step sets the fence once and makes every cut it is good for, large parts
//! first, so that strips which come about one by one are turned and cut as one pile later. A beam keeps the states that have least
//! left to cut for their burden. Positions are those of cutouts' edges alone: that is enough, since any set of boxes that comes apart
//! at all does so by such cuts. Cost: settings times [`BEAM`] times [`MOST_MOVES`] steps, and a step is linear in the parts it cuts.

use std::rc::Rc;

use super::Guide;
use super::cutout::Cutout;
use super::offer::{Burden, Move, Offer, Workshop};
use super::part::{Look, Loose, span};
use super::register::Start;
use crate::project::Axis;

/// States kept after each setting. More gave no fewer settings on the project's examples.
const BEAM: usize = 6;

/// Settings tried from each state; sheets with more distinct edges are rare.
const MOST_MOVES: usize = 24;

/// A cut that has been made on a pile.
#[derive(Debug, Clone)]
pub(super) struct Made {
    pub(super) axis: Axis,
    pub(super) by: Move,
    pub(super) guide: Guide,
    pub(super) splits: Vec<MadeSplit>,
}

/// A part that has been cut in two.
#[derive(Debug, Clone)]
pub(super) struct MadeSplit {
    pub(super) part: Loose,
    pub(super) at_nm: i64,
    pub(super) leaves: [Loose; 2],
}

/// Equal parts that still have to be cut.
#[derive(Debug, Clone)]
struct Pile {
    look: Look,
    parts: Vec<Loose>,
    offers: Vec<Offer>,
    open_sides: usize,
}

/// All cuts up to one, the last one first.
#[derive(Debug)]
struct Chain {
    made: Made,
    before: Option<Rc<Self>>,
}

#[derive(Debug, Clone)]
struct State {
    piles: Vec<Rc<Pile>>,
    made: Option<Rc<Chain>>,
    next_id: usize,
    burden: Burden,
    settings: u32,
    strokes: u32,
}

/// Returns the cuts of a whole sheet, or `None` if it does not come apart.
pub(super) fn search(
    workshop: &Workshop<'_>,
    cutouts: &[Cutout],
    start: Start,
    fence_nm: Option<i64>,
) -> Option<Vec<Made>> {
    let table = Table { workshop, cutouts };
    let first = table.start(start);
    let mut best: Option<State> = None;
    let mut beam = vec![first.clone()];
    if let Some(fence_nm) = fence_nm {
        // The fence stands there already.
        let free = table.made_by(&first, Move::Fence(fence_nm), Axis::X, Care::Light);
        beam.push(State {
            settings: 0,
            ..free
        });
    }
    while !beam.is_empty() {
        let mut next = Vec::new();
        for state in &beam {
            if state.piles.is_empty() {
                keep_better(&mut best, state.clone());
            } else {
                next.extend(table.steps(state));
            }
        }
        if let Some(best) = &best {
            next.retain(|state| state.burden < best.burden || state.score() < best.score());
        }
        beam = fittest(next);
    }
    best.map(|state| state.cuts())
}

fn keep_better(best: &mut Option<State>, state: State) {
    if best.as_ref().is_none_or(|b| state.score() < b.score()) {
        *best = Some(state);
    }
}

/// The states to go on from: of those with the same piles the best one.
fn fittest(mut states: Vec<State>) -> Vec<State> {
    states.sort_by_cached_key(|s| (s.burden, s.open_sides(), s.settings, s.strokes));
    let mut kept: Vec<State> = Vec::new();
    for state in states {
        if kept.len() == BEAM {
            break;
        }
        if !kept.iter().any(|k| k.has_same_piles(&state)) {
            kept.push(state);
        }
    }
    kept
}

impl State {
    fn score(&self) -> (Burden, u32, u32) {
        (self.burden, self.settings, self.strokes)
    }

    fn open_sides(&self) -> usize {
        self.piles.iter().map(|p| p.open_sides).sum()
    }

    fn has_same_piles(&self, other: &Self) -> bool {
        let is_same =
            |(a, b): (&Rc<Pile>, &Rc<Pile>)| a.parts.len() == b.parts.len() && a.look == b.look;
        self.piles.len() == other.piles.len() && self.piles.iter().zip(&other.piles).all(is_same)
    }

    fn cuts(&self) -> Vec<Made> {
        let links = std::iter::successors(self.made.as_ref(), |link| link.before.as_ref());
        let mut cuts: Vec<Made> = links.map(|link| link.made.clone()).collect();
        cuts.reverse();
        cuts
    }
}

/// Which cuts a step may make.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Care {
    /// Those that need no caution.
    Light,
    /// All.
    Any,
}

impl Care {
    fn takes(self, offer: &Offer) -> bool {
        self == Self::Any || offer.burden.is_light()
    }
}

/// What stays the same throughout a search.
struct Table<'a> {
    workshop: &'a Workshop<'a>,
    cutouts: &'a [Cutout],
}

impl Table<'_> {
    fn start(&self, start: Start) -> State {
        let mut state = State {
            piles: Vec::new(),
            made: None,
            next_id: start.next_id,
            burden: Burden::default(),
            settings: 0,
            strokes: 0,
        };
        for made in start.cuts {
            state.made = Some(Rc::new(Chain {
                made,
                before: state.made.take(),
            }));
        }
        self.lay_down(&mut state, start.rest);
        state
    }

    /// Every state that one setting more can lead to; none if a part cannot be cut at all.
    fn steps(&self, state: &State) -> Vec<State> {
        if state.piles.iter().any(|pile| pile.offers.is_empty()) {
            return Vec::new();
        }
        let offers = || state.piles.iter().flat_map(|pile| &pile.offers);
        let care = if offers().any(|o| Care::Light.takes(o)) {
            Care::Light
        } else {
            Care::Any
        };
        let mut moves: Vec<Move> = offers().filter(|o| care.takes(o)).map(|o| o.by).collect();
        moves.sort_unstable();
        let mut counted: Vec<(usize, Move)> = moves
            .chunk_by(|a, b| a == b)
            .map(|same| (same.len(), same[0]))
            .collect();
        counted.sort_by_key(|(count, by)| (std::cmp::Reverse(*count), *by));
        counted.truncate(MOST_MOVES);
        let steps = counted
            .into_iter()
            .flat_map(|(_, by)| [Axis::X, Axis::Y].map(|axis| self.made_by(state, by, axis, care)));
        steps.collect()
    }

    /// The state after all cuts that one setting is good for; where both directions offer it, `axis` is taken.
    fn made_by(&self, state: &State, by: Move, axis: Axis, care: Care) -> State {
        let mut next = state.clone();
        next.settings += u32::from(by != Move::Eye);
        while let Some((pile, offer)) = chosen(&next, by, axis, care) {
            self.cut(&mut next, pile, offer);
        }
        next
    }

    fn cut(&self, state: &mut State, pile: usize, offer: Offer) {
        let pile = state.piles.remove(pile);
        let mut splits = Vec::new();
        for part in &pile.parts {
            let (near, _) = span(part.area, offer.axis);
            let at_nm = near + offer.at_nm;
            let leaves = part.split(offer.axis, at_nm, state.next_id, self.cutouts);
            state.next_id += 2;
            splits.push(MadeSplit {
                part: part.clone(),
                at_nm,
                leaves,
            });
        }
        state.burden = state.burden.plus(offer.burden);
        state.strokes += self.workshop.strokes(offer.by, splits.len()).1;
        for leaf in splits.iter().flat_map(|split| &split.leaves) {
            self.lay_down(state, leaf.clone());
        }
        let made = Made {
            axis: offer.axis,
            by: offer.by,
            guide: offer.guide(),
            splits,
        };
        state.made = Some(Rc::new(Chain {
            made,
            before: state.made.take(),
        }));
    }

    /// Puts a part on the pile of its like, larger ones before smaller ones; waste and finished parts are put away.
    fn lay_down(&self, state: &mut State, part: Loose) {
        if part.is_waste() || part.finished(self.cutouts).is_some() {
            return;
        }
        let look = part.look(self.cutouts, self.workshop.is_printed);
        if let Some(pile) = state.piles.iter_mut().find(|pile| pile.look == look) {
            Rc::make_mut(pile).parts.push(part);
            return;
        }
        let size = |p: &Rc<Pile>| (p.parts[0].area.size_nm2(), p.look.clone());
        let own = (part.area.size_nm2(), look.clone());
        let at = state.piles.partition_point(|p| size(p) > own);
        let pile = Pile {
            open_sides: part.open_sides(self.cutouts),
            offers: self.workshop.offers(&part, self.cutouts),
            parts: vec![part],
            look,
        };
        state.piles.insert(at, Rc::new(pile));
    }
}

/// The cut to make next with a setting: on the largest parts that offer one.
fn chosen(state: &State, by: Move, axis: Axis, care: Care) -> Option<(usize, Offer)> {
    let fits = |offer: &&Offer| offer.by == by && care.takes(offer);
    state.piles.iter().enumerate().find_map(|(index, pile)| {
        let best = pile.offers.iter().filter(fits);
        let best = best.min_by_key(|offer| (offer.burden, offer.axis != axis))?;
        Some((index, *best))
    })
}
