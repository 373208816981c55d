//! Words set in their box, and what keeps them from it.

use kurbo::{Affine, BezPath, Point, Rect, Shape};

use super::code;
use super::table::Table;
use super::words::{Align, Asked};
use super::words_room::Room;
use super::words_template::{Text, one_line};
use crate::diagnostic::Diagnostic;
use crate::font::{ShapedGlyph, ShapedLine, Shaper};
use crate::length::{Length, LengthStyle};

/// From one baseline to the next, in em. Common practice, no source.
const LEADING_EM: f64 = 1.25;

/// Letters smaller than this are hard to read: 5 pt. Common practice, no source.
const SMALLEST_PT: f64 = 5.0;
const MM_PER_PT: f64 = 25.4 / 72.0;

/// Less than this beyond an edge is a matter of rounding.
const ROUNDING_MM: f64 = 0.005;

/// Most steps of outlines in one text: letters of the usual fonts have some fifty each.
const MOST_STEPS: usize = 1_000_000;

/// A text brought into lines, not yet at a size.
struct Shaped<'a> {
    text: &'a Text,
    lines: Vec<ShapedLine>,
    width_em: f64,
    height_em: f64,
}

impl<'a> Shaped<'a> {
    /// `None` if there is nothing to print.
    fn of(text: &'a Text, shaper: &Shaper<'_>) -> Option<Self> {
        if text.text.trim().is_empty() {
            return None;
        }
        let shape = |line: &str| {
            let shaped = shaper.shape(line.trim());
            shaped.expect("characters that the font lacks were refused when the words were read")
        };
        let lines: Vec<_> = text.text.trim_end().lines().map(shape).collect();
        let width_em = lines.iter().map(|line| line.width_em).fold(0.0, f64::max);
        Some(Self {
            text,
            width_em,
            height_em: block_em(lines.len(), shaper) + 2.0 * shaper.descent_em(),
            lines,
        })
    }

    /// The largest size at which it fits.
    fn fits_mm(&self, room: kurbo::Size) -> f64 {
        let across_mm = room.width / self.width_em.max(1e-6);
        across_mm.min(room.height / self.height_em)
    }
}

/// From the top of the first line's capitals to the last baseline.
fn block_em(lines: usize, shaper: &Shaper<'_>) -> f64 {
    let steps = u32::try_from(lines.saturating_sub(1)).unwrap_or(u32::MAX);
    shaper.cap_height_em() + f64::from(steps) * LEADING_EM
}

/// A text at its size; places are in the box, in mm.
pub(super) struct Set {
    pub(super) size_mm: f64,
    /// Each with the start of its baseline.
    pub(super) lines: Vec<(ShapedLine, Point)>,
    pub(super) ink: Rect,
}

impl Set {
    /// The capitals of the first line are as far from the top of the box as the last baseline from its bottom.
    fn of(
        shaped: Shaped<'_>,
        size_mm: f64,
        asked: &Asked,
        room: Room,
        shaper: &Shaper<'_>,
    ) -> Self {
        let block_mm = block_em(shaped.lines.len(), shaper) * size_mm;
        let first_mm = (room.size.height - block_mm) / 2.0 + shaper.cap_height_em() * size_mm;
        let mut ink: Option<Rect> = None;
        let mut lines = Vec::new();
        let mut y_mm = first_mm;
        for line in shaped.lines {
            let spare_mm = room.size.width - line.width_em * size_mm;
            let x_mm = match asked.lying.align {
                Align::Left => 0.0,
                Align::Middle => spare_mm / 2.0,
                Align::Right => spare_mm,
            };
            let start = Point::new(x_mm, y_mm);
            let path = to_box(start, size_mm) * outline(&line, shaper);
            if !path.is_empty() {
                let own = path.bounding_box();
                ink = Some(ink.map_or(own, |ink| ink.union(own)));
            }
            lines.push((line, start));
            y_mm += LEADING_EM * size_mm;
        }
        Self {
            size_mm,
            lines,
            ink: ink.unwrap_or(Rect::new(0.0, 0.0, 1.0, 1.0)),
        }
    }
}

/// A line's own space, in em, to the box.
pub(super) fn to_box(start: Point, size_mm: f64) -> Affine {
    Affine::translate(start.to_vec2()) * Affine::scale(size_mm)
}

/// All letters of a line, in em.
pub(super) fn outline(line: &ShapedLine, shaper: &Shaper<'_>) -> BezPath {
    let placed = |glyph: &ShapedGlyph| Affine::translate(glyph.at) * shaper.outline(glyph.glyph);
    line.glyphs.iter().flat_map(placed).collect()
}

