//! The text of a project file to start from: a template of ours, filled in.

use std::collections::BTreeMap;

use super::new_project::NewProject;
use crate::construct::{Kind, Parameter, ParameterKind, Usual};
use crate::length::{Length, LengthStyle};
use crate::load::toml_text;
use crate::project::{CutBy, Part, Project};

/// Paper that a part is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Stock {
    id: &'static str,
    name: String,
    about: &'static str,
    format: String,
    pub(super) caliper: String,
    grammage: Option<String>,
    pub(super) is_clear: bool,
    /// Pieces that are made of it instead of the first stock.
    pieces: Vec<String>,
}

/// Pieces made of something else than the first stock, by construction.
enum Role {
    /// Clear film, always there.
    Film,
    /// A paper of its own.
    Own,
}

const ROLES: &[(&str, &str, Role)] = &[
    ("double-slider", "band", Role::Film),
    ("layered-card", "layer-1", Role::Own),
    ("layered-card", "layer-2", Role::Own),
    ("layered-card", "layer-3", Role::Own),
    ("layered-card", "layer-4", Role::Own),
];

/// Film for an overhead projector, cut to A4 or letter (common practice, no source).
const FILM_CALIPER: &str = "0.1 mm";

/// Returns the stocks: the card first. `made` are the pieces that there are, as far as that is known.
pub(super) fn stocks(asked: &NewProject, kind: &Kind, made: &[String]) -> Vec<Stock> {
    let is_inch = asked.is_inch();
    let usual_format = if is_inch { "letter" } else { "a4" };
    let format = asked.paper.clone().unwrap_or_else(|| usual_format.into());
    let is_usual_card = asked.caliper.is_none() && asked.grammage.is_none();
    let (usual_caliper, usual_grammage) = usual_card(is_inch);
    let card = Stock {
        id: "card",
        name: "Card".to_owned(),
        about: "The thickness decides whether it fits: measure ten sheets together and write a tenth of that.",
        format: format.clone(),
        caliper: asked
            .caliper
            .clone()
            .unwrap_or_else(|| usual_caliper.into()),
        grammage: match &asked.grammage {
            Some(grammage) => Some(grammage.clone()),
            None => is_usual_card.then(|| usual_grammage.into()),
        },
        is_clear: false,
        pieces: Vec::new(),
    };
    let mut stocks = vec![card.clone()];
    let of_kind = ROLES.iter().filter(|(name, _, _)| *name == kind.name);
    for (_, piece, role) in of_kind {
        let is_made = made.iter().any(|name| name == piece);
        match role {
            Role::Film => stocks.push(Stock {
                id: "film",
                name: "Clear film".to_owned(),
                about: "What the band is made of: clear film that bends easily.",
                caliper: FILM_CALIPER.to_owned(),
                grammage: None,
                is_clear: true,
                pieces: vec![(*piece).to_owned()],
                format: format.clone(),
            }),
            Role::Own if is_made => stocks.push(Stock {
                id: piece,
                name: format!("Paper for the {piece}"),
                about: "As thick as the card until you measure it.",
                pieces: vec![(*piece).to_owned()],
                ..card.clone()
            }),
            Role::Own => {}
        }
    }
    stocks
}

/// Thickness and weight of card that folds into boxes, as its makers quote it at a bulk of 1.25.
fn usual_card(is_inch: bool) -> (&'static str, &'static str) {
    if is_inch {
        ("0.27 mm", "80 lb cover")
    } else {
        ("0.3 mm", "240 gsm")
    }
}

/// Returns what came of the sizes, a line each.
pub(super) fn outcome(project: &Project, part: &Part) -> Vec<String> {
    let show = |length: &Length| length.told(project.job.lengths);
    let sizes = |lengths: &[Length]| lengths.iter().map(show).collect::<Vec<_>>().join(" x ");
    let mut lines = Vec::new();
    for fact in &part.facts {
        let got = sizes(&fact.got);
        // What no ruler tells apart is as it was asked for.
        let asked = fact.asked.as_deref().map(sizes);
        let asked = match asked.filter(|asked| *asked != got) {
            Some(asked) => format!(", asked for {asked}"),
            None => String::new(),
        };
        lines.push(format!("{}: {got}{asked}", fact.what));
    }
    lines
}

