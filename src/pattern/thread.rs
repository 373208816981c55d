//! Bars, squares and colours that woven patterns are made of.

use std::collections::BTreeMap;

use kurbo::{BezPath, Rect, Shape, Vec2};

use super::{Layer, REACH_MM, Refusal, Settings, Steps};
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint};

/// Thinnest line that a printer for the home lays down closed, in millimetres (common practice, no source).
pub(super) const THINNEST_MM: f64 = 0.1;

/// A stretch of one colour across the threads, in millimetres from the origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Band {
    /// Position in the list of colours.
    pub(super) colour: usize,
    /// Where it begins.
    pub(super) from_mm: f64,
    /// Where it ends.
    pub(super) to_mm: f64,
}

impl Band {
    /// Returns a band of this width about its middle.
    pub(super) const fn about(colour: usize, middle_mm: f64, width_mm: f64) -> Self {
        Self {
            colour,
            from_mm: middle_mm - width_mm / 2.0,
            to_mm: middle_mm + width_mm / 2.0,
        }
    }

    /// Returns the upright bar of the band.
    pub(super) const fn upright(self) -> Rect {
        Rect::new(self.from_mm, -REACH_MM, self.to_mm, REACH_MM)
    }

    /// Returns the level bar of the band.
    pub(super) const fn level(self) -> Rect {
        Rect::new(-REACH_MM, self.from_mm, REACH_MM, self.to_mm)
    }

    /// Returns the square or oblong where this band, upright, crosses `level`.
    pub(super) const fn crossing(self, level: Self) -> Rect {
        Rect::new(self.from_mm, level.from_mm, self.to_mm, level.to_mm)
    }

    /// Returns how wide it is, in millimetres.
    pub(super) fn width_mm(self) -> f64 {
        self.to_mm - self.from_mm
    }
}

/// Returns the positions 1 to `last` there and back, the ends once each: 1 2 3 2. Turned upside down, the row is the same.
pub(super) fn there_and_back(last: usize) -> Vec<usize> {
    (1..=last).chain((2..last).rev()).collect()
}

/// Returns one band for each of `order`, at even distances over the repeat, the first with its middle at the origin.
pub(super) fn even_bands(order: &[usize], repeat_mm: f64, share: f64) -> Vec<Band> {
    let pitch = repeat_mm / count(order.len());
    let place =
        |(n, colour): (usize, &usize)| Band::about(*colour, count(n) * pitch, pitch * share);
    order.iter().enumerate().map(place).collect()
}

/// Returns a small count as a float.
pub(super) fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// Returns upright bars that come again to the right.
pub(super) fn upright(bars: &[Rect], colour: Colour, repeat_mm: f64) -> Layer {
    layer(bars, colour, Steps::Line(Vec2::new(repeat_mm, 0.0)))
}

/// Returns level bars that come again downwards.
pub(super) fn level(bars: &[Rect], colour: Colour, repeat_mm: f64) -> Layer {
    layer(bars, colour, Steps::Line(Vec2::new(0.0, repeat_mm)))
}

/// Returns oblongs that come again both ways.
pub(super) fn both_ways(oblongs: &[Rect], colour: Colour, repeat_mm: f64) -> Layer {
    layer(oblongs, colour, square_grid(repeat_mm))
}

/// How far a crossing reaches beyond the edges of its bars at most, in millimetres: a pixel and a little at 600 dpi, and no dot of a printer.
const OVER_MM: f64 = 0.05;

/// How far the crossings of bands reach beyond them: at most a quarter of the way to the next one.
fn over_mm(bands: &[Band], repeat_mm: f64) -> f64 {
    let ends = bands.iter().map(|band| band.to_mm);
    let next = bands.iter().cycle().skip(1).map(|band| band.from_mm);
    let gaps = ends
        .zip(next)
        .map(|(end_mm, next_mm)| (next_mm - end_mm).rem_euclid(repeat_mm));
    gaps.fold(OVER_MM, |least, gap_mm| least.min(gap_mm / 4.0))
}

/// Returns two sets of bands that cross, as layers: the upright bars, the level bars over them, and on top what `crossed` says of any two.
///
/// A crossing reaches a little over its bars, along each of them. Ending with the bars, it would let the level bar's colour show in a line
/// between the upright bar and the crossing, where the edges of both are softened.
pub(super) fn crossed_bands(
    bands: &[Band],
    repeat_mm: f64,
    single: impl Fn(usize) -> Colour,
    crossed: impl Fn(usize, usize) -> Colour,
) -> Vec<Layer> {
    let mut layers = Vec::new();
    for (colour, own) in by_colour(bands) {
        layers.push(upright(
            &bars(&own, Band::upright),
            single(colour),
            repeat_mm,
        ));
    }
    for (colour, own) in by_colour(bands) {
        layers.push(level(&bars(&own, Band::level), single(colour), repeat_mm));
    }
    layers.extend(crossings(
        bands,
        repeat_mm,
        over_mm(bands, repeat_mm),
        crossed,
    ));
    layers
}

