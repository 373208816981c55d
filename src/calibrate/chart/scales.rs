//! What is read on the chart: targets, verniers, ladders, stations, the bar and the ends of the ruler lines.

use kurbo::{Point, Rect, Vec2};

use super::ink::{Align, Ink, Seen};
use super::table::LINE_STUB_MM;
use super::{
    Chart, ChartEdition, CheckRule, EdgeDistance, Ladder, RulerLine, Station, Target, Vernier,
};
use crate::draw::register_mark;
use crate::plan::Mark;
use crate::project::{Axis, Edge, Face};

/// Lengths of the ticks of a scale in millimetres.
const TICK_MM: f64 = 2.4;
const LONG_TICK_MM: f64 = 3.6;

/// Size of the digits of scales, and of the names of scales and lines, in millimetres.
const DIGITS_MM: f64 = 2.0;
const NAME_MM: f64 = 2.8;

/// Distance of digits from their ticks in millimetres.
const GAP_MM: f64 = 0.6;

/// How far the line of a vernier runs past its ticks, so that a ruler can be laid along it, in millimetres.
const OVERRUN_MM: f64 = 2.5;

/// From the end of a ruler line to the middles of two letters beside its stub, in millimetres.
const NEAR_END_MM: f64 = 3.2;
const FAR_END_MM: f64 = 7.0;

/// Height of capitals and digits of the carried font in em.
const CAPITAL_EM: f64 = 0.714;

/// A target as the register mark it is.
pub(super) fn target(target: &Target) -> Ink {
    let mut ink = Ink::default();
    let side_mm = target.diameter_mm + 2.0;
    let mark = Mark {
        id: target.id.clone(),
        centre: target.centre,
        diameter_mm: target.diameter_mm,
        class: target.class,
    };
    let with_quiet = Rect::from_center_size(target.centre, (side_mm, side_mm));
    ink.drawing(register_mark(&mark), with_quiet);
    ink
}

/// A vernier: the ruler lies below it, or left of it, and its ticks stand on the other side.
pub(super) fn vernier(vernier: &Vernier) -> Ink {
    let mut ink = Ink::default();
    let along = vernier.along();
    let (first, last) = (vernier.tick(0), vernier.tick(vernier.last));
    ink.line(first - along * OVERRUN_MM, last + along * OVERRUN_MM);
    for number in 0..=vernier.last {
        let is_long = number * 2 % vernier.last == 0;
        let from = vernier.tick(number);
        tick(
            &mut ink,
            from,
            away(vernier.axis),
            if is_long { LONG_TICK_MM } else { TICK_MM },
        );
        if is_long {
            digits(&mut ink, &number.to_string(), from, away(vernier.axis));
        }
    }
    name(
        &mut ink,
        vernier.id,
        first.midpoint(last),
        -away(vernier.axis),
    );
    ink
}

/// From a scale's line to its ticks.
const fn away(axis: Axis) -> Vec2 {
    match axis {
        Axis::X => Vec2::new(0.0, -1.0),
        Axis::Y => Vec2::new(1.0, 0.0),
    }
}

fn tick(ink: &mut Ink, from: Point, way: Vec2, length_mm: f64) {
    ink.line(from, from + way * length_mm);
}

/// Digits past the end of a long tick.
fn digits(ink: &mut Ink, text: &str, from: Point, way: Vec2) {
    beside(
        ink,
        text,
        DIGITS_MM,
        from + way * (LONG_TICK_MM + GAP_MM),
        way,
        Seen::Straight,
    );
}

fn name(ink: &mut Ink, text: &str, from: Point, way: Vec2) {
    beside(
        ink,
        text,
        NAME_MM,
        from + way * (2.0 * GAP_MM),
        way,
        Seen::Straight,
    );
}

/// Words that begin at a point and lie from it in one of the four directions, centred the other way.
fn beside(ink: &mut Ink, text: &str, size_mm: f64, at: Point, way: Vec2, seen: Seen) {
    let capital_mm = CAPITAL_EM * size_mm;
    let (align, drop_mm) = if way.y < 0.0 {
        (Align::Middle, 0.0)
    } else if way.y > 0.0 {
        (Align::Middle, capital_mm)
    } else if way.x > 0.0 {
        (Align::Left, capital_mm / 2.0)
    } else {
        (Align::Right, capital_mm / 2.0)
    };
    // Seen from behind, left and right change places.
    let align = match (seen, align) {
        (Seen::Through, Align::Left) => Align::Right,
        (Seen::Through, Align::Right) => Align::Left,
        (Seen::Straight | Seen::Through, align) => align,
    };
    ink.words_seen(text, size_mm, at + Vec2::new(0.0, drop_mm), align, seen);
}