/// Values that work, by the key of a parameter whose usual value follows from the rest.
pub(super) type Examples = BTreeMap<&'static str, &'static str>;

/// Returns values that a parameter may be shown with if its usual value follows from the rest, the likeliest first.
pub(super) fn candidates(parameter: &Parameter, is_inch: bool) -> &'static [&'static str] {
    const MM: &[&str] = &[
        "12 mm", "16 mm", "10 mm", "20 mm", "8 mm", "25 mm", "6 mm", "30 mm", "5 mm", "40 mm",
        "3 mm", "60 mm", "2 mm", "80 mm", "1 mm", "120 mm",
    ];
    const INCHES: &[&str] = &[
        "1/2 in", "5/8 in", "3/8 in", "3/4 in", "1/4 in", "1 in", "3/16 in", "1 1/4 in", "1/8 in",
        "1 1/2 in", "1/16 in", "2 in", "3 in", "5 in",
    ];
    const MM_PAIRS: &[&str] = &["40 x 30 mm", "30 x 20 mm", "20 x 15 mm", "10 x 10 mm"];
    const INCH_PAIRS: &[&str] = &[
        "2 x 1 1/2 in",
        "1 1/4 x 3/4 in",
        "3/4 x 1/2 in",
        "3/8 x 3/8 in",
    ];
    match (parameter.usual, parameter.kind, is_inch) {
        (Usual::Length { .. } | Usual::Word(_), _, _)
        | (_, ParameterKind::Count | ParameterKind::Choice(_) | ParameterKind::Flag, _) => &[],
        (Usual::Follows(_), ParameterKind::Length | ParameterKind::Lengths, false) => MM,
        (Usual::Follows(_), ParameterKind::Length | ParameterKind::Lengths, true) => INCHES,
        (Usual::Follows(_), ParameterKind::Pair, false) => MM_PAIRS,
        (Usual::Follows(_), ParameterKind::Pair, true) => INCH_PAIRS,
    }
}

/// Returns the project file. `outcome` is what came of it, told in its head.
pub(super) fn text(
    asked: &NewProject,
    kind: &Kind,
    stocks: &[Stock],
    outcome: &[String],
    examples: &Examples,
) -> String {
    let part = part(asked, kind, stocks, examples);
    head(asked, kind, outcome) + &job(asked, kind) + &papers(stocks) + &part
}

fn head(asked: &NewProject, kind: &Kind, outcome: &[String]) -> String {
    let sizes = asked
        .sizes
        .iter()
        .map(|(key, text)| format!("{key} {text}"));
    let ease = asked.ease.iter().map(|ease| format!("ease {ease}"));
    let parameters = asked
        .parameters
        .iter()
        .map(|(key, text)| format!("{key} {text}"));
    let wishes: Vec<_> = sizes.chain(ease).chain(parameters).collect();
    let mut text = comment(&format!(
        "{}: {}.",
        kind.title,
        kind.about.trim_end_matches('.')
    ));
    text += &wished(&wishes);
    text += &came_to(outcome);
    text += "#\n# Lines that begin with # say what else can be changed, with values that are usual or do: take the # away and write your own.\n";
    text
}

const ASKED_FOR: &str = "Asked for: ";
const CAME_TO: &str = "When this file was made it came to";
const INDENT: &str = "    ";

fn wished(wishes: &[String]) -> String {
    comment(&format!("{ASKED_FOR}{}.", wishes.join(", ")))
}

fn came_to(outcome: &[String]) -> String {
    if outcome.is_empty() {
        return String::new();
    }
    let lines = outcome
        .iter()
        .map(|line| comment(&format!("{INDENT}{line}")));
    comment(CAME_TO) + &lines.collect::<String>()
}

