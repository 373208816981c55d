//! Tables whose columns are as wide as what stands in them.

use kurbo::Point;

use super::block::line;
use super::{Block, GREY, INK, Letter, wrapped};
use crate::drawing::Item;

/// Between two columns: where there is room, and at least. Programs that take text out of a page tell columns by the wide ones.
const GUTTERS_MM: [f64; 2] = [9.0, 5.0];
/// A table that is no higher than this stays on one page.
const TOGETHER_MM: f64 = 90.0;
/// Above and below the letters of a row.
const ROW_PAD_MM: f64 = 0.9;
const HEAD_LINE_MM: f64 = 0.4;
const ROW_LINE_MM: f64 = 0.15;

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::draw) struct Table {
    /// Headings of the columns.
    pub(in crate::draw) head: Vec<String>,
    pub(in crate::draw) rows: Vec<Row>,
}

/// A row: its cells and, below them, lines that run over all columns but the first.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::draw) struct Row {
    pub(in crate::draw) cells: Vec<Cell>,
    pub(in crate::draw) notes: Vec<String>,
}

/// What stands in a column of a row.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::draw) struct Cell {
    text: String,
    letter: Letter,
}

impl Cell {
    pub(in crate::draw) fn plain(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            letter: Letter::BODY,
        }
    }

    pub(in crate::draw) fn strong(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            letter: Letter::STRONG,
        }
    }
}

/// Returns the table as blocks, one for each row; its head stands again where it goes on on the next page.
pub(in crate::draw) fn table(table: &Table, width_mm: f64) -> Vec<Block> {
    let head = Row {
        cells: table.head.iter().map(Cell::strong).collect(),
        notes: Vec::new(),
    };
    let columns = columns(std::iter::once(&head).chain(&table.rows), width_mm);
    let mut head = row(&head, &columns, width_mm);
    head.items.push(line(
        Point::new(0.0, head.height_mm),
        Point::new(width_mm, head.height_mm),
        HEAD_LINE_MM,
        INK,
    ));
    head.height_mm += HEAD_LINE_MM;
    let rows = table.rows.iter().map(|own| {
        let mut block = row(own, &columns, width_mm);
        block.items.push(line(
            Point::new(0.0, block.height_mm),
            Point::new(width_mm, block.height_mm),
            ROW_LINE_MM,
            GREY,
        ));
        block.height_mm += ROW_LINE_MM;
        block.again = Some(Box::new(head.clone()));
        block
    });
    let rows: Vec<Block> = rows.collect();
    let blocks = std::iter::once(head.clone()).chain(rows).collect();
    kept_together(blocks)
}

/// Keeps a short table on one page, of a long one the head with two rows and the last two rows.
fn kept_together(mut blocks: Vec<Block>) -> Vec<Block> {
    let height_mm: f64 = blocks.iter().map(|b| b.height_mm).sum();
    let count = blocks.len();
    for (i, block) in blocks.iter_mut().enumerate() {
        let is_end = i < 2 || i + 2 == count;
        block.keeps_next = i + 1 < count && (is_end || height_mm <= TOGETHER_MM);
    }
    blocks
}

/// A column: where it starts, and how wide it is.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Column {
    x_mm: f64,
    width_mm: f64,
}

/// Columns as wide as their widest cell; where that is too wide in all, those that are wider than a fair share get just that.
fn columns<'a>(rows: impl Iterator<Item = &'a Row>, width_mm: f64) -> Vec<Column> {
    let mut wished: Vec<f64> = Vec::new();
    for row in rows {
        for (i, cell) in row.cells.iter().enumerate() {
            let own_mm = cell.letter.width_mm(&cell.text);
            match wished.get_mut(i) {
                Some(widest) => *widest = widest.max(own_mm),
                None => wished.push(own_mm),
            }
        }
    }
    let between: f64 = wished.iter().skip(1).map(|_| 1.0).sum();
    let whole: f64 = wished.iter().sum();
    let room_mm = (width_mm - whole) / between.max(1.0);
    let gutter_mm = room_mm.clamp(GUTTERS_MM[1], GUTTERS_MM[0]);
    let mut x_mm = 0.0;
    let widths = shared_out(&wished, width_mm - between * gutter_mm);
    let placed = widths.into_iter().map(|own_mm| {
        let column = Column {
            x_mm,
            width_mm: own_mm,
        };
        x_mm += own_mm + gutter_mm;
        column
    });
    placed.collect()
}

/// Shares `room_mm` out: whoever wishes less than a fair share gets it, the others share the rest.
fn shared_out(wished: &[f64], room_mm: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wished.len()).collect();
    order.sort_by(|a, b| wished[*a].total_cmp(&wished[*b]));
    let mut widths = wished.to_vec();
    let mut left_mm = room_mm;
    let mut others: f64 = wished.iter().map(|_| 1.0).sum();
    for i in order {
        widths[i] = wished[i].min(left_mm / others);
        left_mm -= widths[i];
        others -= 1.0;
    }
    widths
}

