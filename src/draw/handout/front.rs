//! The top of the first page: title, what it is about, the finished object.

use super::super::typeset::{
    Block, GREY, Letter, Look, WIDTH_MM, beside, gap, heading, line_of_text, paragraph, stack,
};
use super::{MEASURE_MM, Told, picture, title};
use crate::length::LengthStyle;
use crate::project::Project;

/// Width of the words beside the picture, and the box that the picture stands in.
const WORDS_MM: f64 = 92.0;
const PICTURE_MM: (f64, f64) = (84.0, 66.0);
/// A row of pictures.
const ROW_HEIGHT_MM: f64 = 52.0;
const IN_ROW: usize = 3;
const BETWEEN_MM: f64 = 6.0;
/// Most flat pieces that are shown beside the words.
const MOST_BESIDE: usize = 3;

pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    let mut blocks = vec![heading(&title(told.project), Letter::TITLE, WIDTH_MM)];
    let project = told.project;
    let has_many = project.assemblies.is_empty() && project.lesson.photo.is_none();
    let pictures = picture::finished(told, PICTURE_MM);
    match &pictures[..] {
        [_] if has_many && bases(project) > MOST_BESIDE => {
            blocks.extend(about(project, MEASURE_MM));
            let wide = picture::finished(told, (WIDTH_MM, ROW_HEIGHT_MM));
            blocks.extend(wide.into_iter().map(|picture| picture.before(4.0)));
        }
        [one] => {
            let words = about(told.project, WORDS_MM);
            blocks.extend(beside(words, one, WIDTH_MM - PICTURE_MM.0));
        }
        _ => {
            blocks.extend(about(told.project, MEASURE_MM));
            blocks.extend(rows(told));
        }
    }
    blocks
}

/// How many pieces lie on no other.
fn bases(project: &Project) -> usize {
    project.pieces.iter().filter(|p| p.mount.is_none()).count()
}

/// Pictures in rows; nothing where there are none.
fn rows(told: Told<'_>) -> Vec<Block> {
    let width_mm = (WIDTH_MM - 2.0 * BETWEEN_MM) / 3.0;
    let pictures = picture::finished(told, (width_mm, ROW_HEIGHT_MM));
    let row = |pictures: &[Block]| {
        let mut row = Block::default();
        let mut x_mm = 0.0;
        for picture in pictures {
            row.items.extend(picture.clone().indented(x_mm).items);
            row.height_mm = row.height_mm.max(picture.height_mm);
            x_mm += width_mm + BETWEEN_MM;
        }
        row.before(4.0)
    };
    pictures.chunks(IN_ROW).map(row).collect()
}

/// Edition, version and date, and the maker's sentences.
fn about(project: &Project, width_mm: f64) -> Vec<Block> {
    let edition = edition(project.job.lengths);
    let mut blocks = vec![line_of_text(edition, Letter::BODY, GREY).with_next()];
    let version = version(project).join(" · ");
    if !version.is_empty() {
        blocks.push(stack(paragraph(&version, Look::quiet(width_mm))).with_next());
    }
    if let Some(by) = &project.lesson.by {
        let by = paragraph(&format!("by {by}"), Look::quiet(width_mm));
        blocks.push(stack(by).with_next());
    }
    if let Some(about) = &project.lesson.about {
        blocks.push(gap(3.0));
        blocks.extend(paragraph(about, Look::body(width_mm)));
    }
    blocks
}

pub(super) const fn edition(style: LengthStyle) -> &'static str {
    match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => "inch edition",
        LengthStyle::Millimetres => "metric edition",
    }
}

/// `version 2` and the date, where they are stated.
pub(super) fn version(project: &Project) -> Vec<String> {
    let version = project.lesson.version.iter();
    let version = version.map(|version| format!("version {version}"));
    version.chain(project.job.date.clone()).collect()
}