/// A ladder as seen on its own page.
pub(super) fn ladder(ladder: &Ladder, chart: &Chart) -> Ink {
    const HALF_MM: f64 = 2.5;
    const LONGER_MM: f64 = 3.0;
    let mut ink = Ink::default();
    let page = chart.page;
    let at = |along_mm: f64, inset_mm: f64| match ladder.edge {
        Edge::Top => Point::new(along_mm, inset_mm),
        Edge::Bottom => Point::new(along_mm, page.height - inset_mm),
        Edge::Left => Point::new(inset_mm, along_mm),
        Edge::Right => Point::new(page.width - inset_mm, along_mm),
    };
    let way = match ladder.edge {
        Edge::Top | Edge::Bottom => Vec2::new(1.0, 0.0),
        Edge::Left | Edge::Right => Vec2::new(0.0, 1.0),
    };
    for number in 1..=ladder.last {
        let label = ladder_label(number, chart.edition);
        let longer_mm = if label.is_some() { LONGER_MM } else { 0.0 };
        let inset_mm = ladder.inset_mm(number);
        let end = at(ladder.middle_mm + HALF_MM + longer_mm, inset_mm);
        ink.line(at(ladder.middle_mm - HALF_MM, inset_mm), end);
        if let Some(label) = label.filter(|label| !label.is_empty()) {
            beside(
                &mut ink,
                label,
                DIGITS_MM,
                end + way * GAP_MM,
                way,
                Seen::Straight,
            );
        }
    }
    ink
}

/// What stands at a longer line of a ladder; `None` at the others.
fn ladder_label(number: u32, edition: ChartEdition) -> Option<&'static str> {
    match (edition, number) {
        (ChartEdition::Millimetres, 5) => Some("5"),
        (ChartEdition::Millimetres, 10) => Some("10"),
        (ChartEdition::Millimetres, 15) => Some("15"),
        (ChartEdition::Inches, 8) => Some("1/4"),
        (ChartEdition::Inches, 16) => Some("1/2"),
        (ChartEdition::Inches, 4 | 12 | 20) => Some(""),
        (ChartEdition::Millimetres | ChartEdition::Inches, _) => None,
    }
}

/// A station on one face. The back's digits are mirrored, for it is read through the sheet.
pub(super) fn station(station: &Station, face: Face, page_width_mm: f64) -> Ink {
    let mut ink = Ink::default();
    let on_face = |point: Point| match face {
        Face::Front => point,
        Face::Back => Station::on_back(point, page_width_mm),
    };
    cross(&mut ink, on_face(station.centre));
    for axis in [Axis::X, Axis::Y] {
        scale(&mut ink, station.zero(axis), axis, face, &on_face);
    }
    if face == Face::Front {
        let name_at = station.centre + Vec2::new(5.0, 7.0);
        ink.words(station.id, NAME_MM, name_at, Align::Middle);
    }
    ink
}

const fn seen(face: Face) -> Seen {
    match face {
        Face::Front => Seen::Straight,
        Face::Back => Seen::Through,
    }
}

/// For a pin, where the sheet is too thick to see through.
fn cross(ink: &mut Ink, centre: Point) {
    const REACH_MM: f64 = 3.0;
    for way in [Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0)] {
        ink.line(centre - way * REACH_MM, centre + way * REACH_MM);
    }
}