/// Returns a file of ours with the sizes in its head said anew; `None` if it has no such head.
pub(super) fn retold(text: &str, project: &Project) -> Option<String> {
    let part = project.parts.first()?;
    let wishes = part.asked.iter().filter(|(key, _)| key != "grid");
    let bare = |value: &str| value.replace(['[', ']', '"'], "");
    let wishes: Vec<_> = wishes
        .map(|(key, value)| format!("{key} {}", bare(value)))
        .collect();
    let (asked, came) = (format!("# {ASKED_FOR}"), format!("# {CAME_TO}"));
    let mut told = String::new();
    let (mut is_retold, mut is_outcome) = (false, false);
    let mut is_head = true;
    for line in text.split_inclusive('\n') {
        is_head &= line.starts_with('#');
        is_outcome &= line.starts_with(&format!("# {INDENT}"));
        if is_head && line.starts_with(&asked) {
            told += &wished(&wishes);
            is_retold = true;
        } else if is_head && line.starts_with(&came) {
            told += &came_to(&outcome(project, part));
            (is_retold, is_outcome) = (true, true);
        } else if !(is_head && is_outcome) {
            told += line;
        }
    }
    is_retold.then_some(told)
}

/// A line that programs do not read; what was typed may hold line ends.
fn comment(text: &str) -> String {
    let line: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    format!("# {line}").trim_end().to_owned() + "\n"
}

fn job(asked: &NewProject, kind: &Kind) -> String {
    let name = toml_text(asked.name.as_deref().unwrap_or(kind.title));
    let cut_by = match asked.cut_by {
        CutBy::Machine => "machine",
        CutBy::Trimmer => "trimmer",
    };
    let show = if asked.is_inch() {
        "inch fractions"
    } else {
        "mm"
    };
    format!(
        "
sheetwright = 1

[job]
name = {name}
# How many are made.
copies = {}
# \"machine\" or \"trimmer\": what cuts the outlines.
cut_by = \"{cut_by}\"
show_lengths = \"{show}\"
# A few more, for those that go wrong.
# spares = \"10 %\"
# What is measured of your printer and cutting machine.
# printer = \"printer.toml\"
# cutter = \"cutter.toml\"
",
        asked.copies
    )
}

fn papers(stocks: &[Stock]) -> String {
    let mut text = String::new();
    for stock in stocks {
        text += "\n";
        text += &comment(stock.about);
        text += &format!(
            "[[stock]]\nid = {}\nname = {}\nformat = {}\ncaliper = {}\n",
            toml_text(stock.id),
            toml_text(&stock.name),
            toml_text(&stock.format),
            toml_text(&stock.caliper)
        );
        if let Some(grammage) = &stock.grammage {
            text += &format!("grammage = {}\n", toml_text(grammage));
        }
        if stock.is_clear {
            text += "clear = true\n";
        } else {
            text += "# Which way the fibres run, how many sheets there are, and whether face a can be printed on.\n";
            text += "# grain = \"long\"\n# on_hand = 10\n# face_a = \"printable\"\n";
        }
    }
    text
}

fn part(asked: &NewProject, kind: &Kind, stocks: &[Stock], examples: &Examples) -> String {
    let id = asked.id.as_deref().unwrap_or(kind.name);
    let mut text = format!(
        "\n[[part]]\nid = {}\nname = {}\nconstruction = {}\n",
        toml_text(id),
        toml_text(asked.name.as_deref().unwrap_or(kind.title)),
        toml_text(kind.name)
    );
    text += &comment(&format!(
        "{}, by {}.",
        axes(kind.dimensions),
        kind.sized_by.join(" or ")
    ));
    for (key, sizes) in &asked.sizes {
        text += &format!("{key} = {}\n", toml_text(sizes));
    }
    if let Some(ease) = &asked.ease {
        text += &format!("ease = {}\n", toml_text(ease));
    }
    match &asked.grid {
        Some(grid) => text += &format!("grid = {}\n", toml_text(grid)),
        None => {
            let step = if asked.is_inch() { "1/16 in" } else { "1 mm" };
            text += "# The step that every crease and cut lies on, if you measure by hand.\n";
            text += &format!("# grid = \"{step}\"\n");
        }
    }
    text += &format!("stock = {}\n", toml_text(stocks[0].id));
    let style = style(asked);
    for parameter in kind.parameters {
        text += &parameter_lines(asked, parameter, style, examples);
    }
    for stock in &stocks[1..] {
        for piece in &stock.pieces {
            text += &format!(
                "\n[[part.piece]]\npiece = {}\nstock = {}\n",
                toml_text(piece),
                toml_text(stock.id)
            );
        }
    }
    text + &artwork(kind)
}

