//! Pins as changes of the project file.

use std::collections::BTreeSet;

use crate::length::Length;
use crate::load::{Change, Given, Step};
use crate::plan;
use crate::project::{Pin, Project};

/// The paper that a copy of a piece is cut from.
pub(super) fn own_stock(project: &Project, piece: usize, copy: u32) -> usize {
    let edition = plan::edition_of(project, copy).map_or(0, |(edition, _)| edition);
    project.stock_of(edition, piece)
}

fn key(name: &str) -> Step {
    Step::Key(name.to_owned())
}

/// The changes that write a pin: of the one that the piece has, or a new one. The others stay on sheets counted without gaps.
pub(super) fn pinned(project: &Project, pin: &Pin) -> Vec<Change> {
    let is_same = |p: &Pin| (p.piece, p.copy, p.part) == (pin.piece, pin.copy, pin.part);
    let mut pins = project.pins.clone();
    let position = pins.iter().position(is_same).unwrap_or(pins.len());
    if position < pins.len() {
        pins[position] = pin.clone();
    } else {
        pins.push(pin.clone());
    }
    let sheets = numbered(&pins);
    let mut changes = Vec::new();
    let entries = entries(project, pin, sheets[position]);
    if position < project.pins.len() {
        let set = |(name, value): (&str, Given)| Change::Set {
            steps: vec![key("pin"), Step::Item(position), key(name)],
            value,
        };
        changes.extend(entries.into_iter().map(set));
    } else {
        let named = entries.into_iter();
        let named = named.map(|(name, value)| (name.to_owned(), value));
        changes.push(Change::Add {
            steps: vec![key("pin")],
            value: Given::Table(named.collect()),
        });
    }
    let others = (0..pins.len()).filter(|i| *i != position);
    let moved = others.filter(|i| sheets[*i] != pins[*i].sheet);
    changes.extend(moved.map(|i| on_sheet(i, sheets[i])));
    changes
}

/// The keys of a pin with their values; those that say nothing new are left out of a pin that is one of a kind.
fn entries(project: &Project, pin: &Pin, sheet: u32) -> Vec<(&'static str, Given)> {
    let style = project.job.lengths;
    let text = |length: Length| Given::Text(length.display(style));
    let own = own_stock(project, pin.piece, pin.copy);
    let is_known = project.pins.iter().any(|p| p.piece == pin.piece);
    let mut entries = vec![
        ("piece", Given::Text(project.pieces[pin.piece].id.clone())),
        ("copy", Given::Whole(i64::from(pin.copy))),
        ("part", Given::Whole(i64::from(pin.part))),
        ("stock", Given::Text(project.stocks[pin.stock].id.clone())),
        ("sheet", Given::Whole(i64::from(sheet))),
        ("x", text(pin.x)),
        ("y", text(pin.y)),
        ("turn", Given::Text(format!("{} deg", pin.turn.deg()))),
    ];
    entries.retain(|(name, _)| match *name {
        "part" => is_known || pin.part > 1,
        "stock" => is_known || pin.stock != own,
        _ => true,
    });
    entries
}

fn on_sheet(position: usize, sheet: u32) -> Change {
    Change::Set {
        steps: vec![key("pin"), Step::Item(position), key("sheet")],
        value: Given::Whole(i64::from(sheet)),
    }
}

/// The numbers of the pins' sheets, counted from 1 without gaps on each paper, in the same order.
fn numbered(pins: &[Pin]) -> Vec<u32> {
    let number = |pin: &Pin| {
        let before = pins
            .iter()
            .filter(|p| p.stock == pin.stock && p.sheet < pin.sheet);
        let before: BTreeSet<u32> = before.map(|p| p.sheet).collect();
        u32::try_from(before.len())
            .unwrap_or(u32::MAX)
            .saturating_add(1)
    };
    pins.iter().map(number).collect()
}

/// The changes that take pins out, and count the sheets of the others from 1 without gaps again.
pub(super) fn freed(pins: &[Pin], gone: &[usize]) -> Vec<Change> {
    if gone.len() == pins.len() {
        return vec![Change::Remove {
            steps: vec![key("pin")],
        }];
    }
    let stay: Vec<usize> = (0..pins.len()).filter(|i| !gone.contains(i)).collect();
    let kept: Vec<Pin> = stay.iter().map(|i| pins[*i].clone()).collect();
    let sheets = stay.iter().zip(numbered(&kept));
    let moved = sheets.filter(|(i, sheet)| pins[**i].sheet != *sheet);
    let mut changes: Vec<Change> = moved.map(|(i, sheet)| on_sheet(*i, sheet)).collect();
    changes.extend(removed(gone));
    changes
}

/// The changes that take pins out, and leave the others as they are.
pub(super) fn removed(gone: &[usize]) -> Vec<Change> {
    let last_first = gone.iter().rev();
    let removal = |position: &usize| Change::Remove {
        steps: vec![key("pin"), Step::Item(*position)],
    };
    last_first.map(removal).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Origin;
    use crate::load;
    use crate::math::Angle;

    fn pin_on(stock: usize, sheet: u32) -> Pin {
        Pin {
            piece: 0,
            copy: 1,
            part: 1,
            stock,
            sheet,
            x: Length::ZERO,
            y: Length::ZERO,
            turn: Angle::ZERO,
            origin: Origin::of_key("pin"),
        }
    }

    #[test]
    fn sheets_of_pins_are_counted_without_gaps_when_one_goes() {
        let pins = [pin_on(0, 1), pin_on(0, 2), pin_on(1, 1), pin_on(0, 2)];
        let changes = freed(&pins, &[0]);
        let text =
            "[[pin]]\nsheet = 1\n[[pin]]\nsheet = 2\n[[pin]]\nsheet = 1\n[[pin]]\nsheet = 2\n";
        let changed = load::change(text, &changes).unwrap();
        assert_eq!(
            changed,
            "[[pin]]\nsheet = 1\n[[pin]]\nsheet = 1\n[[pin]]\nsheet = 1\n"
        );
        assert_eq!(
            load::change(text, &freed(&pins, &[0, 1, 2, 3])).unwrap(),
            ""
        );
    }
}
