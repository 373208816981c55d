//! Changes at any place of a project file, as a form makes them: comments, spelling and order of all else stay.
//!
//! [`change`] is handed places by somebody who may be wrong about them, and says so; [`edit`](super::edit()) makes changes of what was read.

use std::fmt;

use toml_edit::{
    Array, ArrayOfTables, Datetime, DocumentMut, InlineTable, Item, Table, TableLike, Value,
};

use super::Step;

/// A value that is given.
#[derive(Debug, Clone, PartialEq)]
pub enum Given {
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Whole(i64),
    /// Another number.
    Real(f64),
    /// Text, quoted as needed.
    Text(String),
    /// Several values.
    List(Vec<Self>),
    /// Values by key, in this order.
    Table(Vec<(String, Self)>),
}

/// One change. Changes are made one after the other: positions are those after the changes before.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Gives what lies at the end of these steps another value; keys on the way are made where they are missing.
    Set {
        /// From the outermost table down.
        steps: Vec<Step>,
        /// Its new value.
        value: Given,
    },
    /// Takes a key or an item of a list out, with the comments right above it; what is not there is out already.
    Remove {
        /// From the outermost table down.
        steps: Vec<Step>,
    },
    /// Puts a value at the end of a list, which is made if need be.
    Add {
        /// From the outermost table down to the list.
        steps: Vec<Step>,
        /// What is added.
        value: Given,
    },
    /// Moves an item of a list to another position in it.
    Move {
        /// From the outermost table down to the item.
        steps: Vec<Step>,
        /// Its new position from 0.
        to: usize,
    },
}

impl Change {
    /// Where it leads, from the outermost table down.
    fn steps(&self) -> &[Step] {
        let (Self::Set { steps, .. }
        | Self::Remove { steps }
        | Self::Add { steps, .. }
        | Self::Move { steps, .. }) = self;
        steps
    }
}

/// Why a change cannot be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChangeError {
    /// Occurs if the text is no TOML; what its reader says.
    NotToml(String),
    /// Occurs if a change leads to no place; the place as it is written to people.
    NoSuchPlace(String),
}

impl fmt::Display for ChangeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotToml(reason) => write!(f, "the file is no TOML: {reason}"),
            Self::NoSuchPlace(place) => write!(f, "there is no {place} in the file"),
        }
    }
}

impl std::error::Error for ChangeError {}

/// Returns the text with all changes made.
///
/// # Errors
///
/// If the text is no TOML, or a change leads to a place that is not there; nothing is changed then.
///
/// # Examples
///
/// ```
/// use sheetwright::load::{Change, Given, Step, change};
///
/// let text = "[[piece]]\nid = \"lid\"\nshape = { kind = \"rectangle\", width = \"2 in\" }  # as the tin\n";
/// let steps = vec![Step::Key("piece".into()), Step::Item(0), Step::Key("shape".into()), Step::Key("width".into())];
/// let wider = Change::Set { steps, value: Given::Text("3 in".into()) };
/// assert_eq!(change(text, &[wider]).unwrap(), text.replace("2 in", "3 in"));
/// ```
pub fn change(text: &str, changes: &[Change]) -> Result<String, ChangeError> {
    let parsed: Result<DocumentMut, _> = text.parse();
    let mut document = parsed.map_err(|e| ChangeError::NotToml(e.message().to_owned()))?;
    for change in changes {
        make(document.as_table_mut(), change)
            .ok_or_else(|| ChangeError::NoSuchPlace(told(change.steps())))?;
    }
    Ok(document.to_string())
}

/// `piece[2].shape.width`, positions from 1.
fn told(steps: &[Step]) -> String {
    let mut text = String::new();
    for step in steps {
        match step {
            Step::Key(key) if text.is_empty() => text.push_str(key),
            Step::Key(key) => text += &format!(".{key}"),
            Step::Item(position) => text += &format!("[{}]", position + 1),
        }
    }
    text
}

/// Something that holds values.
enum Holder<'a> {
    /// A table; whether it has lines of its own rather than being written in one, and whether it is the outermost one.
    Table(&'a mut dyn TableLike, Written),
    /// Tables under headers in double brackets.
    Tables(&'a mut ArrayOfTables),
    /// A list in brackets.
    List(&'a mut Array),
}

/// How a table is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Written {
    /// It is the file.
    Outermost,
    /// Under a header.
    Long,
    /// In braces.
    Inline,
}

fn in_item(item: &mut Item) -> Option<Holder<'_>> {
    match item {
        Item::Table(table) => Some(Holder::Table(table, Written::Long)),
        Item::ArrayOfTables(tables) => Some(Holder::Tables(tables)),
        Item::Value(value) => in_value(value),
        Item::None => None,
    }
}