/// Returns the oblongs where the bands, upright, cross the same bands, level, each again `over_mm` longer both ways if that is more than
/// nothing: one layer for each two colours.
pub(super) fn crossings(
    bands: &[Band],
    repeat_mm: f64,
    over_mm: f64,
    crossed: impl Fn(usize, usize) -> Colour,
) -> Vec<Layer> {
    let mut layers = Vec::new();
    for (first, own) in by_colour(bands) {
        for (second, others) in by_colour(bands) {
            let oblongs: Vec<Rect> = own
                .iter()
                .flat_map(|own| others.iter().map(|other| own.crossing(*other)))
                .flat_map(|oblong| longer(oblong, over_mm))
                .collect();
            layers.push(both_ways(&oblongs, crossed(first, second), repeat_mm));
        }
    }
    layers
}

/// An oblong made longer upright and level, as two; itself where it stays as it is.
fn longer(oblong: Rect, by_mm: f64) -> Vec<Rect> {
    if by_mm > 0.0 {
        vec![oblong.inflate(0.0, by_mm), oblong.inflate(by_mm, 0.0)]
    } else {
        vec![oblong]
    }
}

/// Returns the bands sorted by colour.
pub(super) fn by_colour(bands: &[Band]) -> BTreeMap<usize, Vec<Band>> {
    let mut sorted: BTreeMap<usize, Vec<Band>> = BTreeMap::new();
    for band in bands {
        sorted.entry(band.colour).or_default().push(*band);
    }
    sorted
}

/// Returns the bar of each band.
pub(super) fn bars(bands: &[Band], bar: impl Fn(Band) -> Rect) -> Vec<Rect> {
    bands.iter().map(|band| bar(*band)).collect()
}

/// Returns equal steps to the right and downwards.
pub(super) const fn square_grid(repeat_mm: f64) -> Steps {
    Steps::Grid {
        across: Vec2::new(repeat_mm, 0.0),
        down: Vec2::new(0.0, repeat_mm),
    }
}

/// Returns these oblongs in one colour as one path, all of them the same way round: where two overlap they are one.
fn layer(oblongs: &[Rect], colour: Colour, steps: Steps) -> Layer {
    let path: BezPath = oblongs
        .iter()
        .flat_map(|it| it.path_elements(0.1))
        .collect();
    Layer {
        bounds: path.bounding_box(),
        motif: Drawing {
            items: vec![filled(path, colour)],
        },
        steps,
    }
}

/// Returns an opaque area.
pub(super) const fn filled(path: BezPath, colour: Colour) -> Item {
    Item::Fill {
        path,
        rule: FillRule::NonZero,
        paint: Paint::flat(colour),
    }
}

/// Returns the colour between two, channel by channel: `share` of `over`, the rest of `under`.
pub(super) fn mixed(under: Colour, over: Colour, share: f64) -> Colour {
    let channel = |under: u8, over: u8| {
        let value = f64::from(under) + share * (f64::from(over) - f64::from(under));
        byte(value)
    };
    Colour::rgb(
        channel(under.red, over.red),
        channel(under.green, over.green),
        channel(under.blue, over.blue),
    )
}

/// Returns what two threads or inks show where they lie on one another. Where both are darker than the ground, each lets through of its light
/// what it does alone; where both are lighter, they add up the same way towards white; else their differences from it add up.
pub(super) fn overprinted(ground: Colour, first: Colour, second: Colour) -> Colour {
    Colour::rgb(
        over_channel(ground.red, first.red, second.red),
        over_channel(ground.green, first.green, second.green),
        over_channel(ground.blue, first.blue, second.blue),
    )
}

fn over_channel(ground: u8, first: u8, second: u8) -> u8 {
    let light = f64::from;
    if first < ground && second < ground {
        return byte(light(first) * light(second) / light(ground));
    }
    if first > ground && second > ground {
        let dark = |value: u8| 255.0 - light(value);
        return byte(255.0 - dark(first) * dark(second) / dark(ground));
    }
    byte(light(first) + light(second) - light(ground))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and 255"
)]
fn byte(value: f64) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}

/// Refuses what would come out thinner than a printer lays down: `share` of `pitch_mm`; `what` is its plural name.
pub(super) fn refused_if_thin(
    what: &str,
    pitch_mm: f64,
    share: f64,
    settings: &Settings,
) -> Result<(), Refusal> {
    let width_mm = pitch_mm * share;
    if width_mm >= THINNEST_MM {
        return Ok(());
    }
    let repeat_mm = settings.repeat_mm;
    // Up to the next tenth, so that what the hint says is enough.
    let enough_mm = (repeat_mm * THINNEST_MM / width_mm * 10.0).ceil() / 10.0;
    Err(Refusal {
        key: "repeat",
        message: format!(
            "{what} come out {width_mm:.3} mm wide at a repeat of {repeat_mm:.2} mm, and printers lay down {THINNEST_MM} mm or more"
        ),
        hint: format!("make it `repeat = \"{enough_mm:.1} mm\"` or more"),
    })
}
