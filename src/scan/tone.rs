//! What the tone curve of a picture does to the place of an edge.
//!
//! Many scanners and all cameras store light to the power of one over about 2.2; some scanners store light as it is. Blur happens
//! before that: an edge is as soft on its dark side as on its light one in light, but in stored values it seems to lie further on
//! the dark side, by up to a quarter of a pixel. Which curve a file has cannot be seen in it: an edge's own unevenness tells too
//! little of it (that was tried, and made places worse). So a curve in the middle is taken for all, which halves the largest error.

use super::profile::{gradient, peak};

/// Power that makes light of stored values, with which files of power 1 and of 2.2 are off by as much.
const POWER: f64 = 1.3;
const WHITE: f64 = 255.0;

/// Returns by how many samples an averaged edge from dark to light lies further on in light than in stored values.
pub(super) fn shift(values: &[f64]) -> f64 {
    let light: Vec<f64> = values
        .iter()
        .map(|v| WHITE * libm::pow((v / WHITE).max(0.0), POWER))
        .collect();
    match (peak(&gradient(values)), peak(&gradient(&light))) {
        (Some(stored), Some(light)) => light.at - stored.at,
        (Some(_) | None, _) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An edge at sample 20, blurred by a bell of 4 samples, stored as light to the power of 1 / `gamma`.
    fn edge(gamma: f64) -> Vec<f64> {
        (0..41)
            .map(|i| {
                let away = (f64::from(i) - 20.0) / (4.0 * 2.0_f64.sqrt());
                let light = 0.06 + 0.84 * (1.0 + libm::erf(away)) / 2.0;
                WHITE * libm::pow(light, 1.0 / gamma)
            })
            .collect()
    }

    #[test]
    fn an_edge_stored_with_the_middle_curve_is_moved_back_to_its_place() {
        let values = edge(POWER);
        let stored = peak(&gradient(&values)).unwrap().at;
        assert!(stored < 19.9, "{stored}");
        assert!((stored + shift(&values) - 20.0).abs() < 0.01);
    }

    #[test]
    fn an_edge_stored_with_another_curve_is_nearer_to_its_place_than_that_of_the_strongest_was() {
        let strongest = 20.0 - peak(&gradient(&edge(2.2))).unwrap().at;
        for gamma in [1.0, 2.2] {
            let values = edge(gamma);
            let found = peak(&gradient(&values)).unwrap().at + shift(&values);
            assert!(
                (found - 20.0).abs() < 0.8 * strongest,
                "{gamma}: {found}, {strongest}"
            );
        }
    }
}