/// What keeps words from being set where they should.
struct Problem {
    key: &'static str,
    message: String,
    hint: String,
}

/// Refuses words that do not fit their box, and boxes that leave what they are measured on; warns of very small letters.
pub(super) fn refuse(
    table: &Table<'_>,
    asked: &Asked,
    (what, frame): (&str, kurbo::Size),
) -> Option<()> {
    let mistakes = table.mistakes();
    let style = mistakes.length_style();
    let room = Room::of(asked, frame, style);
    let show = |mm: f64| Length::from_um(Length::nearest_mm(mm).nm() / 1000).told(style);
    let found = refuse_room(room, (what, frame), show)
        .and_then(|()| refuse_texts(asked, room, style, show))
        .and_then(|()| {
            let sets = set_all(asked, room);
            refuse_ink(asked, &sets, room, (what, frame), show)?;
            Ok(sets)
        });
    match found {
        Ok(sets) => {
            warn_of_small(table, asked, &sets);
            Some(())
        }
        Err(Problem { key, message, hint }) => {
            let origin = table.origin_of(key);
            mistakes.fail(code::WORDS_BOX, &origin, message, hint)
        }
    }
}

fn refuse_room(
    room: Room,
    (what, frame): (&str, kurbo::Size),
    show: impl Fn(f64) -> String,
) -> Result<(), Problem> {
    let box_ = room.turned;
    let ways = [
        (box_.x0, box_.x1, "across", frame.width, "wide"),
        (box_.y0, box_.y1, "down", frame.height, "high"),
    ];
    let off = |(from, to, _, extent, _): &(f64, f64, &str, f64, &str)| {
        *from < -ROUNDING_MM || *to > extent + ROUNDING_MM
    };
    let Some((from, to, way, extent, side)) = ways.into_iter().find(off) else {
        return Ok(());
    };
    Err(Problem {
        key: "box",
        message: format!(
            "the box of the words lies from {} to {} {way}, but {what} is {} {side}",
            show(from),
            show(to),
            show(extent)
        ),
        hint: "make the box smaller, or move it with at".to_owned(),
    })
}

/// Refuses texts that are too large for their box at their size.
fn refuse_texts(
    asked: &Asked,
    room: Room,
    style: LengthStyle,
    show: impl Fn(f64) -> String,
) -> Result<(), Problem> {
    let shaper = asked.font.shaper();
    for text in &asked.texts {
        let Some(shaped) = Shaped::of(text, &shaper) else {
            continue;
        };
        refuse_steps(asked, &shaped, &shaper)?;
        let fits_mm = shaped.fits_mm(room.size);
        let size_mm = asked.size.map_or(0.0, |size| size.to_mm());
        if asked.is_fitted || size_mm <= fits_mm * (1.0 + 1e-9) {
            continue;
        }
        return Err(Problem {
            key: "size",
            message: format!(
                "{} says \"{}\", which at {} is {} wide and {} high; its box is {} x {}",
                asked.name_of(text),
                one_line(&text.text),
                size_told(asked, size_mm, style),
                show(shaped.width_em * size_mm),
                show(shaped.height_em * size_mm),
                show(room.size.width),
                show(room.size.height)
            ),
            hint: format!(
                "write size = \"{}\" or less, fit = true to make smaller what does not fit, or a larger box",
                size_below(asked, fits_mm, style)
            ),
        });
    }
    Ok(())
}

/// Refuses letters of which the outlines would fill the memory.
fn refuse_steps(asked: &Asked, shaped: &Shaped<'_>, shaper: &Shaper<'_>) -> Result<(), Problem> {
    let mut steps = 0;
    for glyph in shaped.lines.iter().flat_map(|line| &line.glyphs) {
        steps += shaper.outline(glyph.glyph).elements().len();
        if steps > MOST_STEPS {
            return Err(Problem {
                key: "font",
                message: format!(
                    "the letters of {} have more than {MOST_STEPS} steps in their outlines",
                    asked.name_of(shaped.text)
                ),
                hint: "name a font of simpler letters".to_owned(),
            });
        }
    }
    Ok(())
}

/// A text as messages name it, with the line that it comes from.
fn told(asked: &Asked, text: &Text) -> String {
    let words = one_line(&text.text);
    match text.line {
        Some(_) => format!("\"{words}\", {},", asked.name_of(text)),
        None => format!("\"{words}\""),
    }
}

