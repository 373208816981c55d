//! Constructions of random sizes as projects, for the tests of the fold proof.

use std::collections::BTreeMap;

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::Rng;
use sheetwright::construct::{
    Asked, Construction, Given, Grid, Kind, Made, ParameterKind, Refusal, Value,
};
use sheetwright::diagnostic::{Origin, Place};
use sheetwright::length::{Length, LengthStyle, Size};
use sheetwright::project::{
    Best, CutBy, CutterProfile, Edition, Job, Maker, MarkUse, Operation, OperationKind, Piece,
    PrinterProfile, Project, Stock, StockFace, StockSide, TrimmerProfile, TurnOver, Turns,
};

/// Least and greatest size, in tenths of a millimetre.
const SIZES: (u32, u32) = (150, 2500);

/// Greatest ratio between two sizes.
const MOST_RATIO: u32 = 10;

/// Least and greatest thickness of paper, in hundredths of a millimetre.
const CALIPERS: (u32, u32) = (10, 60);

/// Least and greatest thickness of clear film that bends round a core, in hundredths of a millimetre (common practice, no source).
const FILMS: (u32, u32) = (5, 15);

/// Returns a whole number from the first to the last, both included.
pub(crate) fn between(random: &mut Pcg64Mcg, first: u32, last: u32) -> u32 {
    first + u32::try_from(random.next_u64() % u64::from(last - first + 1)).unwrap()
}

/// Returns one of several.
pub(crate) fn one_of<'a, T>(random: &mut Pcg64Mcg, all: &'a [T]) -> &'a T {
    &all[between(random, 0, u32::try_from(all.len() - 1).unwrap()) as usize]
}

/// Returns random sizes within the ratio, the first not less than the second.
fn random_sizes(random: &mut Pcg64Mcg, dimensions: usize) -> Vec<Length> {
    let (least, most) = SIZES;
    let first = between(random, least, most);
    let mut sizes = vec![first];
    if dimensions > 1 {
        sizes.push(between(
            random,
            least.max(first.div_ceil(MOST_RATIO)),
            first,
        ));
    }
    if dimensions > 2 {
        let (low, high) = (
            least.max(first.div_ceil(MOST_RATIO)),
            most.min(sizes[1] * MOST_RATIO),
        );
        sizes.push(between(random, low, high));
    }
    sizes
        .into_iter()
        .map(|tenths| Length::from_um(i64::from(tenths) * 100))
        .collect()
}

fn caliper_of(random: &mut Pcg64Mcg) -> Size {
    hundredths(random, CALIPERS)
}

/// Returns a random thickness between two, in hundredths of a millimetre.
fn hundredths(random: &mut Pcg64Mcg, (least, most): (u32, u32)) -> Size {
    let um = i64::from(between(random, least, most)) * 10;
    Size::new(Length::from_um(um)).unwrap()
}

/// Returns something random that may be asked of a construction.
pub(crate) fn random_given<'k>(random: &mut Pcg64Mcg, kind: &'k Kind) -> Given<'k> {
    let sizes = random_sizes(random, kind.dimensions);
    let asked = match *one_of(random, kind.sized_by) {
        "inside" => Asked::Inside(sizes),
        "outside" => Asked::Outside(sizes),
        _ => Asked::Contents {
            sizes,
            ease: Length::from_um(i64::from(between(random, 2, 20)) * 100),
        },
    };
    let inch = |n| Grid::of(Length::from_inch_fraction(1, n));
    let grid = *one_of(
        random,
        &[Grid::NONE, Grid::of(Length::from_mm(1)), inch(16), inch(8)],
    );
    let mut values = BTreeMap::new();
    for parameter in kind.parameters {
        values.extend(random_value(random, parameter.kind).map(|value| (parameter.key, value)));
    }
    // A slider is of one card and thin film; its sums hold for that, and most others would be refused.
    let is_of_one_card = kind.name == "double-slider";
    let first = is_of_one_card.then(|| (caliper_of(random), hundredths(random, FILMS)));
    let calipers = kind
        .pieces
        .iter()
        .map(|piece| match (*piece, first) {
            ("band", Some((_, film))) => (*piece, film),
            (_, Some((card, _))) => (*piece, card),
            (_, None) => (*piece, caliper_of(random)),
        })
        .collect();
    Given {
        kind,
        asked,
        values,
        grid,
        is_inch: false,
        style: LengthStyle::Millimetres,
        calipers,
    }
}

