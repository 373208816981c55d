//! The strip: panels one after the other, with creases between them and perhaps a snipped tab at an end.

use kurbo::{Affine, BezPath};
use toml::de::DeValue;

use super::code;
use super::operation::{FOLDS, MAKERS, read_fold_angle};
use super::panel::{ExactBox, PanelForm, ShapePanel};
use super::shape::{Form, Shape};
use super::table::Table;
use super::value::Value;
use crate::diagnostic::Origin;
use crate::geometry::strip::{Snip, strip};
use crate::length::{Length, Size};
use crate::math::Angle;
use crate::project::{Axis, Fold, Maker, Operation, OperationKind};

/// More panels than any folder keeps count of.
const MOST_PANELS: usize = 100;

const ALONG: &[(&str, Axis)] = &[("x", Axis::X), ("y", Axis::Y)];

/// Which ends have their corners snipped off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Snipped {
    None,
    Start,
    End,
    Both,
}

const SNIPPED: &[(&str, Snipped)] = &[
    ("none", Snipped::None),
    ("start", Snipped::Start),
    ("end", Snipped::End),
    ("both", Snipped::Both),
];

/// Reads a strip; `maker` creases it unless it says who does.
pub(super) fn read(table: &Table<'_>, maker: Maker) -> Option<Shape> {
    let across = table.required("across", "across = \"2 1/2 in\"", Value::size);
    let along = table
        .optional("along", |v| v.choice(ALONG))
        .unwrap_or(Axis::X);
    let panels = read_panels(table);
    let creases = panels.as_ref().map(|panels| panels.len() - 1);
    let folds = read_folds(table, creases);
    let by = table
        .optional("crease_by", |v| v.choice(MAKERS))
        .unwrap_or(maker);
    let folds_to = table.optional("folds_to", |value| read_angles(value, creases));
    let snips = read_snips(table, across, panels.as_deref());
    let (across, panels, folds, (start, end)) = (across?, panels?, folds?, snips?);
    let ends = ends(&panels);
    let length = *ends.last().expect("a strip has a panel");
    let lying = strip(length.to_mm(), across.to_mm(), start, end).expect("the snips were checked");
    let turn = turn_to(along, across);
    Some(Shape {
        outline: lying.transformed(turn),
        form: form(along, length, across.length(), start.or(end).is_some()),
        fills_sheet: false,
        panels: name_panels(
            &panels,
            &ends,
            across.length(),
            along,
            [start.is_some(), end.is_some()],
        ),
        operations: place_creases(&ends, &folds, across, turn)
            .enumerate()
            .map(|(i, (kind, path))| Operation {
                kind,
                path,
                folds_to: folds_to.as_ref().and_then(|angles| angles.get(i).copied()),
                by,
                origin: crease_origin(table),
            })
            .collect(),
    })
}

/// Reads the panels' lengths, one or more: as they are, or from where the creases lie.
fn read_panels(table: &Table<'_>) -> Option<Vec<Length>> {
    let length = table.optional("length", |v| Some((v.size()?.length(), v.origin())));
    table.know(&["panels", "creases_at"]);
    if table.has("panels") {
        if table.has("creases_at") {
            table.conflict(
                "creases_at",
                "stands beside panels, which place the creases too",
                "leave one of them out",
            );
        }
        let panels = table.optional("panels", read_panel_list)?;
        check_sum(table, &panels, length);
        return Some(panels);
    }
    if !table.has("creases_at") && !table.has("length") {
        return table.missing("panels", "panels = [\"3/8 in\", \"2 in\", \"2 in\"]");
    }
    let creases = table.required(
        "creases_at",
        "creases_at = [\"3/8 in\", \"2 3/8 in\"]",
        |value| {
            let example = "[\"3/8 in\", \"2 3/8 in\"]";
            few(value, value.list(example)?)
        },
    )?;
    if !table.has("length") {
        return table.missing("length", "length = \"4 3/8 in\"");
    }
    between_creases(&creases, length?.0)
}

fn read_panel_list(value: &Value<'_>) -> Option<Vec<Length>> {
    let items = few(value, value.list("[\"3/8 in\", \"2 in\", \"2 in\"]")?)?;
    let panels: Vec<_> = items.iter().map(Value::size).collect();
    let panels: Vec<Length> = panels
        .into_iter()
        .collect::<Option<Vec<Size>>>()?
        .into_iter()
        .map(Size::length)
        .collect();
    if panels.is_empty() {
        let hint = "write panels = [\"3/8 in\", \"2 in\", \"2 in\"]";
        return value.fail(code::STRIP_SUM, "a strip has at least one panel", hint);
    }
    value.within_reach(panels.iter().copied().sum())?;
    Some(panels)
}