fn in_value(value: &mut Value) -> Option<Holder<'_>> {
    if value.is_array() {
        return value.as_array_mut().map(Holder::List);
    }
    let table = value.as_inline_table_mut()?;
    Some(Holder::Table(table, Written::Inline))
}

/// One step down. A key that is missing becomes a table if another key follows and `makes`.
fn down<'a>(holder: Holder<'a>, step: &Step, next: &Step, makes: bool) -> Option<Holder<'a>> {
    match (holder, step) {
        (Holder::Table(table, written), Step::Key(key)) => {
            if makes && !table.contains_key(key) && matches!(next, Step::Key(_)) {
                let made = match written {
                    Written::Outermost => Item::Table(Table::new()),
                    Written::Long | Written::Inline => {
                        Item::Value(Value::InlineTable(InlineTable::new()))
                    }
                };
                table.insert(key, made);
            }
            in_item(table.get_mut(key)?)
        }
        (Holder::Tables(tables), Step::Item(position)) => {
            let table = tables.get_mut(*position)?;
            Some(Holder::Table(table, Written::Long))
        }
        (Holder::List(list), Step::Item(position)) => in_value(list.get_mut(*position)?),
        (Holder::Table(..), Step::Item(_))
        | (Holder::Tables(_) | Holder::List(_), Step::Key(_)) => None,
    }
}

/// Makes one change; `None` if its steps lead nowhere.
pub(super) fn make(root: &mut Table, change: &Change) -> Option<()> {
    let steps = change.steps();
    let makes = match change {
        Change::Set { .. } | Change::Add { .. } => true,
        Change::Remove { .. } | Change::Move { .. } => false,
    };
    let mut holder = Holder::Table(root, Written::Outermost);
    let (last, before) = steps.split_last()?;
    for (i, step) in before.iter().enumerate() {
        match down(holder, step, &steps[i + 1], makes) {
            Some(below) => holder = below,
            // What stands in nothing is out already.
            None if matches!(change, Change::Remove { .. }) => return Some(()),
            None => return None,
        }
    }
    match change {
        Change::Set { value, .. } => set(holder, last, value),
        Change::Remove { .. } => {
            remove(holder, last);
            Some(())
        }
        Change::Add { value, .. } => add(holder, last, value),
        Change::Move { to, .. } => shift(holder, last, *to),
    }
}

fn set(holder: Holder<'_>, last: &Step, value: &Given) -> Option<()> {
    match (holder, last) {
        (Holder::Table(table, written), Step::Key(key)) => {
            if let Some(Item::Value(old)) = table.get_mut(key) {
                replace(old, value);
                return Some(());
            }
            table.remove(key);
            table.insert(key, to_item(value, written));
            Some(())
        }
        (Holder::List(list), Step::Item(position)) => {
            replace(list.get_mut(*position)?, value);
            Some(())
        }
        (Holder::Tables(tables), Step::Item(position)) => {
            let old = tables.get_mut(*position)?;
            let mut new = to_table(value)?;
            *new.decor_mut() = old.decor().clone();
            new.set_position(old.position());
            *old = new;
            Some(())
        }
        (Holder::Table(..), Step::Item(_))
        | (Holder::Tables(_) | Holder::List(_), Step::Key(_)) => None,
    }
}

/// Keeps what stands around the old value; a day stays a day.
fn replace(old: &mut Value, value: &Given) {
    let day = match (&old, value) {
        (Value::Datetime(_), Given::Text(text)) => text.parse::<Datetime>().ok(),
        _ => None,
    };
    let mut new = day.map_or_else(|| to_value(value), Value::from);
    *new.decor_mut() = old.decor().clone();
    *old = new;
}

fn remove(holder: Holder<'_>, last: &Step) {
    match (holder, last) {
        (Holder::Table(table, _), Step::Key(key)) => drop(table.remove(key)),
        (Holder::Tables(tables), Step::Item(position)) if *position < tables.len() => {
            tables.remove(*position);
        }
        (Holder::List(list), Step::Item(position)) if *position < list.len() => {
            list.remove(*position);
        }
        (Holder::Table(..) | Holder::Tables(_) | Holder::List(_), _) => {}
    }
}

fn add(holder: Holder<'_>, last: &Step, value: &Given) -> Option<()> {
    let list = match (holder, last) {
        (Holder::Table(table, written), Step::Key(key)) => {
            if !table.contains_key(key) {
                let first = Given::List(vec![value.clone()]);
                table.insert(key, to_item(&first, written));
                return Some(());
            }
            in_item(table.get_mut(key)?)?
        }
        (Holder::List(list), Step::Item(position)) => in_value(list.get_mut(*position)?)?,
        (Holder::Table(..) | Holder::Tables(_) | Holder::List(_), _) => return None,
    };
    match list {
        Holder::Tables(tables) => tables.push(to_table(value)?),
        Holder::List(list) => push(list, to_value(value)),
        Holder::Table(..) => return None,
    }
    Some(())
}