/// Returns a word, a flag or up to three lengths of 1 to 5 mm; other values stay as usual.
fn random_value(random: &mut Pcg64Mcg, kind: ParameterKind) -> Option<Value> {
    match kind {
        ParameterKind::Choice(words) => Some(Value::Word((*one_of(random, words)).to_owned())),
        ParameterKind::Flag => Some(Value::Flag(between(random, 0, 1) == 1)),
        ParameterKind::Lengths => {
            let count = between(random, 1, 3);
            let mut length = |_| Length::from_um(i64::from(between(random, 10, 50)) * 100);
            Some(Value::Lengths((0..count).map(&mut length).collect()))
        }
        ParameterKind::Length | ParameterKind::Pair | ParameterKind::Count => None,
    }
}

/// Returns the project of what is asked, each piece of a paper of its own.
pub(crate) fn project_of(given: &Given<'_>) -> Result<Project, Vec<Refusal>> {
    Ok(project((given.kind.build)(given)?, given))
}

fn project(made: Construction, given: &Given<'_>) -> Project {
    let origin = origin();
    let edition = Edition {
        id: String::new(),
        name: String::new(),
        copies: 1,
        spares: 0,
        stock_swaps: Vec::new(),
        artwork_swaps: Vec::new(),
        origin: origin.clone(),
    };
    Project {
        job: job(),
        stocks: made
            .pieces
            .iter()
            .map(|piece| stock(piece.name, given.calipers[piece.name]))
            .collect(),
        pieces: made
            .pieces
            .into_iter()
            .enumerate()
            .map(|(i, made)| piece(i, made))
            .collect(),
        parts: Vec::new(),
        assemblies: vec![made.assembly],
        editions: vec![edition],
        pins: Vec::new(),
        tools: Vec::new(),
        supplies: Vec::new(),
        lesson: sheetwright::project::Lesson::default(),
        paper_list_sha256: None,
        assets: Vec::new(),
        printer: PrinterProfile::default(),
        cutter: CutterProfile::default(),
        trimmer: TrimmerProfile::default(),
    }
}

/// Where all of it is declared.
pub(crate) fn origin() -> Origin {
    Origin {
        key_path: "part[1]".to_owned(),
        place: Place {
            file: "project.toml".to_owned(),
            span: 0..0,
        },
    }
}

fn job() -> Job {
    Job {
        name: "Plant swap".to_owned(),
        date: None,
        cut_by: CutBy::Machine,
        best: Best::FewestSheets,
        rows: false,
        lengths: LengthStyle::Millimetres,
        gap: Length::ZERO,
        least_offcut: (size(25), size(25)),
        marks: MarkUse::Auto,
        mark_scales: false,
        caption: false,
        turn_over: TurnOver::LeftRight,
        hand_lines: false,
        origin: origin(),
    }
}

fn size(mm: i64) -> Size {
    Size::new(Length::from_mm(mm)).unwrap()
}

fn stock(name: &str, caliper: Size) -> Stock {
    Stock {
        id: name.to_owned(),
        name: name.to_owned(),
        format: "iso_a0_841x1189mm".to_owned(),
        width: size(841),
        height: size(1189),
        caliper: Some(caliper),
        grammage_gsm: None,
        grain: None,
        on_hand: None,
        is_clear: false,
        price: None,
        face_a: StockFace::Printable,
        face_b: StockFace::Printable,
        offcut_of: None,
        outline: None,
        origin: origin(),
    }
}

fn piece(stock: usize, made: Made) -> Piece {
    let creases = made.creases.into_iter().map(|crease| Operation {
        folds_to: Some(crease.angle),
        ..operation(OperationKind::Crease { fold: crease.fold }, crease.path)
    });
    let slits = made
        .slits
        .into_iter()
        .map(|path| operation(OperationKind::Cut, path));
    let holes = made
        .holes
        .into_iter()
        .map(|path| operation(OperationKind::Hole, path));
    Piece {
        id: made.name.to_owned(),
        name: made.title,
        per_copy: made.per_copy,
        outline: made.outline,
        fills_sheet: false,
        cut_by: Maker::Machine,
        nicks: None,
        panels: made.panels,
        stock,
        shows: StockSide::A,
        grain: made.grain,
        pattern_up: None,
        turns: Turns::Quarters,
        may_mirror: false,
        treatments: Vec::new(),
        finish: None,
        have: 0,
        operations: creases.chain(slits).chain(holes).collect(),
        artwork: Vec::new(),
        mount: None,
        origin: origin(),
    }
}

fn operation(kind: OperationKind, path: kurbo::BezPath) -> Operation {
    Operation {
        kind,
        path,
        folds_to: None,
        by: Maker::Machine,
        origin: origin(),
    }
}
