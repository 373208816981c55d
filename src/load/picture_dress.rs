//! A picture cropped and mirrored: a vector picture of the part that is seen.

use kurbo::{Affine, Rect, Shape};

use super::asset::Library;
use crate::drawing::{AssetIndex, Drawing, FillRule, Item};
use crate::geometry::unit_square_onto;

/// What is done to a picture before it is placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Dress {
    pub(super) crop: Crop,
    pub(super) mirror: Option<Mirror>,
}

/// How much of a picture is cut away at each side as seen upright, in percent of its width and height.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Crop {
    pub(super) left: u32,
    pub(super) right: u32,
    pub(super) top: u32,
    pub(super) bottom: u32,
}

/// Which way a picture is mirrored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mirror {
    /// Left becomes right.
    LeftRight,
    /// Top becomes bottom.
    TopBottom,
}

impl Crop {
    /// The part that is kept, in the unit square.
    pub(super) fn kept(self) -> Rect {
        let share = |percent: u32| f64::from(percent) / 100.0;
        let (right, bottom) = (1.0 - share(self.right), 1.0 - share(self.bottom));
        Rect::new(share(self.left), share(self.top), right, bottom)
    }
}

impl Dress {
    /// The unit square of the picture of the file to that of the picture as it is dressed.
    pub(super) fn map(self) -> Affine {
        let mirror = match self.mirror {
            None => Affine::IDENTITY,
            Some(Mirror::LeftRight) => Affine::new([-1.0, 0.0, 0.0, 1.0, 1.0, 0.0]),
            Some(Mirror::TopBottom) => Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 1.0]),
        };
        mirror * unit_square_onto(self.crop.kept()).inverse()
    }

    /// Where a point of the picture of the file is seen in the dressed one, both from 0 to 1; the nearest one if it is cut away.
    pub(super) fn seen(self, x: f64, y: f64) -> (f64, f64) {
        let seen = self.map() * kurbo::Point::new(x, y);
        (seen.x.clamp(0.0, 1.0), seen.y.clamp(0.0, 1.0))
    }
}

/// Returns the picture as it is dressed, with its height divided by its width; itself where nothing is done to it.
pub(super) fn dress(
    library: &Library<'_>,
    (asset, aspect): (AssetIndex, f64),
    dress: Dress,
) -> (AssetIndex, f64) {
    if dress == Dress::default() {
        return (asset, aspect);
    }
    let kept = dress.crop.kept();
    let aspect = aspect * kept.height() / kept.width();
    let shown = Item::Picture {
        asset,
        places: vec![dress.map()],
    };
    let inner = Drawing { items: vec![shown] };
    let seen = Item::Clip {
        path: Rect::new(0.0, 0.0, 1.0, 1.0).to_path(0.1),
        rule: FillRule::NonZero,
        inner,
    };
    let drawing = Drawing { items: vec![seen] };
    (library.drawn(&library.path(asset), drawing, aspect), aspect)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_of_a_picture_is_stretched_over_the_square_and_mirrored_there() {
        // 20 % off the left, 30 % off the right: the middle of the kept half lies at 45 %.
        let crop = Crop {
            left: 20,
            right: 30,
            top: 0,
            bottom: 50,
        };
        let plain = Dress { crop, mirror: None };
        let near = |(x, y): (f64, f64), to: (f64, f64)| {
            (x - to.0).abs() < 1e-12 && (y - to.1).abs() < 1e-12
        };
        assert!(near(plain.seen(0.45, 0.25), (0.5, 0.5)));
        // 30 % lies 10 of 50 from the left: a fifth. Mirrored it is a fifth from the right.
        assert!(near(plain.seen(0.3, 0.0), (0.2, 0.0)));
        let mirrored = Dress {
            mirror: Some(Mirror::LeftRight),
            ..plain
        };
        assert!(near(mirrored.seen(0.3, 0.0), (0.8, 0.0)));
        // What is cut away is as far in as there is something.
        assert!(near(mirrored.seen(0.1, 0.9), (1.0, 1.0)));
    }
}
