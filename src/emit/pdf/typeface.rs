//! Text in the carried font: codes for content streams, and the embedded subset (ISO 32000-1, 9.7 and 9.10).
//!
//! `printpdf` embeds a font only for glyphs that its own page operators show, and pages are spelled in [`content`](super::content);
//! so the font's objects are made here.

use std::{
    collections::{BTreeMap, BTreeSet},
    iter,
};

use kurbo::Shape;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};

use crate::{
    drawing::{GlyphRun, Weight},
    emit::number,
    font::{self, Face, Subset},
};

/// Units in an em of a PDF's glyph space.
const UNITS_PER_EM: f64 = 1000.0;
/// Decimals of a width and of a shift in that space: a thousandth of a unit is 10 nm at 10 mm text.
const UNIT_DECIMALS: usize = 3;

/// Code of the first glyph shown; 0 is the missing glyph.
const FIRST_CODE: u16 = 1;
/// Most entries in one block of a code map.
const MAP_BLOCK: usize = 100;
const MAP_HEAD: &str = "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n\
    /CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n\
    /CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n\
    1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n";
const MAP_TAIL: &str = "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n";

/// Flag of a font whose characters are not those of Latin text alone (ISO 32000-1, table 123).
const SYMBOLIC: i64 = 4;

/// The glyphs of one weight that a document shows, each with the character it stands for.
///
/// A glyph that stands for two characters (a font may draw the Greek letter and the ohm sign alike) has two codes, so that text is
/// copied as it was written.
#[derive(Debug)]
pub(super) struct Typeface {
    face: Face,
    codes: BTreeMap<(u16, char), u16>,
    /// In the order of their codes, which count from 1.
    shown: Vec<(u16, char)>,
}

impl Typeface {
    /// Returns the carried font in a weight, with no glyph shown.
    pub(super) fn new(weight: Weight) -> Self {
        Self {
            face: Face::of(weight),
            codes: BTreeMap::new(),
            shown: Vec::new(),
        }
    }

    /// Notes the glyphs of a run; returns them as the operand of `TJ`: their codes, and a shift where a glyph does not follow at the
    /// width of the one before it.
    pub(super) fn codes(&mut self, run: &GlyphRun) -> String {
        let mut operand = String::from("[<");
        let mut pen_units = 0.0;
        for (placed, character) in run.glyphs.iter().zip(run.text.chars()) {
            let wanted_units = placed.x_mm / run.size_mm * UNITS_PER_EM;
            let shift = number::fixed(pen_units - wanted_units, UNIT_DECIMALS);
            if shift != "0" {
                operand.push_str(&format!("> {shift} <"));
                pen_units = wanted_units;
            }
            let code = self.code(placed.glyph, character);
            operand.push_str(&format!("{code:04X}"));
            pen_units += self.width_units(placed.glyph);
        }
        operand.push_str(">]");
        operand
    }

    fn code(&mut self, glyph: u16, character: char) -> u16 {
        *self.codes.entry((glyph, character)).or_insert_with(|| {
            self.shown.push((glyph, character));
            u16::try_from(self.shown.len())
                .expect("a font maps fewer characters than there are codes")
        })
    }

    /// Adds the font to a file.
    pub(super) fn embed(&self, file: &mut Document) -> ObjectId {
        let glyphs = self.shown.iter().map(|(glyph, _)| *glyph);
        let subset = font::subset(self.face.weight(), &glyphs.collect::<BTreeSet<_>>());
        let descendant = self.descendant(file, &subset);
        let descendant = file.add_object(descendant);
        let unicode = add_stream(file, self.code_to_unicode().into());
        file.add_object(dictionary! {
            "Type" => "Font",
            "Subtype" => "Type0",
            "BaseFont" => Object::Name(subset.name.into()),
            "Encoding" => "Identity-H",
            "DescendantFonts" => vec![descendant.into()],
            "ToUnicode" => unicode,
        })
    }

