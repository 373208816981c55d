//! What every page must have: its format, its place in the file, nothing outside what letter and A4 both print, no letter too small.

use kurbo::{Point, Rect};

use super::super::compare::mm;
use super::super::page::{INSIDE_MM, PageCheck, format_of, open, reaching_out, seen};
use super::super::pdf::found::{PageFound, Paint, PdfFound, Words};
use super::super::pdf::read_pdf;
use super::super::verdict::{Finding, Tally};
use super::facts::tokens;
use super::text::{Cell, Line};
use crate::math::{VERIFY_MM, hypot};

/// The layer of lines that stand on every page.
const FOOT: &str = "Foot";
/// 11 points.
const LEAST_LETTER_MM: f64 = 11.0 / 72.0 * 25.4;
/// Words on one line have their baselines within so much.
const BASELINE_MM: f64 = 0.35;

/// Reads a file, checks its pages, and returns its words line by line, those at the feet left out.
pub(super) fn read(tally: &mut Tally, bytes: &[u8]) -> Option<(PdfFound, Vec<Line>)> {
    let planned = read_pdf(bytes).ok().and_then(|found| stated_pages(&found));
    let found = open(tally, bytes, planned.unwrap_or(1))?;
    let mut lines = Vec::new();
    for (number, page) in (1..).zip(&found.pages) {
        let (width_mm, height_mm) = format_of(page);
        let paper = Rect::new(0.0, 0.0, width_mm, height_mm);
        PageCheck::start(tally, &found, number, paper);
        check_foot(tally, page, number, planned.unwrap_or(1));
        check_inside(
            tally,
            page,
            Rect::from_center_size(paper.center(), INSIDE_MM),
        );
        check_letters(tally, page);
        lines.extend(page_lines(page, number));
    }
    Some((found, lines))
}

/// How many pages the first one says there are.
fn stated_pages(found: &PdfFound) -> Option<u32> {
    let foot = foot(found.pages.first()?);
    let words = tokens(&foot);
    let mut fours = words.windows(4);
    let stated = fours.find(|four| four[0] == "page" && four[2] == "of")?;
    stated[3].parse().ok()
}

fn foot(page: &PageFound) -> String {
    let loose = page.loose.iter();
    let foot = loose.filter(|loose| loose.layer.as_deref() == Some(FOOT));
    let words = foot.filter_map(|loose| words(&loose.what));
    let texts: Vec<&str> = words.map(|words| words.text.as_str()).collect();
    texts.join(" | ")
}

fn check_foot(tally: &mut Tally, page: &PageFound, number: u32, of: u32) {
    let foot = foot(page);
    let wanted = tokens(&format!("page {number} of {of}"));
    tally.count();
    if !tokens(&foot).windows(4).any(|four| four == wanted) {
        let finding = Finding::numbers(
            "verify.pages",
            "the foot of the page",
            format!("page {number} of {of}"),
            foot,
        );
        tally.add(finding);
    }
}

const fn words(paint: &Paint) -> Option<&Words> {
    match paint {
        Paint::Text(words) => Some(words),
        Paint::Fill { .. } | Paint::Stroke { .. } | Paint::Picture { .. } | Paint::Shading => None,
    }
}

fn all_words(page: &PageFound) -> impl Iterator<Item = (&Words, bool)> {
    let tagged = page.tagged.iter().flat_map(|tagged| &tagged.items);
    let tagged = tagged.map(|item| (&item.what, false));
    let loose = page.loose.iter();
    let loose = loose.map(|loose| (&loose.what, loose.layer.as_deref() == Some(FOOT)));
    let all = tagged.chain(loose);
    all.filter_map(|(what, is_foot)| Some((words(what)?, is_foot)))
}

fn check_inside(tally: &mut Tally, page: &PageFound, inside: Rect) {
    let tagged = page.tagged.iter().flat_map(|tagged| {
        let items = tagged.items.iter();
        items.map(|item| (&item.what, &item.clips, tagged.id.as_str()))
    });
    let loose = page.loose.iter();
    let loose = loose.map(|loose| (&loose.what, &loose.clips, "a drawing"));
    for (what, clips, id) in tagged.chain(loose) {
        let (ink, name) = match words(what) {
            Some(words) => (Some(words.extent()), format!("{:?}", words.text)),
            None => (seen(what, clips), id.to_owned()),
        };
        let Some(ink) = ink else {
            continue;
        };
        if let Some(finding) = reaching_out(tally, &name, ink, inside) {
            tally.add(finding);
        }
    }
}

fn em_mm(words: &Words) -> f64 {
    hypot(words.up.x, words.up.y)
}

fn check_letters(tally: &mut Tally, page: &PageFound) {
    for (words, _) in all_words(page) {
        tally.count();
        if em_mm(words) < LEAST_LETTER_MM - VERIFY_MM {
            let what = format!("size of the letters of {:?}", words.text);
            let (planned, found) = (format!("{} or more", mm(LEAST_LETTER_MM)), mm(em_mm(words)));
            tally.add(Finding::numbers("verify.scaled", &what, planned, found));
        }
    }
}

fn page_lines(page: &PageFound, number: u32) -> Vec<Line> {
    let level = all_words(page).filter(|(words, is_foot)| words.are_level() && !is_foot);
    let mut cells: Vec<(Point, Cell)> = level
        .map(|(words, _)| {
            let cell = Cell {
                x_mm: words.at.x,
                em_mm: em_mm(words),
                text: words.text.trim().to_owned(),
            };
            (words.at, cell)
        })
        .collect();
    cells.sort_by(|(a, _), (b, _)| a.y.total_cmp(&b.y));
    let mut lines: Vec<Line> = Vec::new();
    for (at, cell) in cells {
        match lines.last_mut() {
            Some(line) if at.y - line.baseline_mm <= BASELINE_MM => line.cells.push(cell),
            Some(_) | None => lines.push(Line {
                page: number,
                baseline_mm: at.y,
                cells: vec![cell],
            }),
        }
    }
    for line in &mut lines {
        line.cells.sort_by(|a, b| a.x_mm.total_cmp(&b.x_mm));
    }
    lines
}
