//! The swatch book: every pattern in every palette, with what it is called and what it takes.

use kurbo::{Affine, Rect, Shape, Vec2};

use super::page::{Document, Duplex};
use super::typeset::{
    Block, Foot, GREY, INK, Letter, Look, Sheet, WIDTH_MM, heading, line_of_text, pages, paragraph,
    stack,
};
use crate::drawing::{Asset, AssetIndex, Drawing, FillRule, Item, Paint, Stroke, moved_all};
use crate::length::Length;
use crate::pattern::{
    Field, KINDS, Kind, Member, PALETTES, Palette, Role, SETS, Set, Settings, Takes, palette_named,
};
use crate::project::Reads;

const COLUMNS: usize = 4;
const BETWEEN_MM: f64 = 3.0;
const SWATCH_HEIGHT_MM: f64 = 34.0;
const CHIP_HEIGHT_MM: f64 = 13.0;
const LINE_MM: f64 = 0.1;

/// Size of page that a swatch book is set for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BookPaper {
    /// 8 1/2 x 11 in.
    Letter,
    /// 210 x 297 mm.
    A4,
}

/// Returns the book with the pictures it shows.
pub(super) fn swatch_book(paper: BookPaper) -> (Document, Vec<Asset>) {
    let mut assets = Vec::new();
    let mut blocks = vec![heading("Patterns", Letter::TITLE, WIDTH_MM)];
    let intro = "Every pattern at its usual repeat and true size, in every palette. Print at 100 %; lay a ruler on a swatch to see the repeat.";
    blocks.extend(paragraph(intro, Look::body(WIDTH_MM)));
    for kind in KINDS {
        blocks.extend(pattern(kind, &mut assets));
    }
    blocks.push(heading(
        "Patterns that go together",
        Letter::HEADING,
        WIDTH_MM,
    ));
    let sets = "Write set and pattern, like set = \"potting-shed\" and pattern = \"check\": repeat, weight and colours are then as here.";
    blocks.extend(paragraph(sets, Look::body(WIDTH_MM)));
    blocks.extend(SETS.iter().map(|set| together(set, &mut assets)));
    blocks.push(heading("Palettes", Letter::HEADING, WIDTH_MM));
    blocks.extend(PALETTES.iter().map(palette));
    let sheet = match paper {
        BookPaper::Letter => Sheet::LETTER,
        BookPaper::A4 => Sheet::A4,
    };
    let document = Document {
        title: "Patterns".to_owned(),
        author: None,
        pages: pages(&blocks, sheet, &Foot::default(), "Patterns"),
        duplex: Duplex::Simplex,
    };
    (document, assets)
}

fn pattern(kind: &Kind, assets: &mut Vec<Asset>) -> Vec<Block> {
    let mut blocks = vec![heading(kind.title, Letter::HEADING, WIDTH_MM)];
    let told = paragraph(&told(kind), Look::body(WIDTH_MM));
    blocks.extend(told.into_iter().map(Block::with_next));
    let rows = PALETTES.chunks(COLUMNS);
    let last = rows.len().saturating_sub(1);
    for (i, row) in rows.enumerate() {
        let block = stack(vec![gap_above(), swatches(kind, row, assets)]);
        blocks.push(if i < last { block.with_next() } else { block });
    }
    blocks
}

fn gap_above() -> Block {
    Block::new(Vec::new(), 1.5)
}

/// What a pattern is called in project files, how it lies, and what it takes.
fn told(kind: &Kind) -> String {
    let (metric, inch) = kind.usual_repeat;
    let (fewest, most) = kind.colours;
    let reads = match drawn(kind, &PALETTES[0]).map(|field| field.reads) {
        Some(Reads::OneWay) => "It has an up.",
        Some(Reads::Stripe) => "It reads the same upside down, not on its side.",
        Some(Reads::Free) | None => "It reads the same at every quarter turn.",
    };
    let takes = match kind.takes {
        Takes::Nothing => "",
        Takes::Seed => " Another seed scatters it anew.",
        Takes::Threads => " It takes a list of threads.",
        Takes::Words => " It takes words of your own.",
    };
    format!(
        "pattern = \"{}\": {}. Repeat {metric} or {inch}, {}. Weight {:.0} % {}. {fewest} to {most} colours. {reads}{takes}",
        kind.name,
        kind.says,
        kind.repeat_is,
        kind.usual_weight * 100.0,
        kind.weight_is
    )
}

/// A pattern as it is if nothing is said of it; `None` where its usual settings are refused, which a test rules out.
fn drawn(kind: &Kind, palette: &Palette) -> Option<Field> {
    let repeat = Length::parse(kind.usual_repeat.0, None).ok()?;
    let settings = Settings {
        repeat_mm: repeat.to_mm(),
        weight: kind.usual_weight,
        colours: palette.first(kind.usual_count()),
        seed: 0,
        threads: Vec::new(),
        words: Vec::new(),
    };
    (kind.draw)(&settings).ok()
}

fn swatches(kind: &Kind, row: &[Palette], assets: &mut Vec<Asset>) -> Block {
    let row: Vec<Swatch> = row
        .iter()
        .map(|palette| Swatch {
            field: drawn(kind, palette),
            says: vec![palette.name.to_owned()],
        })
        .collect();
    in_a_row(&row, COLUMNS, assets)
}

