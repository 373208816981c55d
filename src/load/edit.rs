//! Changes to a file of the user, which keep its comments, its spelling and its order.

use toml_edit::{DocumentMut, Item, Value};

use super::change::{self, Change, Given};

/// One step down into a file: into a table by key, or into a list by position from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// The value of a key.
    Key(String),
    /// An item of a list.
    Item(usize),
}

/// One change. Lists are named by their key, tables in them by their position from 0 in the file as it was read.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Gives a key of a table in a list another value, or adds it.
    Set {
        /// Key of the list.
        list: &'static str,
        /// Position of the table.
        position: usize,
        /// The key in it.
        key: &'static str,
        /// Its new value.
        value: Given,
    },
    /// Gives what lies at the end of these steps another value; the last key of a table that is there may be new.
    SetAt {
        /// From the outermost table down.
        steps: Vec<Step>,
        /// Its new value.
        value: Given,
    },
    /// Takes a table out of a list, with the comments right above it.
    Remove {
        /// Key of the list.
        list: &'static str,
        /// Position of the table.
        position: usize,
    },
    /// Adds a table at the end of a list, which is made if need be.
    Append {
        /// Key of the list.
        list: &'static str,
        /// What is in the table.
        entries: Vec<(&'static str, Given)>,
    },
    /// Gives a key of the outermost table another value, or adds it.
    SetRoot {
        /// The key.
        key: &'static str,
        /// Its new value, spelled in TOML on one line.
        toml: String,
    },
    /// Takes a table of the outermost table out, with all that is in it, and puts a text at the file's end.
    Replace {
        /// Key of the table.
        table: &'static str,
        /// The new table in TOML, from its header on.
        text: String,
    },
}

/// Returns the text with all changes made.
///
/// # Panics
///
/// Panics if the text is no TOML or has no such table: its reader, such as [`paper_list`](super::paper_list), has read it before.
///
/// # Examples
///
/// ```
/// use sheetwright::load::{Edit, Given, edit};
///
/// let text = "[[stock]]\nid = \"oat\"\nsheets = 40   # in the drawer\n";
/// let change = Edit::Set { list: "stock", position: 0, key: "sheets", value: Given::Whole(33) };
/// assert_eq!(edit(text, &[change]), "[[stock]]\nid = \"oat\"\nsheets = 33   # in the drawer\n");
/// ```
#[must_use]
pub fn edit(text: &str, edits: &[Edit]) -> String {
    let mut document: DocumentMut = text.parse().expect("the file was read before");
    let mut removals = Vec::new();
    let mut added = String::new();
    for edit in edits {
        match edit {
            Edit::Set {
                list,
                position,
                key: name,
                value,
            } => make(
                &mut document,
                &Change::Set {
                    steps: vec![key(list), Step::Item(*position), key(name)],
                    value: value.clone(),
                },
            ),
            Edit::SetAt { steps, value } => make(
                &mut document,
                &Change::Set {
                    steps: steps.clone(),
                    value: value.clone(),
                },
            ),
            Edit::Remove { list, position } => removals.push((*list, *position)),
            Edit::Append { list, entries } => {
                let entries = entries.iter().cloned();
                let entries = entries.map(|(key, value)| (key.to_owned(), value));
                make(
                    &mut document,
                    &Change::Add {
                        steps: vec![key(list)],
                        value: Given::Table(entries.collect()),
                    },
                );
            }
            Edit::SetRoot { key, toml } => set_root(&mut document, key, toml),
            Edit::Replace { table, text } => {
                document.remove(table);
                added += &format!("\n{text}");
            }
        }
    }
    // From the end, so that positions before stay what they were.
    removals.sort_unstable_by(|a, b| b.cmp(a));
    for (list, position) in removals {
        let steps = vec![key(list), Step::Item(position)];
        make(&mut document, &Change::Remove { steps });
    }
    let mut text = document.to_string();
    if !added.is_empty() && !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    text + &added
}

/// Keeps the comment behind the old value; a value that was a table of its own moves up to the other keys.
fn set_root(document: &mut DocumentMut, key: &str, toml: &str) {
    let mut new: Value = toml.parse().expect("the value is spelled in TOML");
    match document.get(key) {
        Some(Item::Value(old)) => *new.decor_mut() = old.decor().clone(),
        Some(Item::Table(_) | Item::ArrayOfTables(_) | Item::None) | None => {
            document.remove(key);
            new.decor_mut().set_prefix(" ");
        }
    }
    document.insert(key, Item::Value(new));
}

/// Returns a text as TOML has it, in quotes.
///
/// ```
/// use sheetwright::load::toml_text;
///
/// assert_eq!(toml_text("2 1/4 in"), "\"2 1/4 in\"");
/// ```
#[must_use]
pub fn toml_text(text: &str) -> String {
    Value::from(text).to_string()
}

/// Makes a change of what the reader found there.
fn make(document: &mut DocumentMut, change: &Change) {
    change::make(document.as_table_mut(), change).expect("the file was read before");
}

