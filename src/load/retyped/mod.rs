//! Values of a file typed anew: the edits that do it, and what is told of them.
//!
//! What `scale` and `restate` share: [`Node`] walks the file, [`Named`] says how a value is called to people, [`Retyped`] gathers.

mod node;

use super::change::Given;
use super::edit::{Edit, Step};
pub(super) use node::Node;

/// A size that was changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SizeChange {
    /// Id of the piece, part or edition.
    pub of: String,
    /// Which size: the key, below that of the piece or part.
    pub key: String,
    /// What it was, as typed; of path data the size of its box.
    pub old: String,
    /// What it is now.
    pub new: String,
}

/// A table, and how its sizes are named to people.
#[derive(Debug, Clone)]
pub(in crate::load) struct Named<'t> {
    pub(in crate::load) node: Node<'t>,
    /// Id of the piece or part.
    pub(in crate::load) of: String,
    /// What stands before keys, such as `shape.`.
    pub(in crate::load) before: String,
}

impl<'t> Named<'t> {
    pub(in crate::load) fn new(node: Node<'t>, of: &str) -> Self {
        Self {
            node,
            of: of.to_owned(),
            before: String::new(),
        }
    }

    /// A table in the table.
    pub(in crate::load) fn inner(&self, key: &str) -> Option<Self> {
        let node = self.node.node(key)?;
        Some(self.below(node, &format!("{key}.")))
    }

    /// The tables of a list in the table, counted from 1 for people.
    pub(in crate::load) fn list(&self, key: &str) -> Vec<Self> {
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

    pub(in crate::load) fn name(&self, key: &str) -> String {
        self.before.clone() + key
    }
}

/// Returns a table with the id it has.
pub(in crate::load) fn named(node: Node<'_>) -> Named<'_> {
    let id = node.text("id").unwrap_or_default().to_owned();
    Named::new(node, &id)
}

/// The values typed anew so far.
#[derive(Debug, Default)]
pub(in crate::load) struct Retyped {
    pub(in crate::load) edits: Vec<Edit>,
    pub(in crate::load) changes: Vec<SizeChange>,
}

impl Retyped {
    /// Gives a key a new value.
    pub(in crate::load) fn set(&mut self, table: &Named<'_>, key: &str, old: &str, new: &str) {
        self.write(table.node.steps_to(key), new);
        self.tell(table, key, old, new);
    }

    /// Gives every item of a list a new value.
    pub(in crate::load) fn set_list(
        &mut self,
        table: &Named<'_>,
        key: &str,
        old: &[&str],
        new: &[String],
    ) {
        for (position, new) in new.iter().enumerate() {
            let mut steps = table.node.steps_to(key);
            steps.push(Step::Item(position));
            self.write(steps, new);
        }
        self.tell(table, key, &old.join(", "), &new.join(", "));
    }

    /// Writes a value without a word.
    pub(in crate::load) fn write(&mut self, steps: Vec<Step>, new: &str) {
        self.edits.push(Edit::SetAt {
            steps,
            value: Given::Text(new.to_owned()),
        });
    }

    /// Tells of a change.
    pub(in crate::load) fn tell(&mut self, table: &Named<'_>, key: &str, old: &str, new: &str) {
        self.changes.push(SizeChange {
            of: table.of.clone(),
            key: table.name(key),
            old: old.to_owned(),
            new: new.to_owned(),
        });
    }
}
