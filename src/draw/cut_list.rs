//! The cut list in words: what a person with a trimmer does, cut by cut, in the job's lengths.
//!
//! Edges are named as the picture of the sheet shows them, and sizes are given width before height, so that a part can be found by
//! laying it beside the picture.

use kurbo::Rect;

use crate::diagnostic::counted;
use crate::length::Length;
use crate::plan::trimmer::{Caution, Cut, CutList, EdgeKind, Guide, Holds, Part};
use crate::plan::{JobPlan, Sheet};
use crate::project::{Axis, Edge, Project, TurnOver};

/// What stands at the head of the file.
const CAUTIONS: &str = "\
Blades: close the trimmer's guard before you reach for the paper, and keep your fingers out of the line of the blade. An adult sets and
changes blades. Used ones go in a closed tin.
";

const HOW_TO_READ: &str = "\
Lay the named edge of the paper at the fence: edges are named as in the sheet's picture, and the cuts have their numbers there. A paper
edge is one the sheet was bought with, a fresh edge has been cut before. Parts of the same size that share a number are cut as one pile.
";

/// Returns what `cut-list.txt` holds; `None` in a job that is cut by machine.
pub(super) fn file(project: &Project, plan: &JobPlan) -> Option<String> {
    let list = text(project, plan)?;
    let name = &project.job.name;
    Some(format!(
        "{name}: cut list\n\n{CAUTIONS}\n{HOW_TO_READ}\n{list}"
    ))
}

/// Returns the cuts of all sheets; `None` in a job that is cut by machine.
pub(super) fn text(project: &Project, plan: &JobPlan) -> Option<String> {
    let trimming = plan.usage.trimming?;
    let mut text = String::new();
    for (index, sheet) in plan.sheets.iter().enumerate() {
        if let Some(list) = &sheet.cut_list {
            let like = plan.sheets[..index]
                .iter()
                .position(|earlier| is_cut_like(earlier, sheet, list));
            text += &sheet_text(project, index + 1, sheet, list, like.map(|i| i + 1));
        }
    }
    text += &format!(
        "in all the fence is set {} for {}, {}\n",
        times(trimming.fence_settings),
        counted(plan.usage.layouts, "layout"),
        counted(trimming.strokes, "stroke")
    );
    Some(text)
}

/// Whether an earlier sheet is cut by the same numbers.
fn is_cut_like(earlier: &Sheet, sheet: &Sheet, list: &CutList) -> bool {
    let pieces = |s: &Sheet| s.placements.iter().map(|p| p.piece).collect::<Vec<_>>();
    let is_same = |other: &CutList| other.cuts == list.cuts && other.at_once == list.at_once;
    earlier.cut_list.as_ref().is_some_and(is_same) && pieces(earlier) == pieces(sheet)
}

fn sheet_text(
    project: &Project,
    number: usize,
    sheet: &Sheet,
    list: &CutList,
    like: Option<usize>,
) -> String {
    let words = Words {
        project,
        sheet,
        list,
    };
    let stock = &project.stocks[sheet.stock].name;
    let runs = counted(sheet.runs, "sheet");
    let stack = match list.at_once {
        1 => "one at a time".to_owned(),
        at_once => format!("up to {at_once} at once"),
    };
    let head = format!("sheet {number}: {stock}, {runs}, {stack}");
    if let Some(like) = like {
        return format!("{head}: cut like sheet {like}\n");
    }
    if list.cuts.is_empty() {
        return format!("{head}: nothing to cut\n");
    }
    let fence = list.fence_settings();
    let mut text = format!(
        "{head}; the fence is set {}, {}\n",
        times(fence),
        counted(list.strokes(), "stroke")
    );
    let mut fence_at = None;
    for cut in &list.cuts {
        text += &words.cut(cut, fence_at);
        if let Guide::Fence { width, .. } = &cut.guide {
            fence_at = Some(*width);
        }
    }
    text
}

/// What the lines about one sheet are made from.
#[derive(Clone, Copy)]
struct Words<'a> {
    project: &'a Project,
    sheet: &'a Sheet,
    list: &'a CutList,
}

