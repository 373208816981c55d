//! Writes the pages of `tests/bench/pages.py` with the library pdf-writer, and prints the seconds of the processor that takes.
//!
//!     pages-reference ELEMENTS PAGES OUT
//!
//! ELEMENTS holds a line for each element: red, green, blue, and the numbers of a path of one point and cubic curves. The first line of PAGES
//! is the size of a page and the width of ticks; then come `page`, for each piece on it `piece`, its clip's corners, `|`, and the matrix of the
//! picture, and for each tick `tick` and its two ends.
//! Everything in points, y up.

use std::{env, fs};

use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref};

const RUNS: usize = 5;

struct Page {
    pieces: Vec<Piece>,
    /// Ends of lines that are a hair wide: two points each.
    ticks: Vec<Vec<f32>>,
}

struct Piece {
    clip: Vec<f32>,
    matrix: [f32; 6],
}

fn main() {
    let files: Vec<String> = env::args().skip(1).collect();
    let elements = numbers_by_line(&fs::read_to_string(&files[0]).unwrap());
    let (size, pages) = read_pages(&fs::read_to_string(&files[1]).unwrap());
    let mut best_s = f64::INFINITY;
    for _ in 0..RUNS {
        let start_s = busy_s();
        let bytes = write(&elements, size, &pages);
        best_s = best_s.min(busy_s() - start_s);
        fs::write(&files[2], bytes).unwrap();
    }
    println!("{best_s}");
}

/// Seconds of the processor that this thread had so far.
fn busy_s() -> f64 {
    let spent = fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    spent.split(' ').next().unwrap().parse::<f64>().unwrap() / 1e9
}

fn numbers_by_line(text: &str) -> Vec<Vec<f32>> {
    let numbers = |line: &str| line.split(' ').map(|n| n.parse().unwrap()).collect();
    text.lines().map(numbers).collect()
}

fn read_pages(text: &str) -> ([f32; 3], Vec<Page>) {
    let mut lines = text.lines();
    let size = numbers_by_line(lines.next().unwrap())[0].clone();
    let mut pages: Vec<Page> = Vec::new();
    for line in lines {
        match line.split_once(' ') {
            None => pages.push(Page {
                pieces: Vec::new(),
                ticks: Vec::new(),
            }),
            Some(("tick", rest)) => {
                let tick = numbers_by_line(rest)[0].clone();
                pages.last_mut().unwrap().ticks.push(tick);
            }
            Some((_, rest)) => {
                let (clip, matrix) = rest.split_once(" | ").unwrap();
                let matrix = numbers_by_line(matrix)[0].clone();
                pages.last_mut().unwrap().pieces.push(Piece {
                    clip: numbers_by_line(clip)[0].clone(),
                    matrix: matrix.try_into().unwrap(),
                });
            }
        }
    }
    (size.try_into().unwrap(), pages)
}

fn packed(content: Content) -> Vec<u8> {
    miniz_oxide::deflate::compress_to_vec_zlib(&content.finish(), 6)
}

fn write(elements: &[Vec<f32>], [wide, high, tick_width]: [f32; 3], pages: &[Page]) -> Vec<u8> {
    let mut pdf = Pdf::new();
    let (catalog, tree, form) = (Ref::new(1), Ref::new(2), Ref::new(3));
    let page_ref = |n: usize| Ref::new(4 + 2 * i32::try_from(n).unwrap());
    let content_ref = |n: usize| Ref::new(5 + 2 * i32::try_from(n).unwrap());
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree)
        .kids((0..pages.len()).map(page_ref))
        .count(i32::try_from(pages.len()).unwrap());
    let mut content = Content::new();
    for element in elements {
        content.set_fill_rgb(element[0], element[1], element[2]);
        content.move_to(element[3], element[4]);
        for c in element[5..].chunks_exact(6) {
            content.cubic_to(c[0], c[1], c[2], c[3], c[4], c[5]);
        }
        content.close_path().fill_nonzero();
    }
    let data = packed(content);
    let mut picture = pdf.form_xobject(form, &data);
    picture.filter(Filter::FlateDecode);
    picture.bbox(Rect::new(0.0, 0.0, 1000.0, 1000.0));
    picture.finish();
    for (n, page) in pages.iter().enumerate() {
        let mut content = Content::new();
        for piece in &page.pieces {
            content.save_state();
            content.move_to(piece.clip[0], piece.clip[1]);
            for corner in piece.clip[2..].chunks_exact(2) {
                content.line_to(corner[0], corner[1]);
            }
            content.close_path().clip_nonzero().end_path();
            content.transform(piece.matrix).x_object(Name(b"P"));
            content.restore_state();
        }
        content.set_stroke_gray(0.0).set_line_width(tick_width);
        for tick in &page.ticks {
            content
                .move_to(tick[0], tick[1])
                .line_to(tick[2], tick[3])
                .stroke();
        }
        let data = packed(content);
        pdf.stream(content_ref(n), &data)
            .filter(Filter::FlateDecode);
        let mut page = pdf.page(page_ref(n));
        page.parent(tree).media_box(Rect::new(0.0, 0.0, wide, high));
        page.contents(content_ref(n));
        page.resources().x_objects().pair(Name(b"P"), form);
    }
    pdf.finish()
}
