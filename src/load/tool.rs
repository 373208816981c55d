//! The `[[tool]]` tables.

use super::code;
use super::ids::Ids;
use super::table::Table;
use super::value::Value;
use crate::diagnostic::Origin;
use crate::length::Size;
use crate::project::{Tool, ToolKind};

#[derive(Debug, Clone, Copy)]
enum Kind {
    ScoringBoard,
    Embosser,
    Punch,
    Die,
}

const KINDS: &[(&str, Kind)] = &[
    ("scoring board", Kind::ScoringBoard),
    ("embosser", Kind::Embosser),
    ("punch", Kind::Punch),
    ("die", Kind::Die),
];

/// The tools as far as they could be read, with their ids.
#[derive(Debug)]
pub(super) struct Tools {
    pub(super) ids: Ids,
    pub(super) all: Vec<Option<Tool>>,
}

impl Tools {
    /// Reads all tools; `None` where one has a mistake.
    pub(super) fn read(tables: &[Table<'_>]) -> Self {
        let ids = Ids::gather("tool", tables);
        let read = |(i, table)| read(table, ids.get(i));
        let all = tables.iter().enumerate().map(read).collect();
        Self { ids, all }
    }

    /// Reads the id of a tool that must be of one of some kinds, and returns its position.
    pub(super) fn find(&self, value: &Value<'_>, kinds: &[&str]) -> Option<usize> {
        let position = self.ids.find(value)?;
        let tool = self.all[position].as_ref()?;
        if kinds.contains(&tool.kind.name()) {
            return Some(position);
        }
        let message = format!(
            "tool \"{}\" is {}, and {} is wanted here",
            tool.id,
            with_article(tool.kind.name()),
            kinds
                .iter()
                .map(|k| with_article(k))
                .collect::<Vec<_>>()
                .join(" or ")
        );
        let hint = match self.of_kinds(kinds).as_slice() {
            [] => format!("add a [[tool]] with kind = \"{}\"", kinds[0]),
            fit => format!("write {}", fit.join(" or ")),
        };
        value.fail(code::TOOL_KIND, message, hint)
    }

    fn of_kinds(&self, kinds: &[&str]) -> Vec<String> {
        let fits = |tool: &&Tool| kinds.contains(&tool.kind.name());
        let quoted = |tool: &Tool| format!("\"{}\"", tool.id);
        self.all.iter().flatten().filter(fits).map(quoted).collect()
    }
}

fn with_article(kind: &str) -> String {
    let article = if kind.starts_with('e') { "an" } else { "a" };
    format!("{article} {kind}")
}

fn read(table: &Table<'_>, id: String) -> Option<Tool> {
    let name = table
        .optional("name", Value::words)
        .unwrap_or_else(|| id.clone());
    let kind = table.required("kind", "kind = \"punch\"", |v| v.choice(KINDS));
    let kind = match kind {
        Some(Kind::ScoringBoard) => scoring_board(table),
        Some(Kind::Embosser) => embosser(table),
        Some(Kind::Punch) => punch(table),
        Some(Kind::Die) => die(table),
        None => {
            table.know(&["reach", "pitch", "size", "press_width"]);
            None
        }
    };
    table.close();
    Some(Tool {
        id,
        name,
        kind: kind?,
        origin: table.origin(),
    })
}

fn scoring_board(table: &Table<'_>) -> Option<ToolKind> {
    let reach = table.required("reach", "reach = \"12 in\"", Value::size);
    let pitch = table.required("pitch", "pitch = \"1/8 in\"", Value::size);
    let (reach, pitch) = (reach?, pitch?);
    refuse_coarse(table, reach, pitch, &table.origin_of("pitch"))?;
    Some(ToolKind::ScoringBoard { reach, pitch })
}

/// The last groove is one of the grooves.
fn refuse_coarse(table: &Table<'_>, reach: Size, pitch: Size, origin: &Origin) -> Option<()> {
    if pitch <= reach {
        return Some(());
    }
    let show = |size: Size| table.mistakes().show(size.length());
    let message = format!(
        "the first groove is {} from the fence, beyond the last at {}",
        show(pitch),
        show(reach)
    );
    let hint = "pitch is from one groove to the next, reach from the fence to the last one";
    table
        .mistakes()
        .fail(code::TOOL_BOARD, origin, message, hint)
}

fn embosser(table: &Table<'_>) -> Option<ToolKind> {
    let (across, deep) = table.required("size", "size = \"5 x 7 in\"", Value::pair)?;
    Some(ToolKind::Embosser { across, deep })
}

fn punch(table: &Table<'_>) -> Option<ToolKind> {
    let reach = table.required("reach", "reach = \"1 1/4 in\"", Value::size)?;
    Some(ToolKind::Punch { reach })
}

fn die(table: &Table<'_>) -> Option<ToolKind> {
    let press_width = table.required("press_width", "press_width = \"6 in\"", Value::size)?;
    Some(ToolKind::Die { press_width })
}
