//! Whether a list has a row for each copy that takes one.

use super::code;
use super::mistakes::Mistakes;
use crate::diagnostic::{Diagnostic, Origin};
use crate::project::{ArtworkFill, Listed, Project};

/// Refuses lists with fewer rows than there are copies to take them, and warns of rows that no copy takes.
pub(super) fn refuse(project: &Project, mistakes: &Mistakes<'_>) {
    let own = project.pieces.iter().enumerate().flat_map(|(piece, p)| {
        let artwork = p.artwork.iter().enumerate();
        artwork.map(move |(number, artwork)| (piece, number, artwork))
    });
    let swaps = project.editions.iter().flat_map(|edition| {
        let swaps = edition.artwork_swaps.iter();
        swaps.map(|swap| (swap.piece, swap.artwork, &swap.instead))
    });
    let mut told: Vec<(usize, usize, &str)> = Vec::new();
    for (piece, number, artwork) in own.chain(swaps) {
        let ArtworkFill::Each(listed) = &artwork.fill else {
            continue;
        };
        let takers = project.takers(piece, number, &listed.list);
        let own = (piece, number, listed.list.as_str());
        if takers > 0 && !told.contains(&own) {
            told.push(own);
            let id = &project.pieces[piece].id;
            refuse_count(listed, (id, takers), &artwork.origin, mistakes);
        }
    }
}

fn refuse_count(listed: &Listed, (id, takers): (&str, u32), at: &Origin, mistakes: &Mistakes<'_>) {
    let rows = u32::try_from(listed.rows.len()).unwrap_or(u32::MAX);
    let list = &listed.list;
    let is_or_are = |count: u32| {
        if count == 1 {
            "copy takes"
        } else {
            "copies take"
        }
    };
    if rows < takers {
        let message = format!(
            "\"{list}\" has {rows} rows, and {takers} {} one each for \"{id}\"",
            is_or_are(takers)
        );
        let hint = format!(
            "write copies = {rows} and spares = {}, which are left without these words, or add rows",
            takers - rows
        );
        mistakes.fail::<()>(code::WORDS_ROWS, at, message, hint);
    } else if rows > takers {
        let first = usize::try_from(takers)
            .ok()
            .and_then(|n| listed.rows.get(n));
        let message = format!(
            "\"{list}\" has {rows} rows, and only {takers} {} one each for \"{id}\": nothing is made from line {} on",
            is_or_are(takers),
            first.map_or(0, |row| row.line)
        );
        let warning = Diagnostic::warning(code::WORDS_ROWS, message).at(at);
        mistakes.push(warning.hint(format!("write copies = {rows} for one of each")));
    }
}