/// Puts a value at the end of a list, on a line of its own if the last one is.
fn push(list: &mut Array, mut value: Value) {
    let before = list.iter().last().map(|last| last.decor().clone());
    let prefix = before.and_then(|decor| Some(decor.prefix()?.as_str()?.to_owned()));
    match prefix.filter(|prefix| prefix.contains('\n')) {
        Some(prefix) => {
            let line = prefix.rsplit('\n').next().unwrap_or_default();
            value.decor_mut().set_prefix(format!("\n{line}"));
            list.push_formatted(value);
        }
        None => list.push(value),
    }
}

fn shift(holder: Holder<'_>, last: &Step, to: usize) -> Option<()> {
    let Step::Item(from) = last else { return None };
    match holder {
        Holder::Tables(tables) if (*from).max(to) < tables.len() => {
            let first = tables.iter().filter_map(Table::position).min();
            let moved = tables.get(*from)?.clone();
            tables.remove(*from);
            tables.insert(to, moved);
            tables.iter_mut().for_each(|table| place(table, first));
            Some(())
        }
        Holder::List(list) if (*from).max(to) < list.len() => {
            let decors: Vec<_> = list.iter().map(|v| v.decor().clone()).collect();
            let moved = list.remove(*from);
            list.insert_formatted(to, moved);
            for (value, decor) in list.iter_mut().zip(decors) {
                *value.decor_mut() = decor;
            }
            Some(())
        }
        Holder::Table(..) | Holder::Tables(_) | Holder::List(_) => None,
    }
}

/// Gives a table and all below it one place in the file, so that they stand in their own order there.
fn place(table: &mut Table, at: Option<isize>) {
    table.set_position(at);
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => place(inner, at),
            Item::ArrayOfTables(inner) => inner.iter_mut().for_each(|table| place(table, at)),
            Item::Value(_) | Item::None => {}
        }
    }
}

fn to_value(given: &Given) -> Value {
    match given {
        Given::Flag(flag) => Value::from(*flag),
        Given::Whole(number) => Value::from(*number),
        Given::Real(number) => Value::from(*number),
        Given::Text(text) => Value::from(text.as_str()),
        Given::List(items) => {
            let mut list = Array::new();
            items.iter().for_each(|item| list.push(to_value(item)));
            Value::Array(list)
        }
        Given::Table(entries) => {
            let mut table = InlineTable::new();
            table.extend(entries.iter().map(|(key, value)| (key, to_value(value))));
            Value::InlineTable(table)
        }
    }
}

/// A value as it stands in a table that is written in some way: lists of tables get headers where they can.
fn to_item(given: &Given, written: Written) -> Item {
    match given {
        Given::List(items) if written != Written::Inline && !items.is_empty() => {
            let tables: Option<Vec<Table>> = items.iter().map(to_table).collect();
            match tables {
                Some(tables) => Item::ArrayOfTables(tables.into_iter().collect()),
                None => Item::Value(to_value(given)),
            }
        }
        Given::Table(_) if written == Written::Outermost => {
            to_table(given).map_or(Item::None, Item::Table)
        }
        Given::Flag(_)
        | Given::Whole(_)
        | Given::Real(_)
        | Given::Text(_)
        | Given::List(_)
        | Given::Table(_) => Item::Value(to_value(given)),
    }
}

