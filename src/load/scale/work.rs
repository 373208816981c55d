//! What changes, what stays, and the edits that make it so.

use super::node::Node;
use super::ruler::{Least, scaled};
use super::{Factor, Rounding, SizeChange, Stays};
use crate::length::{Parted, respelled};
use crate::load::edit::{Edit, EditValue, Step};

/// The work done so far.
#[derive(Debug)]
pub(super) struct Work {
    pub(super) by: Factor,
    pub(super) rounding: Rounding,
    pub(super) edits: Vec<Edit>,
    pub(super) changes: Vec<SizeChange>,
    pub(super) stays: Vec<Stays>,
    /// Folded pieces drawn as one outline.
    pub(super) whole: Vec<String>,
}

/// A table, and how its sizes are named to people.
#[derive(Debug, Clone)]
pub(super) struct Named<'t> {
    pub(super) node: Node<'t>,
    /// Id of the piece or part.
    pub(super) of: String,
    /// What stands before keys, such as `shape.`.
    pub(super) before: String,
}

impl<'t> Named<'t> {
    pub(super) fn new(node: Node<'t>, of: &str) -> Self {
        Self {
            node,
            of: of.to_owned(),
            before: String::new(),
        }
    }

    /// A table in the table.
    pub(super) fn inner(&self, key: &str) -> Option<Self> {
        let node = self.node.node(key)?;
        Some(self.below(node, &format!("{key}.")))
    }

    /// The tables of a list in the table, counted from 1 for people.
    pub(super) fn list(&self, key: &str) -> Vec<Self> {
        let nodes = self.node.nodes(key).into_iter();
        let named = (1..).zip(nodes);
        named
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

    fn name(&self, key: &str) -> String {
        self.before.clone() + key
    }
}

impl Work {
    pub(super) fn new(by: Factor, rounding: Rounding) -> Self {
        Self {
            by,
            rounding,
            edits: Vec::new(),
            changes: Vec::new(),
            stays: Vec::new(),
            whole: Vec::new(),
        }
    }

    /// Scales the length, size or list of them that a key holds, if it is there.
    pub(super) fn grow(&mut self, table: &Named<'_>, key: &str) {
        let (by, rounding) = (self.by, self.rounding);
        let new = |text: &str| {
            respelled(text, Parted::ByTimes, |typed| {
                scaled(typed, by, rounding, Least::OneStep)
            })
        };
        if let Some(old) = table.node.text(key) {
            if let Some(new) = new(old) {
                self.set(table, key, old, &new);
            }
        } else if let Some(old) = table.node.texts(key) {
            let new: Option<Vec<_>> = old.iter().map(|text| new(text)).collect();
            if let Some(new) = new {
                self.set_list(table, key, &old, &new);
            }
        }
    }

    /// Scales a distance given as a point, from a place that moves along.
    pub(super) fn grow_point(&mut self, table: &Named<'_>, key: &str) {
        let (by, rounding) = (self.by, self.rounding);
        let Some(old) = table.node.text(key) else {
            return;
        };
        let new = respelled(old, Parted::ByComma, |typed| {
            scaled(typed, by, rounding, Least::Nothing)
        });
        if let Some(new) = new {
            self.set(table, key, old, &new);
        }
    }

    /// Gives a key a new value.
    pub(super) fn set(&mut self, table: &Named<'_>, key: &str, old: &str, new: &str) {
        self.write(table.node.steps_to(key), new);
        self.tell(table, key, old, new);
    }

    /// Gives every item of a list a new value.
    pub(super) fn set_list(&mut self, table: &Named<'_>, key: &str, old: &[&str], new: &[String]) {
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
    pub(super) fn tell(&mut self, table: &Named<'_>, key: &str, old: &str, new: &str) {
        self.changes.push(SizeChange {
            of: table.of.clone(),
            key: table.name(key),
            old: old.to_owned(),
            new: new.to_owned(),
        });
    }

    /// Tells of a size that does not grow, if it is there.
    pub(super) fn keep(&mut self, table: &Named<'_>, key: &str, why: &'static str) {
        let sides = ["top", "right", "bottom", "left"];
        let value = match (table.node.text(key), table.node.node(key)) {
            (Some(text), _) => text.to_owned(),
            (None, Some(node)) => {
                let each = sides.iter().filter_map(|side| node.text(side));
                each.collect::<Vec<_>>().join(", ")
            }
            (None, None) => match table.node.texts(key) {
                Some(texts) => texts.join(", "),
                None => return,
            },
        };
        self.keep_value(table, key, Some(value), why);
    }

    /// Tells of a size that does not grow.
    pub(super) fn keep_value(
        &mut self,
        table: &Named<'_>,
        key: &str,
        value: Option<String>,
        why: &'static str,
    ) {
        self.stays.push(Stays {
            of: table.of.clone(),
            key: table.name(key),
            value,
            why,
        });
    }
}
