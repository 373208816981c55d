//! Fonts of a PDF: which characters its codes stand for, and how wide they are (ISO 32000-1, 9.7 and 9.10.3).

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object};

use super::document::MOST_BYTES;

/// Entries read of one font: several times as many as two bytes tell apart, so that a hostile table ends.
const MOST_ENTRIES: usize = 4 * 65_536;

/// A font whose codes have two bytes.
#[derive(Debug, Default)]
pub(super) struct Font {
    /// Characters by code, as the font's own table says.
    text: BTreeMap<u16, String>,
    /// Widths by code, in ems.
    widths_em: BTreeMap<u16, f64>,
    /// Width of all other codes.
    usual_em: f64,
    /// Entries read.
    entries: usize,
}

impl Font {
    /// Reads a composite font; one without a table of characters has none.
    pub(super) fn read(document: &Document, font: &Dictionary) -> Self {
        let mut read = Self::default();
        let table = font.get_deref(b"ToUnicode", document);
        let table = table.and_then(Object::as_stream).ok();
        if let Some(table) = table.and_then(|t| t.get_plain_content_with_limit(MOST_BYTES).ok()) {
            read.characters(&table);
        }
        let below = font.get_deref(b"DescendantFonts", document);
        let below = below.and_then(Object::as_array).ok();
        let below = below.and_then(|fonts| document.dereference(fonts.first()?).ok());
        if let Some(below) = below.and_then(|(_, font)| font.as_dict().ok()) {
            read.widths(document, below);
        }
        read
    }

    /// The characters of a string and its width in ems, without and with the spaces at its end; a code that stands for nothing is told by
    /// U+FFFD.
    pub(super) fn decode(&self, bytes: &[u8]) -> (String, [f64; 2]) {
        let codes = bytes
            .chunks_exact(2)
            .map(|pair| u16::from_be_bytes([pair[0], pair[1]]));
        let mut text = String::new();
        let (mut inked_em, mut width_em) = (0.0, 0.0);
        for code in codes {
            let own = self.text.get(&code).map_or("\u{fffd}", String::as_str);
            text.push_str(own);
            width_em += self.widths_em.get(&code).unwrap_or(&self.usual_em);
            if !own.trim().is_empty() {
                inked_em = width_em;
            }
        }
        (text, [inked_em, width_em])
    }

    /// Reads a table of characters: `<code> <text>` between `beginbfchar` and `endbfchar`, `<first> <last> <text>` between `beginbfrange`
    /// and `endbfrange`, where `text` may be a list in brackets.
    fn characters(&mut self, table: &[u8]) {
        let table = String::from_utf8_lossy(table);
        for part in table.split("beginbfchar").skip(1) {
            let part = part.split("endbfchar").next().unwrap_or_default();
            let strings = hex_strings(part);
            for pair in strings.chunks_exact(2) {
                if let Some(code) = code(&pair[0]) {
                    self.add(code, utf16(&pair[1]));
                }
            }
        }
        for part in table.split("beginbfrange").skip(1) {
            let part = part.split("endbfrange").next().unwrap_or_default();
            for line in part.lines() {
                self.range(&hex_strings(line), line.contains('['));
            }
        }
    }

    fn range(&mut self, strings: &[Vec<u8>], is_list: bool) {
        let [first, last, texts @ ..] = strings else {
            return;
        };
        let (Some(first), Some(last)) = (code(first), code(last)) else {
            return;
        };
        for (step, code) in (first..=last).enumerate() {
            if self.entries >= MOST_ENTRIES {
                return;
            }
            let text = if is_list {
                texts.get(step).map(|text| utf16(text))
            } else {
                texts.first().and_then(|text| shifted(&utf16(text), step))
            };
            if let Some(text) = text {
                self.add(code, text);
            }
        }
    }

    fn add(&mut self, code: u16, text: String) {
        self.entries += 1;
        if self.entries <= MOST_ENTRIES {
            self.text.insert(code, text);
        }
    }