fn to_table(given: &Given) -> Option<Table> {
    let Given::Table(entries) = given else {
        return None;
    };
    let mut table = Table::new();
    for (key, value) in entries {
        table.insert(key, to_item(value, Written::Long));
    }
    Some(table)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = r#"# Tins.
sheetwright = 1

[job]
name = "Tins"   # for people
date = 2027-04-17

# The pale one.
[[stock]]
id = "oat"

# Lid.
[[piece]]
id = "lid"
shape = { kind = "rectangle", width = "2 in" }  # as the tin

# Base, with a strip.
[[piece]]
id = "base"
shape.kind = "strip"
shape.panels = [
    "3/8 in",   # tab
    "2 in",
]
[[piece.artwork]]
colour = "green"
"#;

    fn at(path: &str) -> Vec<Step> {
        let step = |name: &str| match name.parse() {
            Ok(position) => Step::Item(position),
            Err(_) => Step::Key(name.to_owned()),
        };
        path.split(' ').map(step).collect()
    }

    fn text(text: &str) -> Given {
        Given::Text(text.to_owned())
    }

    fn set(path: &str, value: Given) -> Change {
        Change::Set {
            steps: at(path),
            value,
        }
    }

    fn changed(changes: &[Change]) -> String {
        change(FILE, changes).unwrap()
    }

    #[test]
    fn values_are_set_in_braces_dotted_keys_and_lists_and_all_else_stays() {
        let edits = [
            set("piece 0 shape width", text("3 in")),
            set("piece 1 shape kind", text("rectangle")),
            set("piece 1 shape panels 0", text("1/2 in")),
            set("job name", text("Boxes")),
            set("job date", text("2027-05-01")),
            set("piece 1 artwork 0 colour", text("#ffffff")),
        ];
        let want = FILE
            .replace("width = \"2 in\"", "width = \"3 in\"")
            .replace("\"strip\"", "\"rectangle\"")
            .replace("3/8", "1/2")
            .replace("\"Tins\"", "\"Boxes\"")
            .replace("2027-04-17", "2027-05-01")
            .replace("green", "#ffffff");
        assert_eq!(changed(&edits), want);
    }

    #[test]
    fn new_keys_stand_where_their_table_does() {
        let edits = [
            set("piece 0 shape height", text("1 in")),
            set("piece 1 shape across", text("4 in")),
            set("piece 0 nicks count", Given::Whole(2)),
            set("job spares", Given::Whole(3)),
            set("lesson level", text("easy")),
        ];
        let want = FILE
            .replace(
                "width = \"2 in\" }",
                "width = \"2 in\", height = \"1 in\" }",
            )
            .replace(
                "    \"2 in\",\n]\n",
                "    \"2 in\",\n]\nshape.across = \"4 in\"\n",
            )
            .replace("# as the tin\n", "# as the tin\nnicks = { count = 2 }\n")
            .replace("2027-04-17\n", "2027-04-17\nspares = 3\n")
            + "\n[lesson]\nlevel = \"easy\"\n";
        let got = changed(&edits);
        let read: toml::Table = got.parse().unwrap();
        assert_eq!(read, want.parse::<toml::Table>().unwrap());
        for line in want.lines().filter(|line| line.contains('#')) {
            assert!(
                got.contains(line.split('#').nth(1).unwrap()),
                "{line}\n{got}"
            );
        }
    }

    #[test]
    fn pieces_are_added_removed_and_moved_with_their_comments() {
        let plate = Given::Table(vec![
            ("id".to_owned(), text("plate")),
            (
                "artwork".to_owned(),
                Given::List(vec![Given::Table(vec![("colour".to_owned(), text("red"))])]),
            ),
        ]);
        let added = changed(&[Change::Add {
            steps: at("piece"),
            value: plate,
        }]);
        let tail = "\n[[piece]]\nid = \"plate\"\n\n[[piece.artwork]]\ncolour = \"red\"\n";
        assert_eq!(added, format!("{FILE}{tail}"));

        let removed = changed(&[Change::Remove {
            steps: at("piece 0"),
        }]);
        let (before, rest) = FILE.split_once("\n# Lid.").unwrap();
        let (lid, base) = rest.split_once("\n# Base").unwrap();
        assert_eq!(removed, format!("{before}\n# Base{base}"));

        let moved = changed(&[Change::Move {
            steps: at("piece 1"),
            to: 0,
        }]);
        assert_eq!(moved, format!("{before}\n# Base{base}\n# Lid.{lid}"));
    }

    #[test]
    fn items_of_a_list_go_by_position_and_new_ones_get_a_line_if_the_others_have_one() {
        let list = "piece 1 shape panels";
        let added = changed(&[Change::Add {
            steps: at(list),
            value: text("1 in"),
        }]);
        assert_eq!(
            added,
            FILE.replace("    \"2 in\",\n", "    \"2 in\",\n    \"1 in\",\n")
        );
        let gone = changed(&[Change::Remove {
            steps: at("piece 1 shape panels 1"),
        }]);
        assert!(!gone.contains("    \"2 in\""), "{gone}");
        let art = Change::Add {
            steps: at("piece 0 artwork"),
            value: Given::Table(vec![("colour".to_owned(), text("red"))]),
        };
        let read: toml::Table = changed(&[art]).parse().unwrap();
        assert_eq!(
            read["piece"][0]["artwork"][0]["colour"].as_str(),
            Some("red")
        );
    }

    #[test]
    fn a_place_that_is_not_there_is_told_and_nothing_is_changed() {
        let wrong = set("piece 4 shape width", text("3 in"));
        let error = change(FILE, &[wrong]).unwrap_err();
        assert_eq!(
            error.to_string(),
            "there is no piece[5].shape.width in the file"
        );
        for path in ["0 a", "job 0", "piece id", "sheetwright deep"] {
            assert!(change(FILE, &[set(path, text("a"))]).is_err(), "{path}");
        }
        let gone = Change::Remove {
            steps: at("piece 7 shape width"),
        };
        assert_eq!(changed(&[gone]), FILE);
        assert!(matches!(
            change("[job", &[]).unwrap_err(),
            ChangeError::NotToml(_)
        ));
    }
}
