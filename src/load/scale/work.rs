//! What changes, what stays, and the edits that make it so.

use super::ruler::{Least, scaled};
use super::{Factor, Rounding, Stays};
use crate::length::{Parted, respelled};
use crate::load::retyped::{Named, Retyped};

/// The work done so far.
#[derive(Debug)]
pub(super) struct Work {
    pub(super) by: Factor,
    pub(super) rounding: Rounding,
    pub(super) retyped: Retyped,
    pub(super) stays: Vec<Stays>,
    /// Folded pieces drawn as one outline.
    pub(super) whole: Vec<String>,
}

impl Work {
    pub(super) fn new(by: Factor, rounding: Rounding) -> Self {
        Self {
            by,
            rounding,
            retyped: Retyped::default(),
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
                self.retyped.set(table, key, old, &new);
            }
        } else if let Some(old) = table.node.texts(key) {
            let new: Option<Vec<_>> = old.iter().map(|text| new(text)).collect();
            if let Some(new) = new {
                self.retyped.set_list(table, key, &old, &new);
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
            self.retyped.set(table, key, old, &new);
        }
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
