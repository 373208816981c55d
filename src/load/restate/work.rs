//! What changes, and the edits that make it so.

use super::axis_map::AxisMap;
use super::units::{nearest, nearest_size};
use super::{Choice, Target};
use crate::length::{Length, Parted};
use crate::load::retyped::{Named, Retyped};
use crate::project::Axis;

/// The work done so far.
#[derive(Debug)]
pub(super) struct Work<'c> {
    pub(super) target: Target,
    choice: &'c Choice,
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
    pub(super) fn new(target: Target, choice: &'c Choice) -> Self {
        Self {
            target,
            choice,
            retyped: Retyped::default(),
            ways: Choice::new(),
        }
    }

    /// Takes one of several ways to put a piece's places on the ruler.
    pub(super) fn frame(&mut self, piece: &str, x: &[Length], y: &[Length]) -> Frame {
        let all = [x, y].map(|knots| AxisMap::choices(knots, self.target.grid));
        let taken = self.choice.get(piece).copied().unwrap_or_default();
        self.ways
            .insert(piece.to_owned(), [all[0].len(), all[1].len()]);
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