impl<'a> Words<'a> {
    fn cut(self, cut: &Cut, fence_at: Option<Length>) -> String {
        let number = format!("cut {}:", cut.number);
        let mut line = format!(
            "    {number:8} {}; {}{}",
            self.guide(cut, fence_at),
            self.parts(cut),
            stack(cut)
        );
        line += &self.leaves(cut);
        for caution in &cut.cautions {
            line += &format!("\n             {}", self.caution(*caution));
        }
        line + "\n"
    }

    /// By what the cut is made.
    fn guide(self, cut: &Cut, fence_at: Option<Length>) -> String {
        match &cut.guide {
            Guide::Fence { width, from } => {
                let set = if fence_at == Some(*width) {
                    "same fence,".to_owned()
                } else {
                    format!("fence {}", self.show(*width))
                };
                let edges: Vec<_> = cut.splits.iter().map(|split| split.edge).collect();
                let is_all = |kind| edges.iter().all(|edge| *edge == Some(kind));
                let sort = if is_all(EdgeKind::Paper) {
                    "paper "
                } else if is_all(EdgeKind::Fresh) {
                    "fresh "
                } else {
                    ""
                };
                format!("{set} from the {} {sort}edge", self.edge(*from))
            }
            Guide::Ticks(ids) => self.ticks(cut, ids),
            Guide::Print => format!(
                "along the {} of the printed pieces",
                self.edge(self.outer_edge(cut))
            ),
        }
    }

    /// `on the printed ticks at the top and bottom, 3/8 in from the left paper edge`.
    fn ticks(self, cut: &Cut, ids: &[String]) -> String {
        let part = self.part(cut).area;
        let ends: Vec<&str> = ids
            .iter()
            .filter_map(|id| self.sheet.ticks.iter().find(|tick| tick.id == *id))
            .map(|tick| match cut.axis {
                Axis::X if tick.from.y < part.center().y => self.edge(Edge::Top),
                Axis::X => self.edge(Edge::Bottom),
                Axis::Y if tick.from.x < part.center().x => self.edge(Edge::Left),
                Axis::Y => self.edge(Edge::Right),
            })
            .collect();
        let noun = if ends.len() == 1 { "tick" } else { "ticks" };
        let outer = self.outer_edge(cut);
        let at_mm = cut.splits[0].at_mm;
        let far_mm = match outer {
            Edge::Left => at_mm - part.x0,
            Edge::Right => part.x1 - at_mm,
            Edge::Top => at_mm - part.y0,
            Edge::Bottom => part.y1 - at_mm,
        };
        format!(
            "on the printed {noun} at the {}, about {} from the {} paper edge",
            ends.join(" and "),
            self.show(Length::nearest_mm(far_mm)),
            self.edge(outer)
        )
    }

    /// The edge of the part that a cut by eye trims off.
    fn outer_edge(self, cut: &Cut) -> Edge {
        let is_first_waste = self.list.parts[cut.splits[0].leaves[0]].holds == Holds::Waste;
        match (cut.axis, is_first_waste) {
            (Axis::X, true) => Edge::Left,
            (Axis::X, false) => Edge::Right,
            (Axis::Y, true) => Edge::Top,
            (Axis::Y, false) => Edge::Bottom,
        }
    }

    /// What is cut: `the sheet`, `4 in x 11 in`, `4 parts of 2 in x 11 in`.
    fn parts(self, cut: &Cut) -> String {
        match cut.splits.len() {
            1 if cut.splits[0].part == 0 => "the sheet".to_owned(),
            1 => format!("the part of {}", self.size(self.part(cut).area)),
            n => format!("{n} parts of {}", self.size(self.part(cut).area)),
        }
    }

