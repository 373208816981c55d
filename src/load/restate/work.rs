//! What changes, and the edits that make it so.

use super::axis_map::AxisMap;
use super::units::{nearest, nearest_size};
use super::{Choice, Target};
use crate::length::{Length, Parted};
use crate::load::retyped::{Named, Retyped};
use crate::project::{Axis, Piece, Project};

/// The work done so far.
#[derive(Debug)]
pub(super) struct Work<'c> {
    pub(super) target: Target,
    choice: &'c Choice,
    project: &'c Project,
    pub(super) retyped: Retyped,
    pub(super) ways: Choice,
}

/// Where the places of a piece go.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    /// Along x and along y.
    pub(super) maps: [AxisMap; 2],
}

impl Frame {
    pub(super) fn map(&self, axis: Axis) -> &AxisMap {
        match axis {
            Axis::X => &self.maps[0],
            Axis::Y => &self.maps[1],
        }
    }
}

impl<'c> Work<'c> {
    pub(super) fn new(target: Target, choice: &'c Choice, project: &'c Project) -> Self {
        Self {
            target,
            choice,
            project,
            retyped: Retyped::default(),
            ways: Choice::new(),
        }
    }

    /// Takes one of several ways to put a piece's places on the ruler.
    pub(super) fn frame(&mut self, piece: &Piece, x: &[Length], y: &[Length]) -> Frame {
        let most = most(self.project, piece);
        let ways = |knots: &[Length], most| AxisMap::choices(knots, self.target.grid, most);
        let all = [ways(x, most[0]), ways(y, most[1])];
        let taken = self.choice.get(&piece.id).copied().unwrap_or_default();
        self.ways
            .insert(piece.id.clone(), [all[0].len(), all[1].len()]);
        let take = |axis: usize| all[axis][taken[axis].min(all[axis].len() - 1)].clone();
        Frame {
            maps: [take(0), take(1)],
        }
    }

    /// Puts the sizes that a key holds on the ruler, each for itself.
    pub(super) fn size(&mut self, table: &Named<'_>, key: &str) {
        let step = self.target.grid;
        self.each(table, key, Parted::ByTimes, |_, length| {
            nearest_size(length, step)
        });
    }

    /// Puts a distance given as a point on the ruler.
    pub(super) fn point(&mut self, table: &Named<'_>, key: &str) {
        let step = self.target.grid;
        self.each(table, key, Parted::ByComma, |_, length| {
            nearest(length, step)
        });
    }

    /// Takes the nearest easy number, for what need not lie on the ruler with the rest.
    pub(super) fn easy(&mut self, table: &Named<'_>, key: &str) {
        let units = self.target.units;
        self.each(table, key, Parted::ByTimes, |_, length| units.easy(length));
    }

    /// Moves a place on a piece.
    pub(super) fn place(&mut self, table: &Named<'_>, key: &str, axes: &[Axis], frame: &Frame) {
        let parted = if axes.len() == 1 {
            Parted::ByTimes
        } else {
            Parted::ByComma
        };
        self.each(table, key, parted, |i, length| {
            axes.get(i)
                .map_or(length, |axis| frame.map(*axis).place(length))
        });
    }

    /// Gives the lengths that a key holds, as one text or as a list of texts, new values.
    pub(super) fn each(
        &mut self,
        table: &Named<'_>,
        key: &str,
        parted: Parted,
        mut change: impl FnMut(usize, Length) -> Length,
    ) {
        let units = self.target.units;
        if let Some(old) = table.node.text(key) {
            if let Some(new) = units.respelled(old, parted, |i, typed| change(i, typed.length)) {
                self.retyped.set(table, key, old, &new);
            }
        } else if let Some(old) = table.node.texts(key) {
            let new: Vec<_> = old
                .iter()
                .enumerate()
                .map(|(i, text)| {
                    units
                        .respelled(text, parted, |_, typed| change(i, typed.length))
                        .unwrap_or_else(|| (*text).to_owned())
                })
                .collect();
            if old != new {
                self.retyped.set_list(table, key, &old, &new);
            }
        }
    }
}

/// How wide and high a piece may get, so that a sheet of its paper takes as many side by side and as many one below the other as before, the
/// way round that takes more; `None` where it never fitted.
fn most(project: &Project, piece: &Piece) -> [Option<Length>; 2] {
    let bounds = piece.outline.bounds();
    let sides = [bounds.width(), bounds.height()].map(Length::nearest_mm);
    if sides.iter().any(|side| *side <= Length::ZERO) {
        return [None, None];
    }
    let stock = &project.stocks[piece.stock];
    let (width, height) = (stock.width.length(), stock.height.length());
    let count = |paper: Length, side: Length| paper.nm() / side.nm();
    let ways = [[width, height], [height, width]];
    let counts = ways.map(|paper| [count(paper[0], sides[0]), count(paper[1], sides[1])]);
    let better = usize::from(counts[1][0] * counts[1][1] > counts[0][0] * counts[0][1]);
    let (paper, counts) = (ways[better], counts[better]);
    [0, 1].map(|axis| {
        let count = counts[axis];
        (counts[0] * counts[1] > 0).then(|| Length::from_nm(paper[axis].nm() / count.max(1)))
    })
}
