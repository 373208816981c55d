//! What changes, and the edits that make it so.

use super::axis_map::AxisMap;
use super::units::{nearest, nearest_size};
use super::{Choice, Target};
use crate::length::{Length, Parted};
use crate::load::edit::{Edit, EditValue, Step};
use crate::load::scale::SizeChange;
use crate::load::scale::node::Node;
use crate::project::Axis;

/// The work done so far.
#[derive(Debug)]
pub(super) struct Work<'c> {
    pub(super) target: Target,
    choice: &'c Choice,
    pub(super) edits: Vec<Edit>,
    pub(super) changes: Vec<SizeChange>,
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

/// A table of something with an id.
#[derive(Debug, Clone)]
pub(super) struct Owned<'t> {
    pub(super) node: Node<'t>,
    /// Id of the piece, part or supply.
    pub(super) of: String,
    /// What stands before keys, such as `shape.`.
    pub(super) before: String,
}

impl<'t> Owned<'t> {
    pub(super) fn new(node: Node<'t>) -> Self {
        Self {
            of: node.text("id").unwrap_or_default().to_owned(),
            node,
            before: String::new(),
        }
    }

    /// A table in the table.
    pub(super) fn inner(&self, key: &str) -> Option<Self> {
        Some(self.below(self.node.node(key)?, &format!("{key}.")))
    }

    /// The tables of a list in the table, counted from 1 for people.
    pub(super) fn list(&self, key: &str) -> Vec<Self> {
        (1..)
            .zip(self.node.nodes(key))
            .map(|(number, node)| self.below(node, &format!("{key}[{number}].")))
            .collect()
    }

    fn below(&self, node: Node<'t>, step: &str) -> Self {
        Self {
            node,
            of: self.of.clone(),
            before: self.before.clone() + step,
        }
    }
}

impl<'c> Work<'c> {
    pub(super) fn new(target: Target, choice: &'c Choice) -> Self {
        Self {
            target,
            choice,
            edits: Vec::new(),
            changes: Vec::new(),
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
    pub(super) fn size(&mut self, table: &Owned<'_>, key: &str) {
        let step = self.target.grid;
        self.each(table, key, Parted::ByTimes, |_, length| {
            nearest_size(length, step)
        });
    }

    /// Puts a distance given as a point on the ruler.
    pub(super) fn point(&mut self, table: &Owned<'_>, key: &str) {
        let step = self.target.grid;
        self.each(table, key, Parted::ByComma, |_, length| {
            nearest(length, step)
        });
    }

    /// Takes the nearest easy number, for what need not lie on the ruler with the rest.
    pub(super) fn easy(&mut self, table: &Owned<'_>, key: &str) {
        let units = self.target.units;
        self.each(table, key, Parted::ByTimes, |_, length| units.easy(length));
    }

    /// Moves a place on a piece.
    pub(super) fn place(&mut self, table: &Owned<'_>, key: &str, axes: &[Axis], frame: &Frame) {
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
        table: &Owned<'_>,
        key: &str,
        parted: Parted,
        mut change: impl FnMut(usize, Length) -> Length,
    ) {
        let units = self.target.units;
        if let Some(old) = table.node.text(key) {
            if let Some(new) = units.respelled(old, parted, |i, typed| change(i, typed.length)) {
                self.set(table, key, old, &new);
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
            self.set_list(table, key, &old, &new);
        }
    }

    /// Gives a key a new value.
    pub(super) fn set(&mut self, table: &Owned<'_>, key: &str, old: &str, new: &str) {
        self.write(table.node.steps_to(key), new);
        self.tell(table, key, old, new);
    }

    fn set_list(&mut self, table: &Owned<'_>, key: &str, old: &[&str], new: &[String]) {
        if old == new {
            return;
        }
        for (position, new) in new.iter().enumerate() {
            let mut steps = table.node.steps_to(key);
            steps.push(Step::Item(position));
            self.write(steps, new);
        }
        self.tell(table, key, &old.join(", "), &new.join(", "));
    }

    /// Writes a value without a word.
    pub(super) fn write(&mut self, steps: Vec<Step>, new: &str) {
        self.edits.push(Edit::SetAt {
            steps,
            value: EditValue::Text(new.to_owned()),
        });
    }

    /// Tells of a change.
    pub(super) fn tell(&mut self, table: &Owned<'_>, key: &str, old: &str, new: &str) {
        self.changes.push(SizeChange {
            of: table.of.clone(),
            key: table.before.clone() + key,
            old: old.to_owned(),
            new: new.to_owned(),
        });
    }
}