fn key(name: &str) -> Step {
    Step::Key(name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIST: &str = r#"# What lies in the plan chest.
sheetwright_paper = 1

# Bought in spring.
[[stock]]
id = 'oat'      # the pale one
format = "letter"
sheets = 40     # counted

# Torn at one corner.
[[offcut]]
id = "oat-1"
of = "oat"
size = "8 1/2 x 4 in"

# From the herb packets.
[[offcut]]
id = "oat-2"
of = "oat"
size = "4 x 4 in"
"#;

    fn used_up(position: usize) -> Edit {
        Edit::Remove {
            list: "offcut",
            position,
        }
    }

    #[test]
    fn all_else_stays_as_it_was_typed() {
        let counted = Edit::Set {
            list: "stock",
            position: 0,
            key: "sheets",
            value: Given::Whole(3),
        };
        assert_eq!(
            edit(LIST, &[counted]),
            LIST.replace("sheets = 40     # counted", "sheets = 3     # counted")
        );
        assert_eq!(edit(LIST, &[]), LIST);
    }

    #[test]
    fn a_comment_above_a_changed_key_stays() {
        let text = "[[offcut]]\n# Torn at one corner.\nsize = \"4 x 4 in\" # by the window\n";
        let change = Edit::Set {
            list: "offcut",
            position: 0,
            key: "size",
            value: Given::Text("4 x 3 in".into()),
        };
        assert_eq!(edit(text, &[change]), text.replace("4 x 4", "4 x 3"));
    }

    #[test]
    fn tables_go_by_the_positions_they_were_read_at() {
        let (kept, _) = LIST.split_once("\n# Torn").unwrap();
        assert_eq!(edit(LIST, &[used_up(0), used_up(1)]), kept);
        let (_, second) = LIST.split_once("\n# From").unwrap();
        assert_eq!(edit(LIST, &[used_up(0)]), format!("{kept}\n# From{second}"));
    }

    #[test]
    fn values_deep_in_a_file_are_set_where_they_stand() {
        let text = r#"
[[piece]]
shape = { kind = "strip", across = "2 in" } # lies
[[piece]]
[piece.shape]
panels = [
    "3/8 in",   # tab
    "2 in",
]
data = """
M 0 0
H 4 Z"""  # one box
"#;
        let steps = |last: &[Step]| {
            let key = |key: &str| Step::Key(key.to_owned());
            let first = [key("piece"), Step::Item(1), key("shape")];
            [&first, last].concat()
        };
        let at = |steps: Vec<Step>, value: &str| Edit::SetAt {
            steps,
            value: Given::Text(value.to_owned()),
        };
        let key = |key: &str| Step::Key(key.to_owned());
        let edits = [
            at(
                vec![key("piece"), Step::Item(0), key("shape"), key("across")],
                "3 in",
            ),
            at(steps(&[key("panels"), Step::Item(0)]), "1/2 in"),
            at(steps(&[key("data")]), "M 0 0\nH 8 Z"),
        ];
        let want = text
            .replace("across = \"2 in\"", "across = \"3 in\"")
            .replace("\"3/8 in\"", "\"1/2 in\"")
            .replace("H 4", "H 8");
        assert_eq!(edit(text, &edits), want);
    }

    #[test]
    fn new_tables_stand_at_the_end_of_their_list() {
        let gained = Edit::Append {
            list: "offcut",
            entries: vec![
                ("id", Given::Text("oat-3".into())),
                ("sheets", Given::Whole(2)),
            ],
        };
        let booked = Edit::Append {
            list: "booked",
            entries: vec![("job", Given::Text("Say \"peas\"".into()))],
        };
        assert_eq!(
            edit(LIST, &[booked, gained]),
            format!(
                "{LIST}\n[[offcut]]\nid = \"oat-3\"\nsheets = 2\n\n[[booked]]\njob = 'Say \"peas\"'\n"
            )
        );
    }

    #[test]
    fn lists_in_one_line_are_changed_as_well() {
        let text = "stock = [{ id = \"oat\", sheets = 4 }, { id = \"moss\" }]\n";
        let edits = [
            Edit::Set {
                list: "stock",
                position: 0,
                key: "sheets",
                value: Given::Whole(3),
            },
            Edit::Remove {
                list: "stock",
                position: 1,
            },
            Edit::Append {
                list: "stock",
                entries: vec![("id", Given::Text("sage".into()))],
            },
        ];
        assert_eq!(
            edit(text, &edits),
            "stock = [{ id = \"oat\", sheets = 3 }, { id = \"sage\" }]\n"
        );
    }
    #[test]
    fn a_table_is_replaced_whole_and_the_rest_stays() {
        let text = "# Attic.\nname = 'Attic printer'  # upstairs\nmargins = \"1/4 in\"  # guessed\n\n# Old.\n[calibration]\ndate = 2025-01-01\n[calibration.front]\nturn = 1\n\n# Mine.\n[other]\nkey = 1\n";
        let edits = [
            Edit::SetRoot {
                key: "margins",
                toml: "{ top = \"5 mm\" }".into(),
            },
            Edit::Replace {
                table: "calibration",
                text: "[calibration]\ndate = 2026-01-01\n".into(),
            },
        ];
        assert_eq!(
            edit(text, &edits),
            "# Attic.\nname = 'Attic printer'  # upstairs\nmargins = { top = \"5 mm\" }  # guessed\n\n# Mine.\n[other]\nkey = 1\n\n[calibration]\ndate = 2026-01-01\n"
        );
    }

    #[test]
    fn a_value_that_was_a_table_moves_up_to_the_other_keys() {
        let text = "name = \"Attic printer\"\n[margins]\ntop = \"1 in\"\n";
        let margins = Edit::SetRoot {
            key: "margins",
            toml: "\"5 mm\"".into(),
        };
        assert_eq!(
            edit(text, &[margins]),
            "name = \"Attic printer\"\nmargins = \"5 mm\"\n"
        );
    }
}
