//! Tenths read where two scales meet.

/// Returns what lies between the last whole millimetre and tick 0, in millimetres, where tick number `tick` of a scale of
/// `pitch_mm` meets a line of a millimetre scale; `scale` is how much wider the pitch came out, as a share.
///
/// # Examples
///
/// ```
/// use sheetwright::fit::vernier_fraction;
///
/// assert!((vernier_fraction(7, 0.9, 0.0) - 0.7).abs() < 1e-12);
/// // Printed 0.5 % too wide: 7 x (1 - 0.9 x 1.005).
/// assert!((vernier_fraction(7, 0.9, 0.005) - 0.6685).abs() < 1e-12);
/// ```
#[must_use]
pub fn vernier_fraction(tick: i32, pitch_mm: f64, scale: f64) -> f64 {
    f64::from(tick) * (1.0 - pitch_mm * (1.0 + scale))
}
