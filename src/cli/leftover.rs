//! `leftover`: which pieces come out of one leftover.

use serde_json::{Value, json};

use super::check::{self, Opened};
use super::options::{Format, LeftoverVerb};
use super::progress::Progress;
use super::report;
use super::{DONE, WRONG};
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::job::{self, FileSet, FromLeftover, Leftover, OnePiece, WholeCopies};
use crate::length::{Size, parse_pair};
use crate::plan::PlanOptions;
use crate::project::{Axis, Project};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &LeftoverVerb, format: Format) -> u8 {
    match answer(options, format) {
        Ok(code) | Err(code) => code,
    }
}

fn answer(options: &LeftoverVerb, format: Format) -> Result<u8, u8> {
    let asked = asked(options).map_err(|d| report::fail(d, format))?;
    let opened = check::open_unproved(&options.project, format)?;
    let found = find(options, asked, &opened, format)?;
    let written = match &options.out {
        Some(folder) => {
            let pictures = job::leftover_pictures(&found);
            let is_ours = |name: &str| name.starts_with("leftover-");
            files::write_folder_of(folder, &pictures, is_ours)
                .map_err(|d| report::fail(d, format))?;
            pictures
        }
        None => FileSet::new(),
    };
    let project = &opened.project.value;
    match format {
        Format::Json => {
            report::result(&report::pretty(&to_json(
                project, &found, &written, &opened,
            )));
        }
        Format::Text => {
            report::show(&opened.project.warnings, &opened.sources, format);
            report::result(&text(project, &found, &written));
        }
    }
    let is_any = found.pieces.iter().any(|piece| piece.count > 0);
    Ok(if is_any { DONE } else { WRONG })
}

/// Tries every piece; shows what is wrong and returns the exit code.
fn find(
    options: &LeftoverVerb,
    asked: Leftover<'_>,
    opened: &Opened,
    format: Format,
) -> Result<FromLeftover, u8> {
    let progress = Progress::start();
    progress.step("trying the leftover");
    let found = job::leftover(
        &opened.project.value,
        asked,
        &PlanOptions {
            threads: options.work.threads(),
            effort: options.work.effort(),
            watch: &progress,
        },
    );
    progress.finish();
    found.map_err(|mistakes| {
        report::show(&mistakes, &opened.sources, format);
        WRONG
    })
}

fn asked(options: &LeftoverVerb) -> Result<Leftover<'_>, Diagnostic> {
    if let Some(id) = &options.from {
        return Ok(Leftover::OnHand(id));
    }
    let (width, height) = size(options.size.as_deref().unwrap_or_default())?;
    Ok(Leftover::Rectangle {
        width,
        height,
        of: options.stock.as_deref(),
    })
}

fn size(text: &str) -> Result<(Size, Size), Diagnostic> {
    let wrong = |message: &str, hint: &str| {
        Diagnostic::error("leftover.size", format!("--size: {message}")).hint(hint)
    };
    let (width, height) = parse_pair(text, None).map_err(|e| wrong(&e.message(), &e.hint()))?;
    let sides = Size::new(width).zip(Size::new(height));
    sides.ok_or_else(|| {
        wrong(
            "a leftover has a width and a height",
            "write --size \"5 x 7 in\"",
        )
    })
}

fn text(project: &Project, found: &FromLeftover, written: &FileSet) -> String {
    let mut text = heading(project, found);
    for piece in &found.pieces {
        text += &piece_text(project, piece);
    }
    if let Some(copies) = &found.copies {
        text += &copies_text(project, copies);
    }
    if !written.is_empty() {
        let names: Vec<&str> = written.keys().map(String::as_str).collect();
        text += &format!("written: {}\n", names.join(", "));
    }
    text
}

/// `out of 5 in x 7 in of Oat card, fibres from top to bottom:`.
fn heading(project: &Project, found: &FromLeftover) -> String {
    let shown = |size: Size| size.length().display(project.job.lengths);
    let leftover = &found.leftover;
    let grain = match leftover.grain {
        Some(Axis::X) => ", fibres from left to right",
        Some(Axis::Y) => ", fibres from top to bottom",
        None => "",
    };
    let edge = match leftover.outline {
        Some(_) => ", no rectangle",
        None => "",
    };
    format!(
        "out of {} x {} of {}{edge}{grain}, each by itself:\n",
        shown(leftover.width),
        shown(leftover.height),
        project.stocks[found.of].name
    )
}

fn piece_text(project: &Project, piece: &OnePiece) -> String {
    let id = &project.pieces[piece.piece].id;
    match &piece.reason {
        Some(reason) => format!("    {id}: none; {reason}\n"),
        None => format!("    {id}: {}\n", piece.count),
    }
}

/// `whole copies: 2, with 2 x tag and 4 x mat; besides 1 x mat`.
fn copies_text(project: &Project, found: &WholeCopies) -> String {
    let list = |pieces: &[(usize, u32)]| {
        let words = pieces
            .iter()
            .map(|(piece, n)| format!("{n} x {}", project.pieces[*piece].id));
        words.collect::<Vec<_>>().join(", ")
    };
    let edition = match project.editions[found.edition].name.as_str() {
        "" => String::new(),
        name => format!(" of {name}"),
    };
    if found.copies == 0 {
        return match &found.pieces[..] {
            [] => format!("whole copies{edition}: none\n"),
            pieces => format!(
                "whole copies{edition}: none; of one copy {}\n",
                list(pieces)
            ),
        };
    }
    let (own, besides) = parted(project, found);
    let besides = match &besides[..] {
        [] => String::new(),
        more => format!("; besides {}", list(more)),
    };
    format!(
        "whole copies{edition}: {}, with {}{besides}\n",
        found.copies,
        list(&own)
    )
}

/// Positions of pieces, and how many of each.
type Counts = Vec<(usize, u32)>;

/// Pieces that belong to the copies, and those that lie there besides.
fn parted(project: &Project, found: &WholeCopies) -> (Counts, Counts) {
    let needed = |piece: usize| found.copies * project.pieces[piece].per_copy;
    let own = found
        .pieces
        .iter()
        .map(|(piece, n)| (*piece, needed(*piece).min(*n)));
    let more = found.pieces.iter().filter_map(|(piece, n)| {
        let more = n.saturating_sub(needed(*piece));
        (more > 0).then_some((*piece, more))
    });
    (own.collect(), more.collect())
}

fn to_json(project: &Project, found: &FromLeftover, written: &FileSet, opened: &Opened) -> Value {
    let id = |piece: usize| project.pieces[piece].id.as_str();
    let pieces = found.pieces.iter().map(
        |piece| json!({ "piece": id(piece.piece), "count": piece.count, "reason": piece.reason }),
    );
    let copies = found.copies.as_ref().map(|copies| {
        let pieces = copies.pieces.iter();
        json!({
            "edition": project.editions[copies.edition].id,
            "copies": copies.copies,
            "pieces": pieces.map(|(piece, n)| json!({ "piece": id(*piece), "count": n })).collect::<Vec<_>>(),
        })
    });
    json!({
        "leftover": {
            "id": found.leftover.id,
            "of": project.stocks[found.of].id,
            "width_mm": found.leftover.width.to_mm(),
            "height_mm": found.leftover.height.to_mm(),
            "is_rectangle": found.leftover.outline.is_none(),
        },
        "pieces": pieces.collect::<Vec<_>>(),
        "whole_copies": copies,
        "files": written.keys().collect::<Vec<_>>(),
        "diagnostics": report::to_json(&opened.project.warnings, &opened.sources),
    })
}
