//! The key `nicks` of a job and of a piece.

use kurbo::Point;

use super::code;
use super::table::Table;
use super::value::Value;
use crate::diagnostic::Origin;
use crate::geometry::Outline;
use crate::length::{Length, Size};
use crate::math::{FLATTEN_MM, hypot};
use crate::project::{Maker, Nicks};

/// What holds a label of a few centimetres on a mat (common practice, no source).
const USUAL_COUNT: u32 = 3;
const USUAL_LENGTH: Length = Length::from_um(400);

const MOST_NICKS: u32 = 99;

/// Of the way from one nick to the next at least this many parts are one nick: less cut than that between them tears.
const LEAST_PARTS: i64 = 4;

/// Which pieces a job holds by nicks where they do not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NickRule {
    /// Pieces smaller than this in both directions.
    below: Size,
    nicks: Nicks,
}

impl NickRule {
    /// Reads the nicks of a job.
    pub(super) fn read(value: &Value<'_>) -> Option<Self> {
        let Some(table) = value.table() else {
            let hint = "write nicks = { below = \"1 1/2 in\" }";
            return value.wrong_type("a table", hint);
        };
        let below = table.required("below", "below = \"1 1/2 in\"", Value::size);
        let nicks = read_nicks(&table);
        table.close();
        Some(Self {
            below: below?,
            nicks: nicks?,
        })
    }

    fn holds(&self, outline: &Outline) -> bool {
        let bounds = outline.bounds();
        bounds.width().max(bounds.height()) < self.below.to_mm()
    }
}

/// Reads how a piece is held: as it says, or else by the rule of its job.
pub(super) fn of_piece(
    table: &Table<'_>,
    outline: Option<&Outline>,
    cut_by: Maker,
    rule: Option<NickRule>,
) -> Option<Nicks> {
    if !table.has("nicks") {
        let outline = outline.filter(|_| cut_by == Maker::Machine)?;
        let rule = rule.filter(|rule| rule.holds(outline))?;
        return Some(rule.nicks).filter(|nicks| have_room(table, &table.origin(), *nicks, outline));
    }
    let nicks = table.optional("nicks", |value| {
        let Some(own) = value.table() else {
            value.choice(&[("none", ())])?;
            return None;
        };
        let nicks = read_nicks(&own);
        own.close();
        nicks
    })?;
    let origin = table.origin_of("nicks");
    if cut_by != Maker::Machine {
        let message = "nicks hold what a machine cuts, and this outline is not cut by machine";
        let hint = "leave nicks out, or write cut_by = \"machine\"";
        return table
            .mistakes()
            .fail(code::NICKS_MAKER, &origin, message, hint);
    }
    let outline = outline?;
    Some(nicks).filter(|nicks| have_room(table, &origin, *nicks, outline))
}

fn read_nicks(table: &Table<'_>) -> Option<Nicks> {
    let usual = Size::new(USUAL_LENGTH).expect("the usual length is above zero");
    let count = table.optional("count", |v| v.whole(1..=MOST_NICKS));
    let length = table.optional("length", Value::size);
    let is_wrong =
        (table.has("count") && count.is_none()) || (table.has("length") && length.is_none());
    (!is_wrong).then(|| Nicks {
        count: count.unwrap_or(USUAL_COUNT),
        length: length.unwrap_or(usual),
    })
}

/// Whether the nicks leave enough cut between them; says so if not.
fn have_room(table: &Table<'_>, origin: &Origin, nicks: Nicks, outline: &Outline) -> bool {
    let way = Length::nearest_mm(around_mm(outline));
    let needed = nicks.length.length() * (i64::from(nicks.count) * LEAST_PARTS);
    if needed <= way {
        return true;
    }
    let show = |length| table.mistakes().show(length);
    let message = format!(
        "{} nicks of {} need a way of {} round the outline, which is {} long",
        nicks.count,
        show(nicks.length.length()),
        show(needed),
        table.mistakes().show_mm(way.to_mm())
    );
    let most = way.nm() / (nicks.length.length().nm() * LEAST_PARTS);
    let hint = if most > 0 {
        format!("write count = {most} or less, or a shorter length")
    } else {
        "write a shorter length, or nicks = \"none\"".to_owned()
    };
    table
        .mistakes()
        .fail::<()>(code::NICKS_ROOM, origin, message, hint);
    false
}

/// Length of the outer ring in millimetres.
fn around_mm(outline: &Outline) -> f64 {
    let rings = outline.flattened(FLATTEN_MM);
    let outer: &[Point] = rings.first().map_or(&[], |ring| ring);
    let next = outer.iter().cycle().skip(1);
    outer
        .iter()
        .zip(next)
        .map(|(a, b)| hypot(b.x - a.x, b.y - a.y))
        .sum()
}
