//! The keys of a generated pattern in `[[piece.artwork]]`.

use super::artwork::read_colour;
use super::code;
use super::money::percent;
use super::pattern_laid::{Laid, Mirrors, Start};
use super::table::Table;
use super::value::Value;
use crate::diagnostic::{Diagnostic, listed};
use crate::drawing::Colour;
use crate::length::{Length, LengthStyle};
use crate::pattern::{self, Field, Kind, PALETTES, Palette, Role, SETS, Set, Settings, Takes};
use crate::project::Edge;

/// The keys that only a pattern has.
pub(super) const KEYS: [&str; 11] = [
    "set",
    "weight",
    "palette",
    "colours",
    "angle",
    "offset",
    "seed",
    "threads",
    "words",
    "start",
    "whole_within",
];

const STARTS: &[(&str, Start)] = &[("middle", Start::Middle), ("corner", Start::Corner)];
const EDGES: &[(&str, Edge)] = &[
    ("left", Edge::Left),
    ("right", Edge::Right),
    ("top", Edge::Top),
    ("bottom", Edge::Bottom),
];

/// Smallest repeat, in millimetres: finer than that a home printer lays ink beside ink.
const LEAST_REPEAT_MM: f64 = 0.5;
/// Greatest share by which a repeat may be changed to come out whole, in percent.
const MOST_CHANGE_PERCENT: u32 = 50;
/// Most threads of one half of a list.
const MOST_THREADS: usize = 40;
/// Most lines of words.
const MOST_LINES: usize = 40;

/// A pattern as asked for, drawn.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    pub(super) kind: &'static Kind,
    pub(super) settings: Settings,
    pub(super) laid: Laid,
    pub(super) field: Field,
}

/// Reads a pattern; keys that are not given stay as in `base`.
pub(super) fn read(table: &Table<'_>, base: Option<&Asked>) -> Option<Asked> {
    let kind = match base {
        Some(base) if !table.has("pattern") => Some(base.kind),
        _ => table.optional("pattern", read_kind),
    };
    let Some(kind) = kind else {
        table.know(&KEYS);
        table.know(&["repeat", "mirror_at"]);
        return None;
    };
    // Settings of another pattern say nothing about this one, but for its colours.
    let same = base.filter(|base| std::ptr::eq(base.kind, kind));
    let in_set = read_in_set(table, kind);
    let in_set_at_all = in_set.as_ref().and_then(Option::as_ref);
    let before = in_set_at_all.map(|in_set| &in_set.settings);
    let before = before.or(same.map(|base| &base.settings));
    let palette = in_set_at_all.map(|in_set| in_set.palette);
    let settings = read_settings(table, kind, (before, palette));
    in_set?;
    let laid = read_laid(table, same.map(|base| &base.laid));
    let (settings, laid) = (settings?, laid?);
    match (kind.draw)(&settings) {
        Ok(field) => Some(Asked {
            kind,
            settings,
            laid,
            field,
        }),
        Err(refusal) => {
            let wrong = Diagnostic::error(code::ARTWORK_PATTERN, refusal.message);
            let at = table.origin_of(refusal.key);
            table.mistakes().push(wrong.at(&at).hint(refusal.hint));
            None
        }
    }
}

fn read_kind(value: &Value<'_>) -> Option<&'static Kind> {
    let choices: Vec<_> = pattern::KINDS
        .iter()
        .map(|kind| (kind.name, *kind))
        .collect();
    value.choice(&choices)
}

/// What a set says of one of its patterns.
struct InSet {
    settings: Settings,
    /// That of the set, or the one asked for instead.
    palette: &'static Palette,
}

/// What a pattern is in a set; nothing within where no set is named.
#[expect(
    clippy::option_option,
    reason = "what is not there differs from what is there and wrong"
)]
fn read_in_set(table: &Table<'_>, kind: &Kind) -> Option<Option<InSet>> {
    table.know(&["set"]);
    if !table.has("set") {
        return Some(None);
    }
    let set = table.optional("set", read_set)?;
    let mut members = set.members.iter();
    let Some(member) = members.find(|member| member.kind == kind.name) else {
        let named: Vec<String> = set
            .members
            .iter()
            .map(|member| format!("\"{}\"", member.kind))
            .collect();
        let message = format!(
            "the set \"{}\" has no pattern \"{}\", but {}",
            set.palette,
            kind.name,
            listed(&named)
        );
        let hint = format!("write pattern = {} or leave set out", named[0]);
        let at = table.origin_of("set");
        return table
            .mistakes()
            .fail(code::ARTWORK_PATTERN, &at, message, hint);
    };
    let palette = match table.has("palette") {
        true => table.optional("palette", read_palette)?,
        false => {
            pattern::palette_named(set.palette).expect("every set has its palette, as a test shows")
        }
    };
    let settings = member.settings(palette, in_style(table, member.repeat));
    Some(Some(InSet { settings, palette }))
}