    /// Reads widths: `first [w w w]` or `first last w`, in thousandths of an em.
    fn widths(&mut self, document: &Document, font: &Dictionary) {
        let usual = font.get(b"DW").and_then(Object::as_float);
        self.usual_em = usual.map_or(1.0, |w| f64::from(w) / 1000.0);
        let list = font.get_deref(b"W", document).and_then(Object::as_array);
        let mut rest = list.map_or(&[][..], Vec::as_slice);
        while let [first, second, more @ ..] = rest
            && self.entries <= MOST_ENTRIES
        {
            let Some(first) = number(first) else {
                return;
            };
            if let Ok(widths) = second.as_array() {
                let own = widths.iter().map(|w| w.as_float().unwrap_or(0.0));
                self.widths_em
                    .extend((first..=u16::MAX).zip(own.map(|w| f64::from(w) / 1000.0)));
                self.entries += widths.len();
                rest = more;
            } else {
                let width = more.first().and_then(|w| w.as_float().ok());
                let (Some(last), Some(width)) = (number(second), width) else {
                    return;
                };
                let own = (first..=last).map(|code| (code, f64::from(width) / 1000.0));
                self.entries += usize::from(last.saturating_sub(first)) + 1;
                self.widths_em.extend(own);
                rest = &more[1..];
            }
        }
    }
}

fn number(object: &Object) -> Option<u16> {
    object.as_i64().ok().and_then(|n| u16::try_from(n).ok())
}

/// All strings in angle brackets, as bytes.
fn hex_strings(text: &str) -> Vec<Vec<u8>> {
    let parts = text.split('<').skip(1);
    let strings = parts.filter_map(|part| part.split('>').next());
    strings
        .map(|digits| {
            let digits: Vec<u32> = digits.chars().filter_map(|c| c.to_digit(16)).collect();
            let pairs = digits.chunks(2);
            let byte = |pair: &[u32]| pair[0] * 16 + pair.get(1).copied().unwrap_or(0);
            pairs
                .map(|pair| u8::try_from(byte(pair)).unwrap_or(0))
                .collect()
        })
        .collect()
}

fn code(bytes: &[u8]) -> Option<u16> {
    <[u8; 2]>::try_from(bytes).ok().map(u16::from_be_bytes)
}

fn utf16(bytes: &[u8]) -> String {
    let units = bytes.chunks_exact(2);
    let units: Vec<u16> = units.map(|b| u16::from_be_bytes([b[0], b[1]])).collect();
    String::from_utf16_lossy(&units)
}

/// The text whose last character is so many places farther.
fn shifted(text: &str, steps: usize) -> Option<String> {
    let last = text.chars().next_back()?;
    let place = u32::from(last).checked_add(u32::try_from(steps).ok()?)?;
    let before = &text[..text.len() - last.len_utf8()];
    Some(format!("{before}{}", char::from_u32(place)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of ISO 32000-1, 9.10.3: three characters for one code, and a range.
    const TABLE: &str = "2 beginbfrange\n<0000> <005E> <0020>\n<005F> <0061> [<00660066> <00660069> <00660066006C>]\nendbfrange\n\
                         1 beginbfchar\n<3A51> <D840DC3E>\nendbfchar\n";

    #[test]
    fn codes_stand_for_what_the_table_says() {
        let mut font = Font::default();
        font.characters(TABLE.as_bytes());
        let text = |codes: &[u8]| font.decode(codes).0;
        // The standard's own words: code 0 is a space, and so on to <005E>, which is a tilde; <005F> to <0061> are ff, fi and ffl.
        assert_eq!(text(&[0, 0, 0, 0x21, 0, 0x5e]), " A~");
        assert_eq!(text(&[0, 0x5f, 0, 0x60, 0, 0x61]), "fffiffl");
        assert_eq!(text(&[0x3a, 0x51]), "\u{2003e}");
        assert_eq!(text(&[0x3a, 0x52]), "\u{fffd}");
    }

    #[test]
    fn widths_are_given_one_by_one_or_for_a_range() {
        let mut font = Font::default();
        // The example of ISO 32000-1, 9.7.4.3: widths of 120 to 122 one by one, and 400 for 7080 to 8032.
        let list = |widths: [i64; 3]| Object::Array(widths.map(Object::Integer).to_vec());
        let own = lopdf::dictionary! {
            "DW" => 500,
            "W" => vec![120.into(), list([400, 325, 500]), 7080.into(), 8032.into(), 1000.into()]
        };
        font.widths(&Document::new(), &own);
        let width_em = |code: u16| font.decode(&code.to_be_bytes()).1[1];
        let found = [120, 121, 122, 123, 7080, 8032].map(width_em);
        let planned = [0.4, 0.325, 0.5, 0.5, 1.0, 1.0];
        assert!(
            found.iter().zip(planned).all(|(a, b)| (a - b).abs() < 1e-6),
            "{found:?}"
        );
    }
}
