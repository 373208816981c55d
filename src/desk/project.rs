//! Calls about the project on the desk: what it is, changes of it, and the disk.

use serde::Deserialize;
use serde_json::json;

use super::answer::{Answer, Asked, Outcome, Refused};
use super::document::{self, AskedChange};
use super::open::{Open, SaveError};
use super::{Desk, state};
use crate::load;

/// The revision that a call goes by.
#[derive(Debug, Deserialize)]
pub(super) struct Based {
    pub(super) base: u64,
}

/// The state of the project as an answer.
pub(super) fn told(open: &Open) -> Outcome {
    Ok(Answer::Json(state::to_json(open)))
}

/// Refuses a call that goes by an older revision.
pub(super) fn refuse_stale(open: &Open, base: u64) -> Result<(), Refused> {
    if base == open.revision() {
        Ok(())
    } else {
        Err(Refused::stale(&state::to_json(open)))
    }
}

pub(super) fn state(desk: &Desk, _: &Asked) -> Outcome {
    told(&desk.open())
}

/// What is asked every second: whether something moved, and how far work is.
pub(super) fn pulse(desk: &Desk, _: &Asked) -> Outcome {
    let open = desk.open();
    Ok(Answer::Json(json!({
        "revision": open.revision(),
        "on_disk": open.on_disk().name(),
        "work": desk.work.running(),
    })))
}

#[derive(Debug, Deserialize)]
struct ChangeAsked {
    base: u64,
    #[serde(default)]
    words: String,
    edits: Vec<AskedChange>,
}

pub(super) fn change(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: ChangeAsked = asked.json()?;
    let mut open = desk.open();
    refuse_stale(&open, wish.base)?;
    let changes = document::changes(wish.edits).map_err(Refused::wrong)?;
    let text = open.text().ok_or_else(nothing_open)?;
    let changed = load::change(text, &changes).map_err(|e| Refused::wrong(e.to_string()))?;
    open.step(words(&wish.words, "the last change"), changed);
    told(&open)
}

fn words<'a>(words: &'a str, usual: &'a str) -> &'a str {
    if words.is_empty() { usual } else { words }
}

/// There is no project that could be changed.
pub(super) fn nothing_open() -> Refused {
    Refused::wrong("no project is open")
}

#[derive(Debug, Deserialize)]
struct TextAsked {
    base: u64,
    text: String,
}

pub(super) fn text(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: TextAsked = asked.json()?;
    let mut open = desk.open();
    refuse_stale(&open, wish.base)?;
    if open.text().is_none() {
        open.begin(wish.text, super::at_hand::Held::new());
    } else {
        open.step("the change of the text", wish.text);
    }
    told(&open)
}

pub(super) fn undo(desk: &Desk, asked: &Asked) -> Outcome {
    moved(desk, asked, Open::undo)
}

pub(super) fn redo(desk: &Desk, asked: &Asked) -> Outcome {
    moved(desk, asked, Open::redo)
}

pub(super) fn close(desk: &Desk, asked: &Asked) -> Outcome {
    desk.work.clear();
    moved(desk, asked, Open::close)
}

fn moved(desk: &Desk, asked: &Asked, by: fn(&mut Open)) -> Outcome {
    let wish: Based = asked.json()?;
    let mut open = desk.open();
    refuse_stale(&open, wish.base)?;
    by(&mut open);
    told(&open)
}

#[derive(Debug, Deserialize)]
struct SaveAsked {
    base: u64,
    file: Option<String>,
    #[serde(default)]
    over_disk: bool,
}

pub(super) fn save(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: SaveAsked = asked.json()?;
    let mut open = desk.open();
    refuse_stale(&open, wish.base)?;
    match open.save(wish.file.as_deref(), wish.over_disk) {
        Ok(()) => told(&open),
        Err(SaveError::Refused(problem)) => Err(Refused::wrong(problem)),
        Err(SaveError::Other(problem)) => {
            let on_disk = open.on_disk().name();
            let state = state::to_json(&open);
            Err(Refused::other_on_disk(&problem, on_disk, &state))
        }
    }
}

pub(super) fn reread(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: Based = asked.json()?;
    let mut open = desk.open();
    refuse_stale(&open, wish.base)?;
    open.reread().map_err(Refused::wrong)?;
    told(&open)
}