    fn part(self, cut: &Cut) -> &'a Part {
        &self.list.parts[cut.splits[0].part]
    }

    /// What one stroke leaves to be cut further, and what is done.
    fn leaves(self, cut: &Cut) -> String {
        let leaves = cut.splits[0].leaves.map(|leaf| &self.list.parts[leaf]);
        let rest: Vec<String> = leaves
            .iter()
            .filter(|part| part.holds == Holds::More)
            .map(|part| self.size(part.area))
            .collect();
        let pieces = leaves.iter().filter_map(|part| match part.holds {
            Holds::Piece(index) => Some(self.sheet.placements[index].piece),
            Holds::More | Holds::Waste => None,
        });
        let mut counts: Vec<(usize, u32)> = Vec::new();
        for piece in pieces {
            match counts.iter_mut().find(|(known, _)| *known == piece) {
                Some((_, count)) => *count += cut.together,
                None => counts.push((piece, cut.together)),
            }
        }
        let mut off: Vec<String> = counts
            .iter()
            .map(|(piece, count)| format!("{count} x {}", self.project.pieces[*piece].id))
            .collect();
        let waste = leaves.iter().filter(|part| part.holds == Holds::Waste);
        off.extend(waste.map(|part| format!("waste {}", self.size(part.area))));
        let mut text = String::new();
        if !rest.is_empty() {
            text += &format!("; leaves {}", rest.join(" and "));
        }
        if !off.is_empty() {
            text += &format!("; falls off: {}", off.join(", "));
        }
        text
    }

    fn caution(self, caution: Caution) -> String {
        match caution {
            Caution::HeldNarrow => format!(
                "less than {} is held: keep it down with a strip of card under the clamp, not with your fingers",
                self.show(self.project.trimmer.least_held)
            ),
            Caution::BeyondReach => format!(
                "longer than the trimmer's {}: use a knife along a metal rule",
                self.show(self.project.trimmer.reach.length())
            ),
            Caution::OffScale { nearest } => format!(
                "between two lines of the scale, {} is nearest: set it by a ruler",
                self.show(nearest)
            ),
        }
    }

    fn size(self, area: Rect) -> String {
        let show = |mm| self.show(Length::nearest_mm(mm));
        let (width, height) = (show(area.width()), show(area.height()));
        // One unit is enough.
        let number = width
            .rsplit_once(' ')
            .map_or(width.as_str(), |(number, _)| number);
        format!("{number} x {height}")
    }

    fn show(self, length: Length) -> String {
        length.display(self.project.job.lengths)
    }

    /// The name of an edge as the face that lies up shows it: the printed one.
    fn edge(self, edge: Edge) -> &'static str {
        let is_back_up = self.sheet.front.is_none() && self.sheet.back.is_some();
        match (edge, is_back_up, self.project.job.turn_over) {
            (Edge::Left, false, _)
            | (Edge::Left, true, TurnOver::TopBottom)
            | (Edge::Right, true, TurnOver::LeftRight) => "left",
            (Edge::Right, false, _)
            | (Edge::Right, true, TurnOver::TopBottom)
            | (Edge::Left, true, TurnOver::LeftRight) => "right",
            (Edge::Top, false, _)
            | (Edge::Top, true, TurnOver::LeftRight)
            | (Edge::Bottom, true, TurnOver::TopBottom) => "top",
            (Edge::Bottom, false, _)
            | (Edge::Bottom, true, TurnOver::LeftRight)
            | (Edge::Top, true, TurnOver::TopBottom) => "bottom",
        }
    }
}

/// How many are cut in one stroke and how often: nothing to say of a single stroke on a single part.
fn stack(cut: &Cut) -> String {
    let how = match (&cut.guide, cut.together) {
        (Guide::Ticks(_) | Guide::Print, _) => "sheet by sheet".to_owned(),
        (Guide::Fence { .. }, 1) => "one by one".to_owned(),
        (Guide::Fence { .. }, together) => format!("stack of {together}"),
    };
    match (cut.together, cut.times) {
        (1, 1) => String::new(),
        (_, 1) => format!(", {how}"),
        (_, n) => format!(", {how}, {n} times"),
    }
}

/// `once`, `2 times`.
fn times(number: u32) -> String {
    match number {
        1 => "once".to_owned(),
        n => format!("{n} times"),
    }
}
