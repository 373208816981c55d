//! What is taken where nothing was measured. All are half widths that hold 19 times in 20, in one direction.

/// Where a printer nothing is known of puts the middle of a page, along and across the way of the paper: about 1 mm, and 0.1 to
/// 0.5 mm (a printing program's manual on misaligned output). One copier's service limits are 1 mm per sheet in both directions.
pub(super) const PRINT_ALONG_MM: f64 = 1.0;
/// See [`PRINT_ALONG_MM`].
pub(super) const PRINT_ACROSS_MM: f64 = 0.5;

/// By what share a printer nothing is known of prints too large or small: 1.5 and 1.3 % on one home laser printer (public notes on
/// its calibration).
pub(super) const PRINT_SCALE: f64 = 0.015;

/// How far the two sides of a sheet are shifted, turned (in radians) and scaled against each other where that was not measured: no
/// tolerance of home printers is published; a design value of our own.
pub(super) const SIDES_MM: f64 = 1.5;
/// See [`SIDES_MM`].
pub(super) const SIDES_RAD: f64 = 0.003;
/// See [`SIDES_MM`].
pub(super) const SIDES_SCALE: f64 = 0.005;

/// How far one sheet is fed otherwise than the next, where the printer was measured: common practice, no source.
pub(super) const FEED_MM: f64 = 0.3;

/// How well a sheet is laid into a corner by eye, at either end of an edge: a ruler is read to 0.5 mm (school metrology).
pub(super) const LAYING_MM: f64 = 0.5;

/// How far from a sheet's corner a machine nothing is known of starts: common practice, no source. Its scale is taken for right.
pub(super) const START_MM: f64 = 1.0;

/// Standard deviation of one coordinate of a machine from one cut to the next: common practice, no source.
pub(super) const REPEAT_SIGMA_MM: f64 = 0.1;

/// Standard deviation of one coordinate of a register mark read by eye against a fine scale: common practice, no source; school
/// metrology gives 0.1 mm for a vernier.
pub(super) const MARK_SIGMA_MM: f64 = 0.1;

/// How well a blade or a fence is set by eye on a line: a ruler's half millimetres are read to 0.25 mm (school metrology).
pub(super) const BY_EYE_MM: f64 = 0.25;

/// How far a good trimmer's blade strays from the line it is set to: common practice, no source.
pub(super) const BLADE_MM: f64 = 0.1;

/// How well a layer is laid on another by eye: a ruler is read to 0.5 mm (school metrology).
pub(super) const LAYER_MM: f64 = 0.5;
