//! The `[[part]]` tables: pieces that a construction makes from a few sizes.

use std::collections::BTreeMap;

use toml::de::DeTable;

use super::code;
use super::ids::Ids;
use super::part_asked::{self, ReadAsked};
use super::part_paper::{Papers, Stocks, read_calipers, read_stocks};
use super::part_remedy;
use super::source::{MadePiece, Source};
use super::table::{Table, nearest};
use super::value::Value;
use crate::construct::{self, Construction, Given, Kind, Made, Parameter, Usual};
use crate::diagnostic::{Diagnostic, Origin};
use crate::length::{Length, Size};
use crate::project::{Assembly, Part};

const MOST_PER_COPY: u32 = 999;

/// Less than a good trimmer and a careful fold hold (common practice, no source: a tenth of a millimetre) is no room at all.
const LEAST_CLEARANCE: Length = Length::from_um(100);

/// All that the parts bring along.
#[derive(Debug, Default)]
pub(super) struct Parts<'t> {
    /// Their pieces with their ids, in the order of the parts.
    pub(super) sources: Vec<(Option<(String, Origin)>, Source<'t>)>,
    pub(super) parts: Vec<Part>,
    pub(super) assemblies: Vec<Assembly>,
}

/// Reads all parts; the first of their pieces has the position `first`. An empty table stands where a piece has none of its own.
pub(super) fn read_all<'t>(
    tables: &[Table<'t>],
    ids: &Ids,
    papers: Papers<'_>,
    first: usize,
    bare: &'t DeTable<'t>,
) -> Parts<'t> {
    let mut all = Parts::default();
    for (i, table) in tables.iter().enumerate() {
        let at = first + all.sources.len();
        read(table, ids.get(i), papers, at, bare, &mut all);
    }
    all
}

fn read<'t>(
    table: &Table<'t>,
    id: String,
    papers: Papers<'_>,
    at: usize,
    bare: &'t DeTable<'t>,
    all: &mut Parts<'t>,
) {
    if table.is_misspelt("construction") {
        all.sources.push((None, Source::Unknown));
        return;
    }
    let kind = table.required("construction", &kind_example(), read_kind);
    let name = table
        .optional("name", Value::words)
        .unwrap_or_else(|| id.clone());
    let Some(kind) = kind else {
        all.sources.push((None, Source::Unknown));
        return;
    };
    let per_copy = table
        .optional("per_copy", |v| v.whole(1..=MOST_PER_COPY))
        .unwrap_or(1);
    let is_bound = table
        .optional("with_grain", Value::boolean)
        .unwrap_or(false);
    let asked = part_asked::read(table, kind, &papers.job.job);
    let dress = read_dress(table, kind);
    let stocks = read_stocks(table, kind, &dress, papers);
    table.close();
    let calipers = read_calipers(table, &stocks, &dress, papers);
    let built = build(table, kind, &asked, calipers, papers);
    let mut dressed = Dressed {
        table,
        id: &id,
        dress,
        stocks,
        bare,
    };
    let Some(built) = built else {
        for piece in kind.pieces {
            let source = dressed.source(piece, None);
            all.sources.push(source);
        }
        return;
    };
    dressed.refuse_strangers(kind, &built.pieces);
    let is_single = built.pieces.len() == 1;
    let count = built.pieces.len();
    for mut made in built.pieces {
        if !is_bound {
            made.grain = None;
        }
        let title = if is_single {
            name.clone()
        } else {
            format!("{name}, {}", uncapitalised(&made.title))
        };
        let (piece, by) = (made.name, papers.job.maker());
        let made = MadePiece::new(made, title, per_copy, by, &table.origin(), table.mistakes());
        let source = dressed.source(piece, made);
        all.sources.push(source);
    }
    all.assemblies
        .push(adopt(built.assembly, &id, &name, at, &table.origin()));
    all.parts.push(Part {
        construction: kind.name,
        asked: asked.as_typed,
        pieces: at..at + count,
        facts: built.facts,
        origin: table.origin(),
        name,
        id,
    });
}

/// A title in the middle of a name.
fn uncapitalised(title: &str) -> String {
    let mut letters = title.chars();
    let first = letters.next().into_iter().flat_map(char::to_lowercase);
    first.chain(letters).collect()
}

fn kind_example() -> String {
    let first = construct::KINDS.first().map_or("tray", |kind| kind.name);
    format!("construction = \"{first}\"")
}

fn read_kind(value: &Value<'_>) -> Option<&'static Kind> {
    let name = value.raw_text()?;
    construct::named(name).or_else(|| {
        let names = || construct::KINDS.iter().map(|kind| kind.name);
        let meant = construct::meant_by(name);
        let near = nearest(name, names());
        let hint = match (&meant[..], near.as_ref()) {
            ([one], _) | ([], Some(one)) => format!("write construction = \"{one}\""),
            ([], None) => format!("write one of {}", names().collect::<Vec<_>>().join(", ")),
            (several, _) => format!("write one of {}", several.join(", ")),
        };
        let message = format!("no construction is called \"{name}\"");
        value.fail(code::VALUE_CHOICE, message, hint)
    })
}

/// Reads the `[[part.piece]]` tables, each with the name of the piece that it dresses.
fn read_dress<'t>(table: &Table<'t>, kind: &Kind) -> Vec<(Option<&'static str>, Table<'t>)> {
    let names: Vec<_> = kind.pieces.iter().map(|name| (*name, *name)).collect();
    let example = format!("piece = \"{}\"", kind.pieces.first().unwrap_or(&"base"));
    let mut read: Vec<(Option<&'static str>, Table<'t>)> = Vec::new();
    for own in table.tables("piece") {
        let is_misspelt = own.is_misspelt("piece");
        let piece = if is_misspelt {
            None
        } else {
            own.required("piece", &example, |value| value.choice(&names))
        };
        let earlier = read
            .iter()
            .find(|(name, _)| piece.is_some() && *name == piece);
        if let (Some(piece), Some((_, earlier))) = (piece, earlier) {
            let message = format!("the piece {piece} has two [[part.piece]] tables");
            let mistake = Diagnostic::error(code::PART_PIECE, message)
                .at(&own.origin_of("piece"))
                .related(&earlier.origin_of("piece"), "the first is here")
                .hint("write all that is said of a piece under one of them");
            own.mistakes().push(mistake);
        }
        read.push((piece, own));
    }
    read
}

