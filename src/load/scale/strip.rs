//! Strips: panels in a row, of which a snipped end is a glue tab.

use super::frame::Frame;
use super::ruler::{in_unit, rounded};
use super::rules::{TAB, grow_as};
use super::work::Work;
use crate::length::{Length, Parted, TypedLength, respelled, typed_lengths};
use crate::load::retyped::Named;
use crate::project::Axis;

/// One panel of a strip: what it was, and what it becomes.
struct Stretch {
    before: Length,
    after: Length,
}

/// Scales a strip. A snipped end is a glue tab, which keeps its width.
pub(super) fn strip(work: &mut Work, table: &Named<'_>, frame: Frame) -> Frame {
    grow_as(work, table, "across", frame.is_on_ruler);
    let Some(panels) = stretches(work, table, frame.is_on_ruler) else {
        return frame;
    };
    write_strip(work, table, &panels);
    let along = match table.node.text("along") {
        Some("y") => Axis::Y,
        Some(_) | None => Axis::X,
    };
    let lengths: Vec<_> = panels.iter().map(|p| (p.before, p.after)).collect();
    work.keep(table, "snip", TAB);
    frame.with_panels(along, &lengths)
}

fn stretches(work: &mut Work, table: &Named<'_>, is_on_ruler: bool) -> Option<Vec<Stretch>> {
    let panels = typed_panels(table)?;
    let last = panels.len() - 1;
    let is_tab = |position: usize| {
        let (start, end) = match table.node.text("snipped") {
            Some("start") => (true, false),
            Some("end") => (false, true),
            Some("both") => (true, true),
            Some(_) | None => (false, false),
        };
        last > 0 && ((position == 0 && start) || (position == last && end))
    };
    let mut stretches = Vec::new();
    for (position, typed) in panels.iter().enumerate() {
        let after = if is_tab(position) {
            let key = format!("panels[{}]", position + 1);
            let value = in_unit(typed.unit, typed.length);
            work.keep_value(table, &key, Some(value), TAB);
            typed.length
        } else {
            rounded(work.by.times(typed.length), *typed, is_on_ruler)
        };
        stretches.push(Stretch {
            before: typed.length,
            after,
        });
    }
    Some(stretches)
}

/// The panels of a strip as typed, or between its creases.
fn typed_panels(table: &Named<'_>) -> Option<Vec<TypedLength>> {
    let one = |text: &str| typed_lengths(text, Parted::ByTimes)?.first().copied();
    if let Some(panels) = table.node.texts("panels") {
        return panels.into_iter().map(one).collect();
    }
    let creases = table.node.texts("creases_at").unwrap_or_default();
    let mut before = Length::ZERO;
    let mut panels = Vec::new();
    for text in creases.into_iter().chain(table.node.text("length")) {
        let TypedLength { length, unit } = one(text)?;
        panels.push(TypedLength {
            length: length - before,
            unit,
        });
        before = length;
    }
    (!panels.is_empty()).then_some(panels)
}

fn write_strip(work: &mut Work, table: &Named<'_>, panels: &[Stretch]) {
    let respell = |text: &str, new| respelled(text, Parted::ByTimes, |_| new).unwrap_or_default();
    let mut ends = Vec::new();
    for panel in panels {
        ends.push(ends.last().copied().unwrap_or(Length::ZERO) + panel.after);
    }
    let lists: [(&str, Vec<Length>); 2] = [
        ("panels", panels.iter().map(|panel| panel.after).collect()),
        ("creases_at", ends.clone()),
    ];
    for (key, lengths) in lists {
        if let Some(old) = table.node.texts(key) {
            let new: Vec<_> = old
                .iter()
                .zip(lengths)
                .map(|(t, l)| respell(t, l))
                .collect();
            work.retyped.set_list(table, key, &old, &new);
        }
    }
    if let (Some(old), Some(sum)) = (table.node.text("length"), ends.last()) {
        work.retyped.set(table, "length", old, &respell(old, *sum));
    }
}