fn few<'a>(value: &Value<'_>, items: Vec<Value<'a>>) -> Option<Vec<Value<'a>>> {
    if items.len() <= MOST_PANELS {
        return Some(items);
    }
    let message = format!(
        "{} has {} entries, more than {MOST_PANELS}",
        value.key(),
        items.len()
    );
    value.fail(code::NUMBER_RANGE, message, "divide the strip into pieces")
}

/// A length beside panels is a check of their sum.
fn check_sum(table: &Table<'_>, panels: &[Length], length: Option<(Length, Origin)>) {
    let Some((length, origin)) = length else {
        return;
    };
    let sum: Length = panels.iter().copied().sum();
    if sum != length {
        let show = |length| table.mistakes().show(length);
        let message = format!(
            "the panels add up to {}, but length is {}: {} {}",
            show(sum),
            show(length),
            show((sum - length).abs()),
            if sum > length {
                "too much"
            } else {
                "too little"
            }
        );
        let hint = format!("write length = \"{}\", or correct a panel", show(sum));
        table
            .mistakes()
            .fail::<()>(code::STRIP_SUM, &origin, message, hint);
    }
}

/// Returns the panels between creases, which must rise and lie on the strip.
fn between_creases(creases: &[Value<'_>], length: Length) -> Option<Vec<Length>> {
    let places: Vec<_> = creases.iter().map(Value::size).collect();
    let mut before = Length::ZERO;
    let mut panels = Vec::new();
    let mut is_sound = true;
    for (i, (value, place)) in creases.iter().zip(places).enumerate() {
        let Some(at) = place.map(Size::length) else {
            is_sound = false;
            continue;
        };
        if let Some((message, hint)) = misplaced(value, i + 1, at, before, length) {
            value.fail::<()>(code::STRIP_CREASES, message, hint);
            is_sound = false;
            continue;
        }
        panels.push(at - before);
        before = at;
    }
    panels.push(length - before);
    is_sound.then_some(panels)
}

/// Says what is wrong with the place of a crease, if anything is.
fn misplaced(
    value: &Value<'_>,
    number: usize,
    at: Length,
    before: Length,
    length: Length,
) -> Option<(String, String)> {
    let show = |length| value.mistakes().show(length);
    if at >= length {
        let message = format!(
            "crease {number} at {} does not lie on the strip, which is {} long",
            show(at),
            show(length)
        );
        return Some((message, "move the crease, or correct length".to_owned()));
    }
    if at > before {
        return None;
    }
    let relation = if at == before {
        "lies on"
    } else {
        "lies before"
    };
    let message = format!(
        "crease {number} at {} {relation} crease {} at {}",
        show(at),
        number - 1,
        show(before)
    );
    let hint = "measure every crease from the same end of the strip, the nearest first";
    Some((message, hint.to_owned()))
}

/// Reads how each crease folds, if it is known how many there are.
fn read_folds(table: &Table<'_>, creases: Option<usize>) -> Option<Vec<Fold>> {
    if !table.has("folds") {
        let fold = table
            .optional("fold", |v| v.choice(FOLDS))
            .unwrap_or(Fold::Valley);
        return creases.map(|count| vec![fold; count]);
    }
    if table.has("fold") {
        table.conflict("fold", "stands beside folds", "leave one of them out");
    }
    table.know(&["fold"]);
    table.optional("folds", |value| {
        let items = value.list("[\"valley\", \"mountain\"]")?;
        let folds: Vec<_> = items.iter().map(|item| item.choice(FOLDS)).collect();
        let creases = creases?;
        if folds.len() != creases {
            let message = format!("folds has {} entries for {creases} creases", folds.len());
            return value.fail(
                code::STRIP_FOLDS,
                message,
                "write one entry for each crease, in order",
            );
        }
        folds.into_iter().collect()
    })
}

/// Reads how far each crease is folded: one angle for all, or a list of them in order.
fn read_angles(value: &Value<'_>, creases: Option<usize>) -> Option<Vec<Angle>> {
    if !matches!(value.get(), DeValue::Array(_)) {
        let angle = read_fold_angle(value)?;
        return creases.map(|count| vec![angle; count]);
    }
    let items = value.list("[\"90 deg\", \"180 deg\"]")?;
    let angles: Vec<Option<Angle>> = items.iter().map(read_fold_angle).collect();
    let creases = creases?;
    if angles.len() != creases {
        let message = format!(
            "folds_to has {} entries for {creases} creases",
            angles.len()
        );
        return value.fail(
            code::STRIP_FOLDS,
            message,
            "write one angle for all, or one for each crease, in order",
        );
    }
    angles.into_iter().collect()
}

type Snips = (Option<Snip>, Option<Snip>);

/// Reads the snips at the start and the end, which must leave some of the end and stay on its panel.
///
/// `snip_angle` lies between the cut and the strip's end: the larger, the farther back the cut reaches.
fn read_snips(table: &Table<'_>, across: Option<Size>, panels: Option<&[Length]>) -> Option<Snips> {
    let snipped = table
        .optional("snipped", |v| v.choice(SNIPPED))
        .unwrap_or(Snipped::None);
    let depth = table.optional("snip", Value::size);
    let angle_deg = table.optional("snip_angle", |value| {
        let angle_deg = value.degrees()?;
        if angle_deg > 0.0 && angle_deg < 90.0 {
            return Some(angle_deg);
        }
        let message = format!("a snip angle of {angle_deg} deg is not between 0 and 90 deg");
        value.fail(code::NUMBER_RANGE, message, "write snip_angle = \"45 deg\"")
    });
    let depth = depth.map_or(Length::from_inch_fraction(1, 16), Size::length);
    let (sin, cos) = Angle::from_deg(angle_deg.unwrap_or(45.0)).sin_cos();
    let snip = Snip {
        across_mm: depth.to_mm(),
        along_mm: depth.to_mm() * sin / cos,
    };
    let (across, panels) = (across?, panels?);
    let (first, last) = (panels.first()?, panels.last()?);
    let fits = |panel: &Length| {
        let is_short = snip.along_mm > panel.to_mm();
        if !is_short && depth * 2 < across.length() {
            return true;
        }
        let show = |length| table.mistakes().show(length);
        let message = if is_short {
            format!(
                "the snip reaches {} along a panel of {}",
                table.mistakes().show_mm(snip.along_mm),
                show(*panel)
            )
        } else {
            format!(
                "two snips of {} leave nothing of the end, which is {} across",
                show(depth),
                show(across.length())
            )
        };
        let hint = "write a smaller snip, like snip = \"1/16 in\"";
        table
            .mistakes()
            .fail::<()>(code::STRIP_SNIP, &table.origin_of("snip"), message, hint);
        false
    };
    let at = |is_there: bool, panel: &Length| (is_there && fits(panel)).then_some(snip);
    Some((
        at(matches!(snipped, Snipped::Start | Snipped::Both), first),
        at(matches!(snipped, Snipped::End | Snipped::Both), last),
    ))
}

/// Where each panel ends, from the start of the strip.
fn ends(panels: &[Length]) -> Vec<Length> {
    let mut end = Length::ZERO;
    panels
        .iter()
        .map(|panel| {
            end = end + *panel;
            end
        })
        .collect()
}

/// A strip is made lying along x; one along y is turned by a quarter clockwise and moved back to the origin. Both long edges
/// are alike, so which of them comes to the left makes no difference.
fn turn_to(along: Axis, across: Size) -> Affine {
    match along {
        Axis::X => Affine::IDENTITY,
        Axis::Y => Affine::new([0.0, 1.0, -1.0, 0.0, across.to_mm(), 0.0]),
    }
}

fn form(along: Axis, length: Length, across: Length, is_snipped: bool) -> Form {
    match along {
        _ if is_snipped => Form::Other,
        Axis::X => Form::Rectangle {
            width: length,
            height: across,
        },
        Axis::Y => Form::Rectangle {
            width: across,
            height: length,
        },
    }
}

fn name_panels(
    panels: &[Length],
    ends: &[Length],
    across: Length,
    along: Axis,
    snipped: [bool; 2],
) -> Vec<ShapePanel> {
    let last = panels.len() - 1;
    let named = |(i, (panel, end)): (usize, (&Length, &Length))| {
        let start = *end - *panel;
        let (left, top, width, height) = match along {
            Axis::X => (start, Length::ZERO, *panel, across),
            Axis::Y => (Length::ZERO, start, across, *panel),
        };
        ShapePanel {
            name: (i + 1).to_string(),
            bounds: ExactBox {
                left,
                top,
                width,
                height,
            },
            form: if (i == 0 && snipped[0]) || (i == last && snipped[1]) {
                PanelForm::Snipped
            } else {
                PanelForm::Rectangle
            },
            up: None,
            region: None,
        }
    };
    panels.iter().zip(ends).enumerate().map(named).collect()
}

fn place_creases(
    ends: &[Length],
    folds: &[Fold],
    across: Size,
    turn: Affine,
) -> impl Iterator<Item = (OperationKind, BezPath)> {
    let crease = move |(end, fold): (&Length, &Fold)| {
        let mut path = BezPath::new();
        path.move_to((end.to_mm(), 0.0));
        path.line_to((end.to_mm(), across.to_mm()));
        path.apply_affine(turn);
        (OperationKind::Crease { fold: *fold }, path)
    };
    ends.iter().zip(folds).map(crease)
}

fn crease_origin(table: &Table<'_>) -> Origin {
    let key = if table.has("panels") {
        "panels"
    } else {
        "creases_at"
    };
    table.origin_of(key)
}
