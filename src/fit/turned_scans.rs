//! One page scanned twice, the second time turned by a quarter.

/// Scale factors found in two scans of one page, each as measured over nominal along the page's own sides: the scanner's own
/// x and y scales change places with the page's turn, the printer's do not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnedScans {
    /// The page's width in the first scan.
    pub x: f64,
    /// The page's height in the first scan.
    pub y: f64,
    /// The page's width in the scan with the page turned.
    pub turned_x: f64,
    /// The page's height in the scan with the page turned.
    pub turned_y: f64,
}

impl TurnedScans {
    /// Returns the printer's x scale over its y scale.
    #[must_use]
    pub fn printer_x_over_y(&self) -> f64 {
        (self.x * self.turned_x / (self.y * self.turned_y)).sqrt()
    }

    /// Returns the scanner's x scale over its y scale.
    #[must_use]
    pub fn scanner_x_over_y(&self) -> f64 {
        (self.x * self.turned_y / (self.y * self.turned_x)).sqrt()
    }
}