/// The patterns of a set side by side.
fn together(set: &Set, assets: &mut Vec<Asset>) -> Block {
    let heading = format!("{}: {}", set.palette, set.says);
    let mut blocks = paragraph(&heading, Look::strong(WIDTH_MM));
    blocks.push(gap_above());
    let row: Vec<Swatch> = set.members.iter().map(|m| swatch_in(set, m)).collect();
    blocks.push(in_a_row(&row, row.len(), assets));
    stack(blocks).before(BETWEEN_MM)
}

fn swatch_in(set: &Set, member: &Member) -> Swatch {
    let kind = KINDS.iter().find(|kind| kind.name == member.kind);
    let repeat = Length::parse(member.repeat.0, None).ok();
    let palette = palette_named(set.palette);
    let field = kind
        .zip(repeat)
        .zip(palette)
        .and_then(|((kind, repeat), palette)| {
            (kind.draw)(&member.settings(palette, repeat.to_mm())).ok()
        });
    let says = vec![
        member.kind.to_owned(),
        format!("{}, {}", member.scale.name(), member.repeat.0),
    ];
    Swatch { field, says }
}

/// A piece of a pattern with the lines below it.
struct Swatch {
    /// `None` where its settings are refused, which a test rules out.
    field: Option<Field>,
    says: Vec<String>,
}

/// Swatches from the left, in a row that holds `columns` of them.
fn in_a_row(row: &[Swatch], columns: usize, assets: &mut Vec<Asset>) -> Block {
    let count = f64::from(u32::try_from(columns.max(1)).unwrap_or(1));
    let width_mm = (WIDTH_MM - (count - 1.0) * BETWEEN_MM) / count;
    let mut items = Vec::new();
    let mut left_mm = 0.0;
    let mut height_mm = 0.0_f64;
    for swatch in row {
        let area = Rect::new(0.0, 0.0, width_mm, SWATCH_HEIGHT_MM);
        let seen = swatch.field.as_ref().map(|field| seen(field, area, assets));
        let mut own = seen.unwrap_or_default();
        own.push(frame(area));
        let mut below_mm = SWATCH_HEIGHT_MM + 0.6;
        for text in &swatch.says {
            let line = line_of_text(text, Letter::BODY, GREY);
            own.extend(moved_all(&line.items, Vec2::new(0.0, below_mm)));
            below_mm += line.height_mm;
        }
        items.extend(moved_all(&own, Vec2::new(left_mm, 0.0)));
        left_mm += width_mm + BETWEEN_MM;
        height_mm = height_mm.max(below_mm);
    }
    Block::new(items, height_mm)
}

/// A piece of a field, begun in its middle, cut off at the edges of `swatch`.
fn seen(field: &Field, swatch: Rect, assets: &mut Vec<Asset>) -> Vec<Item> {
    let to_swatch = Affine::translate(swatch.center().to_vec2());
    let in_field = to_swatch.inverse().transform_rect_bbox(swatch);
    let mut inner = vec![Item::Fill {
        path: swatch.to_path(0.1),
        rule: FillRule::NonZero,
        paint: Paint::flat(field.ground),
    }];
    for layer in &field.layers {
        let (picture, unit_to_field) = layer.picture("pattern");
        assets.push(picture);
        let asset = AssetIndex(assets.len() - 1);
        let place = |shift| to_swatch * Affine::translate(shift) * unit_to_field;
        inner.push(Item::Picture {
            asset,
            places: layer.shifts(in_field).into_iter().map(place).collect(),
        });
    }
    vec![Item::Clip {
        path: swatch.to_path(0.1),
        rule: FillRule::NonZero,
        inner: Drawing { items: inner },
    }]
}

fn frame(of: Rect) -> Item {
    Item::Stroke {
        path: of.to_path(0.1),
        stroke: Stroke::solid(LINE_MM),
        paint: Paint::flat(GREY),
    }
}

/// A palette's colours in a row, each with its role and its number.
fn palette(palette: &Palette) -> Block {
    let name = format!("{}: {}", palette.name, palette.says);
    let mut set = paragraph(&name, Look::strong(WIDTH_MM));
    let mut items = Vec::new();
    let count = f64::from(u32::try_from(Role::ALL.len()).unwrap_or(1));
    let width_mm = (WIDTH_MM - (count - 1.0) * BETWEEN_MM) / count;
    let mut left_mm = 0.0;
    let mut height_mm = CHIP_HEIGHT_MM;
    for role in Role::ALL {
        let colour = palette.colour(role);
        let chip = Rect::new(left_mm, 0.0, left_mm + width_mm, CHIP_HEIGHT_MM);
        items.push(Item::Fill {
            path: chip.to_path(0.1),
            rule: FillRule::NonZero,
            paint: Paint::flat(colour),
        });
        items.push(frame(chip));
        for (i, text) in [role.name().to_owned(), colour.to_hex()].iter().enumerate() {
            let line = line_of_text(text, Letter::BODY, INK);
            let down =
                CHIP_HEIGHT_MM + 0.6 + f64::from(u32::try_from(i).unwrap_or(0)) * line.height_mm;
            items.extend(moved_all(&line.items, Vec2::new(left_mm, down)));
            height_mm = down + line.height_mm;
        }
        left_mm += width_mm + BETWEEN_MM;
    }
    set.push(Block::new(items, height_mm));
    stack(set).before(BETWEEN_MM)
}