fn row(row: &Row, columns: &[Column], width_mm: f64) -> Block {
    // A hundredth of a millimetre, so that what was measured fits what it was measured for.
    let broken =
        |(cell, column): (&Cell, &Column)| wrapped(&cell.text, cell.letter, column.width_mm + 0.01);
    let cells: Vec<Vec<String>> = row.cells.iter().zip(columns).map(broken).collect();
    let lines = cells.iter().map(Vec::len).max().unwrap_or(0);
    let mut items = Vec::new();
    let mut y_mm = ROW_PAD_MM;
    for k in 0..lines {
        let baseline_mm = y_mm + Letter::BODY.drop_mm();
        items.extend(row_line(row, &cells, columns, k, baseline_mm));
        y_mm += Letter::BODY.leading_mm();
    }
    let indent_mm = columns.get(1).map_or(0.0, |c| c.x_mm);
    for note in &row.notes {
        for text in wrapped(note, Letter::BODY, width_mm - indent_mm) {
            let start = (indent_mm, y_mm + Letter::BODY.drop_mm());
            items.push(Letter::BODY.at(&text, start, GREY));
            y_mm += Letter::BODY.leading_mm();
        }
    }
    Block::new(items, y_mm + ROW_PAD_MM)
}

/// One line of a row, with spaces up to the next cell that has something on this line.
fn row_line(
    row: &Row,
    cells: &[Vec<String>],
    columns: &[Column],
    k: usize,
    y_mm: f64,
) -> Vec<Item> {
    let filled: Vec<(usize, &String)> = cells
        .iter()
        .enumerate()
        .filter_map(|(i, lines)| Some((i, lines.get(k)?)))
        .filter(|(_, text)| !text.is_empty())
        .collect();
    let next = filled.iter().skip(1).map(|(i, _)| Some(columns[*i].x_mm));
    filled
        .iter()
        .zip(next.chain([None]))
        .map(|((i, text), next_mm)| {
            let letter = row.cells[*i].letter;
            let start = Point::new(columns[*i].x_mm, y_mm);
            match next_mm {
                Some(next_mm) => letter.at_with_spaces(text, start, next_mm),
                None => letter.at(text, start, INK),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(block: &Block) -> Vec<(String, f64)> {
        let runs = block.items.iter().filter_map(|item| match item {
            Item::Glyphs(run) => Some((run.text.trim_end().to_owned(), run.matrix.as_coeffs()[4])),
            Item::Fill { .. }
            | Item::Stroke { .. }
            | Item::Clip { .. }
            | Item::Picture { .. }
            | Item::Tagged { .. } => None,
        });
        runs.collect()
    }

    fn small(cells: &[&str]) -> Row {
        Row {
            cells: cells.iter().copied().map(Cell::plain).collect(),
            notes: Vec::new(),
        }
    }

    #[test]
    fn a_column_is_as_wide_as_its_widest_cell() {
        let blocks = table(
            &Table {
                head: vec!["H".into(), "i".into()],
                rows: vec![small(&["HHH", "i"])],
            },
            100.0,
        );
        // Three H of 1518/2048 em at 3.9 mm are 8.672 mm, and with room the gutter is 9.
        let found = texts(&blocks[1]);
        assert!((found[1].1 - (3.0 * 1518.0 / 2048.0 * 3.9 + 9.0)).abs() < 1e-9);
        assert!((texts(&blocks[0])[1].1 - found[1].1).abs() < 1e-9);
    }

    #[test]
    fn only_columns_wider_than_a_fair_share_give_way() {
        // 60 for three: 10 takes what it wants, the others share 50.
        assert_eq!(shared_out(&[10.0, 90.0, 40.0], 60.0), [10.0, 25.0, 25.0]);
        assert_eq!(shared_out(&[10.0, 20.0, 20.0], 60.0), [10.0, 20.0, 20.0]);
    }

    #[test]
    fn long_cells_wrap_and_nothing_runs_beyond_the_width() {
        let long = "leeks and beans and peas ".repeat(6);
        let wide = "H".repeat(80);
        let blocks = table(
            &Table {
                head: vec!["what".into(), "why".into(), "how".into()],
                rows: vec![small(&["tray", &long, &wide])],
            },
            120.0,
        );
        for block in &blocks {
            for (text, x_mm) in texts(block) {
                assert!(x_mm + Letter::BODY.width_mm(&text) <= 120.02, "{text}");
            }
        }
        assert!(blocks[1].height_mm > 5.0 * Letter::BODY.leading_mm());
    }

    #[test]
    fn a_row_reads_as_one_line() {
        let blocks = table(
            &Table {
                head: vec!["a".into(), "b".into()],
                rows: vec![small(&["Tray", "2 of"])],
            },
            100.0,
        );
        let Some(Item::Glyphs(run)) = blocks[1].items.first() else {
            panic!()
        };
        assert!(run.text.starts_with("Tray  "), "{:?}", run.text);
    }

    #[test]
    fn the_head_stands_again_on_the_next_page() {
        let blocks = table(
            &Table {
                head: vec!["a".into()],
                rows: vec![small(&["x"])],
            },
            100.0,
        );
        assert!(blocks[0].keeps_next);
        assert!(blocks[1].again.is_some());
    }
}
