//! Even stripes.

use kurbo::{Rect, Shape, Vec2};

use super::{Field, Kind, Layer, REACH_MM, Refusal, Settings, Steps, Takes};
use crate::drawing::{Drawing, FillRule, Item, Paint};
use crate::project::Reads;

/// Upright stripes in one or more colours, ground between them.
pub(super) const STRIPE: Kind = Kind {
    name: "stripe",
    title: "Stripe",
    says: "upright stripes, one colour after the other, with the ground between them",
    repeat_is: "from a stripe to the next one of its colour",
    usual_repeat: ("12 mm", "1/2 in"),
    weight_is: "of the repeat that is stripe",
    usual_weight: 0.5,
    weights: (0.05, 0.95),
    colours: (2, 5),
    takes: Takes::Nothing,
    draw,
};

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    let stripes = &settings.colours[1..];
    let count = f64::from(u32::try_from(stripes.len()).unwrap_or(u32::MAX));
    let pitch = settings.repeat_mm / count;
    let half = pitch * settings.weight / 2.0;
    let mut middle = 0.0;
    let mut layers = Vec::new();
    for colour in stripes {
        let bar = Rect::new(middle - half, -REACH_MM, middle + half, REACH_MM);
        layers.push(Layer {
            motif: Drawing {
                items: vec![Item::Fill {
                    path: bar.to_path(0.1),
                    rule: FillRule::NonZero,
                    paint: Paint::flat(*colour),
                }],
            },
            bounds: bar,
            steps: Steps::Line(Vec2::new(settings.repeat_mm, 0.0)),
        });
        middle += pitch;
    }
    Ok(Field {
        ground: settings.colours[0],
        layers,
        reads: Reads::Stripe,
        repeat_mm: Vec2::new(settings.repeat_mm, 0.0),
    })
}
