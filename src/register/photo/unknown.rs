//! What the fit of a photo does not know beforehand, and how far each unknown may lie from its guess.

use super::KnownSheet;

/// Number of unknowns.
pub(super) const COUNT: usize = 37;

/// First unknown of each group; a group's entries follow one another.
pub(super) mod at {
    /// Turn of the camera about the sheet's three axes, in radians, counted from the turn that the scene carries.
    pub(crate) const TURN: usize = 0;
    /// The sheet's middle as the camera sees it, in millimetres.
    pub(crate) const SHIFT: usize = 3;
    /// Natural logarithm of the focal length over the guess.
    pub(crate) const FOCAL: usize = 6;
    /// Where the lens's axis meets the picture, in parts of the picture's long side from its middle.
    pub(crate) const AXIS: usize = 7;
    /// The lens's two radial terms.
    pub(crate) const LENS: usize = 9;
    /// Curvatures xx, xy and yy of the sheet, per millimetre.
    pub(crate) const BEND: usize = 11;
    /// What its height has of x³, x²y, xy² and y³, in millimetres at half the sheet's diagonal.
    pub(crate) const WAVE: usize = 14;
    /// The sheet's width and height, in millimetres from what is known of them.
    pub(crate) const SIZE: usize = 18;
    /// Turn of the left edge out of square; of the right edge against the left; of the bottom edge against the top.
    pub(crate) const SKEW: usize = 20;
    /// How far each edge seems to lie outwards of the paper's: top, right, bottom, left, in millimetres.
    pub(crate) const EDGE: usize = 23;
    /// Bow of each edge as cut, outwards, in millimetres from its middle to its ends.
    pub(crate) const BOW: usize = 27;
    /// The print: x from x and y, y from x and y, less the identity, then the shift of the middle in millimetres.
    pub(crate) const PRINT: usize = 31;
}

/// The guess of such an unknown has no weight at all.
const FREE: f64 = f64::INFINITY;

/// How far each unknown may lie from its guess, as a standard deviation.
///
/// The camera's are wide: the format that focal lengths are quoted for is 36 mm long, and phones are quoted with 22 to 40 mm and a
/// zoom beyond; their lens's axis passes within a per cent of the picture's middle; what their own correction leaves of distortion is a
/// few per cent in the corners. Paper lies within a few millimetres of flat; guillotines cut square to some tenths of a milliradian
/// (0.1 mm along a sheet). Prints come out of home printers wrong by a per cent in scale, by some milliradians and a millimetre. All
/// common practice, no source.
pub(super) const SIGMAS: [f64; COUNT] = [
    FREE, FREE, FREE, // Turn.
    FREE, FREE, FREE, // Shift.
    0.3,  // Focal length.
    0.005, 0.005, // Axis.
    0.04, 0.015, // Lens.
    2e-4, 1e-4, 2e-4, // Bend: 2 mm in the middle of 280 mm.
    0.1, 0.1, 0.1, 0.1, // Wave.
    0.15, 0.15, // Size; `sigmas` puts what is known of it.
    4e-4, 2e-4, 3e-4, // Skew.
    0.03, 0.03, 0.03, 0.03, // Edge.
    0.03, 0.03, 0.03, 0.03, // Bow.
    0.01, 0.01, 0.01, 0.01, 3.0, 3.0, // Print.
];

/// Returns [`SIGMAS`] for a sheet of which so much is known.
pub(super) fn sigmas(sheet: KnownSheet) -> [f64; COUNT] {
    let mut sigmas = SIGMAS;
    sigmas[at::SIZE..at::SIZE + 2].fill(sheet.sigma_mm);
    sigmas
}

/// Returns the same for a picture that is not as the camera made it: cropped, or straightened by some program.
pub(super) fn without_camera(mut sigmas: [f64; COUNT]) -> [f64; COUNT] {
    sigmas[at::FOCAL] = 1.0;
    sigmas[at::AXIS..at::AXIS + 2].fill(0.3);
    sigmas
}

/// Steps by which the fit feels for each unknown's effect: far above rounding, far below where anything bends.
pub(super) const STEPS: [f64; COUNT] = [
    1e-5, 1e-5, 1e-5, // Turn.
    1e-2, 1e-2, 1e-2, // Shift.
    1e-4, // Focal length.
    1e-5, 1e-5, // Axis.
    1e-4, 1e-4, // Lens.
    1e-7, 1e-7, 1e-7, // Bend.
    1e-3, 1e-3, 1e-3, 1e-3, // Wave.
    1e-3, 1e-3, // Size.
    1e-6, 1e-6, 1e-6, // Skew.
    1e-3, 1e-3, 1e-3, 1e-3, // Edge.
    1e-3, 1e-3, 1e-3, 1e-3, // Bow.
    1e-5, 1e-5, 1e-5, 1e-5, 1e-2, 1e-2, // Print.
];