    fn descendant(&self, file: &mut Document, subset: &Subset) -> Dictionary {
        let descriptor = self.descriptor(file, subset);
        let descriptor = file.add_object(descriptor);
        let map = add_stream(file, self.code_to_glyph(&subset.glyphs));
        dictionary! {
            "Type" => "Font",
            "Subtype" => "CIDFontType2",
            "BaseFont" => Object::Name(subset.name.clone().into()),
            "CIDSystemInfo" => dictionary! {
                "Registry" => Object::string_literal("Adobe"),
                "Ordering" => Object::string_literal("Identity"),
                "Supplement" => 0,
            },
            "FontDescriptor" => descriptor,
            "DW" => 0,
            "W" => self.widths(),
            "CIDToGIDMap" => map,
        }
    }

    fn descriptor(&self, file: &mut Document, subset: &Subset) -> Dictionary {
        let length = i64::try_from(subset.bytes.len()).expect("a font fits into memory");
        let program = Stream::new(dictionary! { "Length1" => length }, subset.bytes.clone());
        let program = file.add_object(program);
        let units = |em: f64| Object::from(number::single(em * UNITS_PER_EM, 0));
        let [left, top, right, bottom] = self.bounds_em();
        dictionary! {
            "Type" => "FontDescriptor",
            "FontName" => Object::Name(subset.name.clone().into()),
            "Flags" => SYMBOLIC,
            "FontBBox" => [left, -bottom, right, -top].map(units).to_vec(),
            "ItalicAngle" => 0,
            "Ascent" => units(self.face.ascent_em()),
            "Descent" => units(-self.face.descent_em()),
            "CapHeight" => units(self.face.cap_height_em()),
            "StemV" => stem_units(self.face.weight()),
            "FontFile2" => program,
        }
    }

    /// What all glyphs fill together: left, top, right and bottom, y down.
    fn bounds_em(&self) -> [f64; 4] {
        let outlines = self
            .shown
            .iter()
            .map(|(glyph, _)| self.face.outline(*glyph));
        let bounds = outlines
            .map(|outline| outline.bounding_box())
            .reduce(|all, one| all.union(one))
            .unwrap_or_default();
        [bounds.x0, bounds.y0, bounds.x1, bounds.y1]
    }

    fn widths(&self) -> Vec<Object> {
        let widths = self.shown.iter().map(|(glyph, _)| {
            let width_units = self.width_units(*glyph);
            number::single(width_units, UNIT_DECIMALS).into()
        });
        vec![FIRST_CODE.into(), Object::Array(widths.collect())]
    }

    /// Two bytes for each code: its glyph in the subset. Code 0 is the missing glyph.
    fn code_to_glyph(&self, subset: &BTreeMap<u16, u16>) -> Vec<u8> {
        let glyphs = self.shown.iter().map(|(glyph, _)| subset[glyph]);
        iter::once(0)
            .chain(glyphs)
            .flat_map(u16::to_be_bytes)
            .collect()
    }

    /// The map from codes to characters, for searching and copying (ISO 32000-1, 9.10.3).
    fn code_to_unicode(&self) -> String {
        let mut map = String::from(MAP_HEAD);
        for (block, shown) in self.shown.chunks(MAP_BLOCK).enumerate() {
            map.push_str(&format!("{} beginbfchar\n", shown.len()));
            for (index, (_, character)) in shown.iter().enumerate() {
                let code = usize::from(FIRST_CODE) + block * MAP_BLOCK + index;
                map.push_str(&format!("<{code:04X}> <"));
                for unit in character.encode_utf16(&mut [0; 2]) {
                    map.push_str(&format!("{unit:04X}"));
                }
                map.push_str(">\n");
            }
            map.push_str("endbfchar\n");
        }
        map.push_str(MAP_TAIL);
        map
    }

    fn width_units(&self, glyph: u16) -> f64 {
        self.face.advance_em(glyph) * UNITS_PER_EM
    }
}

/// Width of an upright stem, from memory; readers use it only if they must replace the font.
const fn stem_units(weight: Weight) -> i64 {
    match weight {
        Weight::Regular => 80,
        Weight::Bold => 140,
    }
}

fn add_stream(file: &mut Document, content: Vec<u8>) -> ObjectId {
    file.add_object(Stream::new(Dictionary::new(), content))
}