fn style(asked: &NewProject) -> LengthStyle {
    if asked.is_inch() {
        LengthStyle::InchFractions
    } else {
        LengthStyle::Millimetres
    }
}

/// What the sizes are, in order.
pub(super) fn axes(dimensions: usize) -> &'static str {
    match dimensions {
        1 => "Length",
        2 => "Width x height",
        _ => "Length x width x depth",
    }
}

/// A parameter with what it is: as asked for, or as usual behind a #.
fn parameter_lines(
    asked: &NewProject,
    parameter: &Parameter,
    style: LengthStyle,
    examples: &Examples,
) -> String {
    let key = parameter.key;
    let given = asked.parameters.iter().filter(|(own, _)| own == key);
    let mut text = comment(&sentence(parameter.about));
    let values: Vec<_> = given
        .map(|(_, value)| spelled(parameter.kind, value))
        .collect();
    if values.is_empty() {
        text += &match usual(parameter, style) {
            Ok(value) => format!("# {key} = {value}\n"),
            Err(follows) => match examples.get(key) {
                Some(value) => {
                    let value = spelled(parameter.kind, value);
                    format!("# {key} = {value}  # without it {follows}\n")
                }
                None => comment(&format!("{key}: {follows}")),
            },
        };
    }
    text.extend(values.iter().map(|value| format!("{key} = {value}\n")));
    text
}

/// The usual value as files have it; where it follows from the rest, how.
fn usual(parameter: &Parameter, style: LengthStyle) -> Result<String, &'static str> {
    match parameter.usual {
        Usual::Length { metric, inch } => {
            let text = match style {
                LengthStyle::InchFractions | LengthStyle::InchDecimals => inch,
                LengthStyle::Millimetres => metric,
            };
            Ok(spelled(parameter.kind, text))
        }
        Usual::Word(word) => Ok(spelled(parameter.kind, word)),
        Usual::Follows(how) => Err(how),
    }
}

/// A value of a parameter as files have it. One of the wrong kind stays text, which the check then refuses.
fn spelled(kind: ParameterKind, value: &str) -> String {
    match kind {
        ParameterKind::Length | ParameterKind::Pair | ParameterKind::Choice(_) => toml_text(value),
        ParameterKind::Lengths => {
            let parted = if value.contains(';') { ';' } else { ',' };
            let items: Vec<_> = value
                .split(parted)
                .map(|item| toml_text(item.trim()))
                .collect();
            format!("[{}]", items.join(", "))
        }
        ParameterKind::Count => match value.trim().parse::<u32>() {
            Ok(count) => count.to_string(),
            Err(_) => toml_text(value),
        },
        ParameterKind::Flag => match value.trim() {
            "yes" | "true" => "true".to_owned(),
            "no" | "false" => "false".to_owned(),
            _ => toml_text(value),
        },
    }
}

fn artwork(kind: &Kind) -> String {
    let piece = kind.pieces.first().copied().unwrap_or_default();
    format!(
        "
# Artwork is printed on a piece, once its stock has face_a = \"printable\".
# [[part.piece]]
# piece = \"{piece}\"
# [[part.piece.artwork]]
# colour = \"#a3b18a\"
"
    )
}

fn sentence(about: &str) -> String {
    let mut letters = about.chars();
    let first = letters.next().map(|c| c.to_uppercase().collect::<String>());
    let text = first.unwrap_or_default() + letters.as_str();
    if text.ends_with('.') {
        text
    } else {
        text + "."
    }
}
