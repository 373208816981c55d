//! Tables of the file, and the way to them.

use toml::de::{DeTable, DeValue};

use crate::load::edit::Step;

/// A table and where it stands.
#[derive(Debug, Clone)]
pub(in crate::load) struct Node<'t> {
    steps: Vec<Step>,
    table: &'t DeTable<'t>,
}

impl<'t> Node<'t> {
    /// The outermost table.
    pub(in crate::load) fn root(table: &'t DeTable<'t>) -> Self {
        Self {
            steps: Vec::new(),
            table,
        }
    }

    /// The way to a key of the table.
    pub(in crate::load) fn steps_to(&self, key: &str) -> Vec<Step> {
        let mut steps = self.steps.clone();
        steps.push(Step::Key(key.to_owned()));
        steps
    }

    fn value(&self, key: &str) -> Option<&'t DeValue<'t>> {
        let mut entries = self.table.iter();
        let entry = entries.find(|(name, _)| name.get_ref() == key);
        entry.map(|(_, value)| value.get_ref())
    }

    /// A text of the table.
    pub(in crate::load) fn text(&self, key: &str) -> Option<&'t str> {
        self.value(key).and_then(text_of)
    }

    /// A list of texts.
    pub(in crate::load) fn texts(&self, key: &str) -> Option<Vec<&'t str>> {
        let DeValue::Array(items) = self.value(key)? else {
            return None;
        };
        items.iter().map(|item| text_of(item.get_ref())).collect()
    }

    /// A table in the table.
    pub(in crate::load) fn node(&self, key: &str) -> Option<Self> {
        let DeValue::Table(table) = self.value(key)? else {
            return None;
        };
        Some(Self {
            steps: self.steps_to(key),
            table,
        })
    }

    /// The tables of a list in the table.
    pub(in crate::load) fn nodes(&self, key: &str) -> Vec<Self> {
        let Some(DeValue::Array(items)) = self.value(key) else {
            return Vec::new();
        };
        let node = |(position, item): (usize, &'t toml::Spanned<DeValue<'t>>)| {
            let DeValue::Table(table) = item.get_ref() else {
                return None;
            };
            let mut steps = self.steps_to(key);
            steps.push(Step::Item(position));
            Some(Self { steps, table })
        };
        items.iter().enumerate().filter_map(node).collect()
    }
}

fn text_of<'t>(value: &'t DeValue<'t>) -> Option<&'t str> {
    match value {
        DeValue::String(text) => Some(text.as_ref()),
        DeValue::Integer(_)
        | DeValue::Float(_)
        | DeValue::Boolean(_)
        | DeValue::Datetime(_)
        | DeValue::Array(_)
        | DeValue::Table(_) => None,
    }
}