/// Builds the construction; `None` if it cannot be, which is reported.
fn build(
    table: &Table<'_>,
    kind: &'static Kind,
    asked: &ReadAsked,
    calipers: Option<BTreeMap<&'static str, Size>>,
    papers: Papers<'_>,
) -> Option<Construction> {
    let style = papers.job.job.lengths;
    let given = Given {
        kind,
        asked: asked.sizes.clone()?,
        values: asked.values.clone()?,
        grid: asked.grid?,
        is_inch: part_asked::is_inch(style),
        style,
        calipers: calipers?,
    };
    let refusals = match (kind.build)(&given) {
        Ok(built) => {
            warn_of_tightness(table, &given);
            return Some(built);
        }
        Err(refusals) => refusals,
    };
    for refusal in &refusals {
        let hint = part_remedy::hint(&given, &refusals, refusal);
        let is_sizes = ["inside", "outside", "contents"].contains(&refusal.key);
        let key = match asked.sizes_key {
            Some(key) if is_sizes => key,
            Some(_) | None => refusal.key,
        };
        table.mistakes().fail::<()>(
            code::PART_REFUSED,
            &table.origin_of(key),
            refusal.message.as_str(),
            hint,
        );
    }
    None
}

/// Warns of clearances that leave what moves no room: less than [`LEAST_CLEARANCE`].
fn warn_of_tightness(table: &Table<'_>, given: &Given<'_>) {
    let is_clearance = |p: &&Parameter| p.key.ends_with("clearance");
    for parameter in given.kind.parameters.iter().filter(is_clearance) {
        let Some(is) = given.length_given(parameter.key) else {
            continue;
        };
        let Usual::Length { metric, inch } = parameter.usual else {
            continue;
        };
        if is >= LEAST_CLEARANCE {
            continue;
        }
        let (key, usual) = (parameter.key, if given.is_inch { inch } else { metric });
        let message = format!("{key} is {}, and what moves will jam", given.show(is));
        let warning = Diagnostic::warning(code::PART_CLEARANCE, message)
            .at(&table.origin_of(key))
            .hint(format!(
                "write {key} = \"{usual}\", which is usual, or leave it out"
            ));
        table.mistakes().push(warning);
    }
}

/// What is said of the pieces of one part.
struct Dressed<'p, 't> {
    table: &'p Table<'t>,
    id: &'p str,
    dress: Vec<(Option<&'static str>, Table<'t>)>,
    stocks: Stocks,
    bare: &'t DeTable<'t>,
}

impl<'t> Dressed<'_, 't> {
    /// Returns one of its pieces with its id, and takes its table.
    fn source(
        &mut self,
        piece: &'static str,
        made: Option<MadePiece>,
    ) -> (Option<(String, Origin)>, Source<'t>) {
        let own = self.dress.iter().position(|(name, _)| *name == Some(piece));
        let dress = match own {
            Some(i) => self.dress.remove(i).1,
            None => self.table.bare(self.bare),
        };
        let id = format!("{}/{piece}", self.id);
        let stock = self.stocks.get(piece).and_then(Option::as_ref);
        let source = Source::Part {
            dress,
            stock: stock.map(|(stock, _)| *stock),
            made: made.map(Box::new),
        };
        let is_named = !self.id.is_empty();
        (is_named.then(|| (id, self.table.origin())), source)
    }

    /// Reports tables of pieces that this part does not have.
    fn refuse_strangers(&self, kind: &Kind, pieces: &[Made]) {
        let names: Vec<_> = pieces.iter().map(|made| made.name).collect();
        for (piece, own) in &self.dress {
            let Some(piece) = piece.filter(|piece| !names.contains(piece)) else {
                continue;
            };
            let message = format!("this {} has no {piece}, as it is asked for", kind.name);
            let hint = format!("leave it out; its pieces are {}", names.join(", "));
            let origin = own.origin_of("piece");
            own.mistakes()
                .fail::<()>(code::PART_PIECE, &origin, message, hint);
        }
    }
}

/// Takes the assembly of a construction into the project: names, positions and places become those of the part.
fn adopt(mut built: Assembly, id: &str, name: &str, at: usize, origin: &Origin) -> Assembly {
    for member in &mut built.members {
        member.piece += at;
        member.name = format!("{id}/{}", member.name);
    }
    for joint in &mut built.joints {
        joint.origin = origin.clone();
    }
    for patch in &mut built.free_of_glue {
        patch.origin = origin.clone();
    }
    Assembly {
        id: id.to_owned(),
        name: name.to_owned(),
        origin: origin.clone(),
        ..built
    }
}