/// A size of letters in the unit that it was typed in.
fn size_told(asked: &Asked, size_mm: f64, style: LengthStyle) -> String {
    if asked.is_in_points {
        let tenths = (size_mm / MM_PER_PT * 10.0).round() / 10.0;
        return format!("{tenths} pt");
    }
    Length::nearest_mm(size_mm).told(style)
}

/// A size that can be typed and is not larger: in half points, or in steps of the ruler.
fn size_below(asked: &Asked, size_mm: f64, style: LengthStyle) -> String {
    if asked.is_in_points {
        let halves = (size_mm / MM_PER_PT * 2.0).floor() / 2.0;
        return format!("{} pt", halves.max(0.5));
    }
    let below = Length::nearest_mm(size_mm).down_to_ruler(style);
    below.display(style)
}

/// The size of each text; `None` where there is nothing to print.
fn sizes_mm(asked: &Asked, room: Room, shaped: &[Option<Shaped<'_>>]) -> Vec<Option<f64>> {
    let most_mm = asked.size.map(|size| size.to_mm());
    // Down to a micrometre, so that nothing is larger than its box for rounding.
    let down = |mm: f64| (mm * 1000.0).floor() / 1000.0;
    let fits_mm = |shaped: &Shaped<'_>| down(shaped.fits_mm(room.size));
    let common_mm = shaped
        .iter()
        .flatten()
        .map(fits_mm)
        .fold(f64::INFINITY, f64::min);
    let size = |shaped: &Shaped<'_>| match (asked.is_fitted, most_mm) {
        (true, Some(most_mm)) => fits_mm(shaped).min(most_mm),
        (true, None) => common_mm,
        (false, most_mm) => most_mm.unwrap_or(common_mm),
    };
    shaped
        .iter()
        .map(|shaped| shaped.as_ref().map(size))
        .collect()
}

/// Sets all texts in their box; `None` where there is nothing to print.
pub(super) fn set_all(asked: &Asked, room: Room) -> Vec<Option<Set>> {
    let shaper = asked.font.shaper();
    let shaped: Vec<_> = asked.texts.iter().map(|t| Shaped::of(t, &shaper)).collect();
    let sizes = sizes_mm(asked, room, &shaped);
    let set = |(shaped, size): (Option<Shaped<'_>>, Option<f64>)| {
        Some(Set::of(shaped?, size?, asked, room, &shaper))
    };
    shaped.into_iter().zip(sizes).map(set).collect()
}

/// Refuses letters that would be cut off: swashes and accents may hang over the edge of the box, but not over that of the piece.
fn refuse_ink(
    asked: &Asked,
    sets: &[Option<Set>],
    room: Room,
    (what, frame): (&str, kurbo::Size),
    show: impl Fn(f64) -> String,
) -> Result<(), Problem> {
    for (text, set) in asked.texts.iter().zip(sets) {
        let Some(set) = set else {
            continue;
        };
        let ink = room.pose.to_affine().transform_rect_bbox(set.ink);
        let beyond = [
            -ink.x0,
            -ink.y0,
            ink.x1 - frame.width,
            ink.y1 - frame.height,
        ];
        let beyond_mm = beyond.into_iter().fold(0.0, f64::max);
        if beyond_mm > ROUNDING_MM {
            return Err(Problem {
                key: "box",
                message: format!(
                    "the letters of {} reach beyond {what} by {}",
                    told(asked, text),
                    show(beyond_mm)
                ),
                hint: "leave more room between the box and the edge".to_owned(),
            });
        }
    }
    Ok(())
}

fn warn_of_small(table: &Table<'_>, asked: &Asked, sets: &[Option<Set>]) {
    let pairs = asked.texts.iter().zip(sets);
    let sized = pairs.filter_map(|(text, set)| Some((text, set.as_ref()?.size_mm)));
    let Some((text, size_mm)) = sized.min_by(|a, b| a.1.total_cmp(&b.1)) else {
        return;
    };
    if size_mm >= SMALLEST_PT * MM_PER_PT - 1e-6 {
        return;
    }
    let message = format!(
        "{} comes out at {:.1} pt, which is hard to read",
        told(asked, text),
        size_mm / MM_PER_PT
    );
    let key = if table.has("size") { "size" } else { "text" };
    let warning = Diagnostic::warning(code::WORDS_SMALL, message);
    let hint = format!("write fewer words or a larger box; {SMALLEST_PT} pt can be read");
    let mistakes = table.mistakes();
    mistakes.push(warning.at(&table.origin_of(key)).hint(hint));
}