fn read_set(value: &Value<'_>) -> Option<&'static Set> {
    let choices: Vec<_> = SETS.iter().map(|set| (set.palette, set)).collect();
    value.choice(&choices)
}

/// Reads what a pattern is drawn from, over what was said of it before: in its set, or where it is replaced.
fn read_settings(
    table: &Table<'_>,
    kind: &Kind,
    (base, palette_of_set): (Option<&Settings>, Option<&'static Palette>),
) -> Option<Settings> {
    let repeat_mm = match base {
        Some(base) if !table.has("repeat") => Some(base.repeat_mm),
        _ if !table.has("repeat") => Some(in_style(table, kind.usual_repeat)),
        _ => table.optional("repeat", read_repeat),
    };
    let weight = match table.has("weight") {
        true => table.optional("weight", |value| read_weight(value, kind)),
        false => Some(base.map_or(kind.usual_weight, |base| base.weight)),
    };
    let colours = read_colours(table, kind, base, palette_of_set);
    let seed = read_if(table, "seed", kind.takes == Takes::Seed, kind, |v| {
        v.whole(0..=999_999)
    });
    let threads = read_if(table, "threads", kind.takes == Takes::Threads, kind, |v| {
        read_threads(v, kind.colours.1)
    });
    let words = read_if(table, "words", kind.takes == Takes::Words, kind, read_words);
    Some(Settings {
        repeat_mm: repeat_mm?,
        weight: weight?,
        colours: colours?,
        seed: seed?.map_or(base.map_or(0, |base| base.seed), u64::from),
        threads: threads?
            .unwrap_or_else(|| base.map_or_else(Vec::new, |base| base.threads.clone())),
        words: words?.unwrap_or_else(|| base.map_or_else(Vec::new, |base| base.words.clone())),
    })
}

/// Reads a key that some kinds take; `None` if it has a mistake.
fn read_if<'t, T>(
    table: &Table<'t>,
    key: &'static str,
    is_taken: bool,
    kind: &Kind,
    read: impl FnOnce(&Value<'t>) -> Option<T>,
) -> Option<Option<T>> {
    table.know(&[key]);
    if !table.has(key) {
        return Some(None);
    }
    if !is_taken {
        let because = format!("says nothing about the pattern \"{}\"", kind.name);
        table.conflict(key, &because, &format!("leave {key} out"));
        return None;
    }
    table.optional(key, read).map(Some)
}

/// The one of two repeats that is in the units of the project, in millimetres.
fn in_style(table: &Table<'_>, (metric, inch): (&str, &str)) -> f64 {
    let usual = match table.mistakes().length_style() {
        LengthStyle::Millimetres => metric,
        LengthStyle::InchFractions | LengthStyle::InchDecimals => inch,
    };
    let length = Length::parse(usual, None)
        .expect("the repeats of kinds and sets are lengths, as tests show");
    length.to_mm()
}

fn read_repeat(value: &Value<'_>) -> Option<f64> {
    let repeat = value.size()?;
    if repeat.to_mm() >= LEAST_REPEAT_MM {
        return Some(repeat.to_mm());
    }
    let style = value.mistakes().length_style();
    let least = Length::nearest_mm(LEAST_REPEAT_MM);
    let message = format!(
        "a repeat of {} is finer than {}, the least that prints",
        repeat.length().told(style),
        least.told(style)
    );
    let hint = format!("write repeat = \"{}\" or more", least.display(style));
    value.fail(code::ARTWORK_PATTERN, message, hint)
}

fn read_weight(value: &Value<'_>, kind: &Kind) -> Option<f64> {
    let asked = f64::from(percent(value, 100)?) / 100.0;
    let (least, most) = kind.weights;
    if asked >= least && asked <= most {
        return Some(asked);
    }
    let message = format!(
        "the weight of \"{}\" is {:.0} to {:.0} % {}, not {:.0} %",
        kind.name,
        least * 100.0,
        most * 100.0,
        kind.weight_is,
        asked * 100.0
    );
    let hint = format!(
        "write weight = \"{:.0} %\"",
        asked.clamp(least, most) * 100.0
    );
    value.fail(code::ARTWORK_PATTERN, message, hint)
}

fn read_colours(
    table: &Table<'_>,
    kind: &Kind,
    base: Option<&Settings>,
    palette_of_set: Option<&'static Palette>,
) -> Option<Vec<Colour>> {
    let palette = match table.has("palette") {
        true => Some(table.optional("palette", read_palette)?),
        false => palette_of_set,
    };
    if !table.has("colours") {
        return Some(match (palette, base) {
            (None, Some(base)) => base.colours.clone(),
            // In a set a palette gives the colours of the same roles.
            (Some(_), Some(base)) if palette_of_set.is_some() => base.colours.clone(),
            (palette, _) => palette.unwrap_or(&PALETTES[0]).first(kind.usual_count()),
        });
    }
    let values = table.optional("colours", |v| v.list("[\"#f6f1e3\", \"olive\"]"))?;
    refuse_count(table, kind, values.len())?;
    let read: Vec<_> = values
        .iter()
        .map(|value| read_one(value, palette))
        .collect();
    read.into_iter().collect()
}

fn refuse_count(table: &Table<'_>, kind: &Kind, count: usize) -> Option<()> {
    let (fewest, most) = kind.colours;
    if (fewest..=most).contains(&count) {
        return Some(());
    }
    let wanted = if fewest == most {
        fewest.to_string()
    } else {
        format!("{fewest} to {most}")
    };
    let message = format!(
        "the pattern \"{}\" takes {wanted} colours, the ground first, not {count}",
        kind.name
    );
    let hint =
        "write the ground first, then what lies on it, like colours = [\"#f6f1e3\", \"olive\"]";
    let at = table.origin_of("colours");
    let mistakes = table.mistakes();
    mistakes.fail(code::ARTWORK_PATTERN, &at, message, hint)
}

/// Reads a colour, or the name of a role in the palette.
fn read_one(value: &Value<'_>, palette: Option<&Palette>) -> Option<Colour> {
    let text = value.raw_text()?;
    let role = Role::ALL.into_iter().find(|role| role.name() == text);
    match (palette, role) {
        (Some(palette), Some(role)) => Some(palette.colour(role)),
        (Some(_) | None, _) => read_colour(value),
    }
}

fn read_palette(value: &Value<'_>) -> Option<&'static Palette> {
    let choices: Vec<_> = PALETTES.iter().map(|p| (p.name, p)).collect();
    value.choice(&choices)
}

/// Reads threads like `2 x 12`: the second colour, twelve threads.
fn read_threads(value: &Value<'_>, most_colours: usize) -> Option<Vec<(usize, u32)>> {
    let items = value.list("[\"1 x 12\", \"2 x 4\"]")?;
    if items.is_empty() || items.len() > MOST_THREADS {
        let message = format!(
            "a list of threads has 1 to {MOST_THREADS} entries, not {}",
            items.len()
        );
        return value.fail(
            code::ARTWORK_PATTERN,
            message,
            "write threads = [\"1 x 12\", \"2 x 4\"]",
        );
    }
    let read = |item: &Value<'_>| {
        let text = item.raw_text()?;
        let split = text
            .split_once('x')
            .map(|(colour, count)| (colour.trim(), count.trim()));
        let numbers =
            split.and_then(|(colour, count)| Some((colour.parse().ok()?, count.parse().ok()?)));
        match numbers {
            Some((colour, count))
                if (1..=most_colours).contains(&colour) && (1..=999).contains(&count) =>
            {
                Some((colour - 1, count))
            }
            Some(_) | None => {
                let message =
                    format!("\"{text}\" is no colour by its number and a count of threads");
                let hint = "write \"2 x 12\" for twelve threads of the second colour";
                item.fail(code::ARTWORK_PATTERN, message, hint)
            }
        }
    };
    let read: Vec<_> = items.iter().map(read).collect();
    read.into_iter().collect()
}

fn read_words(value: &Value<'_>) -> Option<Vec<String>> {
    let items = value.list("[\"basil\", \"dill\"]")?;
    if items.is_empty() || items.len() > MOST_LINES {
        let message = format!(
            "a pattern of words has 1 to {MOST_LINES} lines, not {}",
            items.len()
        );
        return value.fail(
            code::ARTWORK_PATTERN,
            message,
            "write words = [\"basil\", \"dill\"]",
        );
    }
    let read: Vec<_> = items.iter().map(Value::words).collect();
    read.into_iter().collect()
}

fn read_laid(table: &Table<'_>, base: Option<&Laid>) -> Option<Laid> {
    let base = base.copied().unwrap_or_default();
    let or = |key: &'static str| table.has(key);
    let angle_deg = if or("angle") {
        table.optional("angle", Value::degrees)?
    } else {
        base.angle_deg
    };
    let offset_mm = if or("offset") {
        let (x, y) = table.optional("offset", Value::point)?;
        (x.to_mm(), y.to_mm())
    } else {
        base.offset_mm
    };
    let start = if or("start") {
        table.optional("start", |v| v.choice(STARTS))?
    } else {
        base.start
    };
    let whole_within = if or("whole_within") {
        Some(table.optional("whole_within", |v| percent(v, MOST_CHANGE_PERCENT))?)
    } else {
        base.whole_within
    };
    let mirrors = if or("mirror_at") {
        table.optional("mirror_at", read_mirrors)?
    } else {
        base.mirrors
    };
    table.know(&KEYS);
    table.know(&["mirror_at"]);
    Some(Laid {
        angle_deg,
        offset_mm,
        start,
        whole_within,
        mirrors,
    })
}

fn read_mirrors(value: &Value<'_>) -> Option<Mirrors> {
    let mut mirrors = Mirrors::default();
    for item in value.list("[\"left\", \"right\"]")? {
        match item.choice(EDGES)? {
            Edge::Left => mirrors.left = true,
            Edge::Right => mirrors.right = true,
            Edge::Top => mirrors.top = true,
            Edge::Bottom => mirrors.bottom = true,
        }
    }
    Some(mirrors)
}