/// One scale of a station. The front's ticks stand on one side of the line, the back's on the other, where the front leaves white.
fn scale(ink: &mut Ink, zero: Point, axis: Axis, face: Face, on_face: &dyn Fn(Point) -> Point) {
    let (along, front_side) = match axis {
        Axis::X => (Vec2::new(1.0, 0.0), Vec2::new(0.0, -1.0)),
        Axis::Y => (Vec2::new(0.0, 1.0), Vec2::new(-1.0, 0.0)),
    };
    let (pitch_mm, side) = match face {
        Face::Front => (Station::FRONT_PITCH_MM, front_side),
        Face::Back => (Station::BACK_PITCH_MM, -front_side),
    };
    let place = |number: i32| zero + along * (f64::from(number) * pitch_mm);
    if face == Face::Front {
        ink.line(
            on_face(place(-Station::LAST)),
            on_face(place(Station::LAST)),
        );
    }
    for number in -Station::LAST..=Station::LAST {
        let is_long = number % 5 == 0;
        let length_mm = if is_long { LONG_TICK_MM } else { TICK_MM };
        ink.line(
            on_face(place(number)),
            on_face(place(number) + side * length_mm),
        );
        if is_long && number.abs() < Station::LAST {
            let at = place(number) + side * (LONG_TICK_MM + GAP_MM);
            station_digits(ink, number, at, side, face, on_face);
        }
    }
}

fn station_digits(
    ink: &mut Ink,
    number: i32,
    at: Point,
    side: Vec2,
    face: Face,
    on_face: &dyn Fn(Point) -> Point,
) {
    let side_on_face = match face {
        Face::Front => side,
        Face::Back => Vec2::new(-side.x, side.y),
    };
    let text = number.to_string().replace('-', "−");
    beside(ink, &text, DIGITS_MM, on_face(at), side_on_face, seen(face));
}

/// The bar, its ticks above it and its length at its right end.
pub(super) fn rule(rule: &CheckRule, edition: ChartEdition) -> Ink {
    let mut ink = Ink::default();
    let at = |along_mm: f64| rule.start + Vec2::new(along_mm, 0.0);
    ink.line(at(0.0), at(rule.length_mm));
    let mut along_mm = 0.0;
    while along_mm < rule.length_mm + rule.pitch_mm / 2.0 {
        let is_end =
            along_mm < rule.pitch_mm / 2.0 || along_mm > rule.length_mm - rule.pitch_mm / 2.0;
        tick(
            &mut ink,
            at(along_mm),
            Vec2::new(0.0, -1.0),
            if is_end { LONG_TICK_MM } else { TICK_MM / 2.0 },
        );
        along_mm += rule.pitch_mm;
    }
    let length = match edition {
        ChartEdition::Millimetres => "100 mm",
        ChartEdition::Inches => "4 in",
    };
    let middle = at(rule.length_mm / 2.0) + Vec2::new(0.0, 2.0 * GAP_MM);
    beside(
        &mut ink,
        length,
        NAME_MM,
        middle,
        Vec2::new(0.0, 1.0),
        Seen::Straight,
    );
    ink
}

/// Both ends of a ruler line: a tick across, a piece of the line, and its letter.
pub(super) fn ruler_line(line: &RulerLine) -> Ink {
    let mut ink = Ink::default();
    let along = (line.to - line.from) / line.length_mm();
    let across = Vec2::new(along.y, along.x);
    for (end, inwards) in [(line.from, along), (line.to, -along)] {
        ink.line(
            end - across * (TICK_MM / 2.0),
            end + across * (TICK_MM / 2.0),
        );
        ink.line(end, end + inwards * LINE_STUB_MM);
        let beside_stub = end + inwards * NEAR_END_MM - across * GAP_MM;
        beside(
            &mut ink,
            &line.id.to_string(),
            NAME_MM,
            beside_stub,
            -across,
            Seen::Straight,
        );
    }
    ink
}

/// The letter of an edge distance, with an arrow towards the edge, beside the end of its line.
pub(super) fn edge_distance(distance: &EdgeDistance) -> Ink {
    let mut ink = Ink::default();
    let (arrow, offset, side) = match distance.edge {
        Edge::Left => ("← ", Vec2::new(NEAR_END_MM, GAP_MM), Vec2::new(0.0, 1.0)),
        Edge::Top => ("↑ ", Vec2::new(-GAP_MM, FAR_END_MM), Vec2::new(-1.0, 0.0)),
        Edge::Right => ("→ ", Vec2::new(-NEAR_END_MM, GAP_MM), Vec2::new(0.0, 1.0)),
        Edge::Bottom => ("↓ ", Vec2::new(-GAP_MM, -FAR_END_MM), Vec2::new(-1.0, 0.0)),
    };
    let words = format!("{arrow}{}", distance.id);
    beside(
        &mut ink,
        &words,
        NAME_MM,
        distance.to + offset,
        side,
        Seen::Straight,
    );
    ink
}
