//! What a flatbed scanner may be wrong by on its own.

/// Standard deviation of either scale of a scanner that nobody measured: half of what home flatbeds are wrong by at most, +-0.15 %
/// (one unit of theirs had 0.6 % between its halves; photogrammetry proceedings).
///
/// If all errors within the limits are as likely, a radius from half the limits covers 95 in 100 at the sheet's far corner: the
/// two-dimensional radius counts tails that such errors do not have. If errors are normal and the limits hold 95 %, it is the
/// deviation itself.
pub const STRETCH_SD: f64 = 0.000_75;

/// The same for squareness: half of +-0.6 mrad.
pub const SHEAR_SD_RAD: f64 = 0.000_3;

/// Error of a scale that was measured and typed with four decimals: half of the last digit.
pub const KNOWN_STRETCH_SD: f64 = 0.000_05;
