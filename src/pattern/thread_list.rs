//! A list of threads: one half of what a plaid is woven by.

use super::thread::{Band, refused_if_thin};
use super::{Refusal, Settings};

/// Most bands of a list, before it turns.
const MOST_BANDS: usize = 40;
/// Most threads of a band.
const MOST_THREADS: u32 = 400;

/// The usual lists for two to six colours.
pub(super) const USUAL: [&[(usize, u32)]; 5] = [
    &[(1, 18), (0, 3), (1, 3), (0, 3), (1, 3), (0, 24)],
    &[(1, 22), (0, 4), (1, 4), (0, 16), (2, 3)],
    &[(1, 20), (2, 4), (1, 4), (2, 14), (0, 6), (3, 2)],
    &[(1, 20), (2, 3), (1, 3), (2, 16), (3, 3), (0, 8), (4, 2)],
    &[
        (1, 18),
        (5, 2),
        (1, 4),
        (2, 14),
        (3, 3),
        (2, 4),
        (0, 8),
        (4, 2),
    ],
];

/// The half list, bands of one colour beside each other taken together.
pub(super) fn list(settings: &Settings) -> Result<Vec<(usize, u32)>, Refusal> {
    let colours = settings.colours.len();
    let usual = USUAL[colours.clamp(2, 6) - 2];
    let asked = if settings.threads.is_empty() {
        usual
    } else {
        &settings.threads
    };
    refuse_bands(asked, colours)?;
    let list: Vec<(usize, u32)> = asked
        .chunk_by(|a, b| a.0 == b.0)
        .map(|same| (same[0].0, same.iter().map(|band| band.1).sum()))
        .collect();
    if list.len() < 2 {
        return Err(refusal(
            "the list of threads has only one colour, and a plaid needs two bands or more"
                .to_owned(),
            "add a band of another colour to the list".to_owned(),
        ));
    }
    let narrowest = list.iter().map(|band| band.1).min().unwrap_or(1);
    let thread_mm = settings.repeat_mm / f64::from(total(&list));
    refused_if_thin(
        "the narrowest bands",
        thread_mm,
        f64::from(narrowest),
        settings,
    )?;
    Ok(list)
}

fn refuse_bands(asked: &[(usize, u32)], colours: usize) -> Result<(), Refusal> {
    if asked.len() > MOST_BANDS {
        return Err(refusal(
            format!(
                "the list of threads has {} bands, and {MOST_BANDS} are the most",
                asked.len()
            ),
            "leave bands out; the list turns at its last band and comes back by itself".to_owned(),
        ));
    }
    for (band, (colour, threads)) in asked.iter().enumerate() {
        let (band, colour) = (band + 1, colour + 1);
        if colour > colours {
            return Err(refusal(
                format!(
                    "band {band} of the list of threads has colour {colour}, and there are {colours} colours"
                ),
                format!("give it one of the colours 1 to {colours}, or add a colour"),
            ));
        }
        if !(1..=MOST_THREADS).contains(threads) {
            return Err(refusal(
                format!(
                    "band {band} of the list of threads has {threads} threads, which must be 1 to {MOST_THREADS}"
                ),
                "give it 1 thread or more, or leave the band out".to_owned(),
            ));
        }
    }
    Ok(())
}

const fn refusal(message: String, hint: String) -> Refusal {
    Refusal {
        key: "threads",
        message,
        hint,
    }
}

/// Threads of the whole list: the bands where it turns count once, all others there and back.
pub(super) fn total(list: &[(usize, u32)]) -> u32 {
    let ends = list[0].1 + list[list.len() - 1].1;
    2 * list.iter().map(|band| band.1).sum::<u32>() - ends
}

/// The bands of one repeat, there and back, from the one that has its middle at the origin.
pub(super) fn bands(list: &[(usize, u32)], repeat_mm: f64) -> Vec<Band> {
    let thread_mm = repeat_mm / f64::from(total(list));
    let back = list[1..list.len() - 1].iter().rev();
    // In half threads, so that every edge is exact before it is made a length.
    let mut halves = -f64::from(list[0].1);
    let mut bands = Vec::new();
    for (colour, threads) in list.iter().chain(back) {
        let from = halves;
        halves += 2.0 * f64::from(*threads);
        bands.push(Band {
            colour: *colour,
            from_mm: from * thread_mm / 2.0,
            to_mm: halves * thread_mm / 2.0,
        });
    }
    bands
}

#[cfg(test)]
mod tests {
    use super::super::woven::settings;
    use super::*;

    fn woven(repeat_mm: f64, colours: usize, threads: &[(usize, u32)]) -> Settings {
        Settings {
            threads: threads.to_vec(),
            ..settings(repeat_mm, 0.5, colours)
        }
    }

    /// By hand: 4 + 2 + 6 of a half list are 4, 2, 6, 2 threads, 14 in all; 14 mm make them 1 mm each. From the middle of the first: to 2, to
    /// 4, to 10, to 12, to 16.
    #[test]
    fn a_list_turns_in_the_middle_of_its_first_and_last_band() {
        let found = bands(&[(1, 4), (0, 2), (2, 6)], 14.0);
        let edges: Vec<(usize, f64, f64)> = found
            .iter()
            .map(|b| (b.colour, b.from_mm, b.to_mm))
            .collect();
        assert_eq!(
            edges,
            [
                (1, -2.0, 2.0),
                (0, 2.0, 4.0),
                (2, 4.0, 10.0),
                (0, 10.0, 12.0)
            ]
        );
    }

    /// By hand: the sums of the usual lists, there and back: 18 + 24 + 2 * 12, 22 + 3 + 2 * 24, 20 + 2 + 2 * 28, 20 + 2 + 2 * 33 and
    /// 18 + 2 + 2 * 35.
    #[test]
    fn the_usual_lists_have_their_threads() {
        assert_eq!(USUAL.map(total), [66, 73, 78, 88, 90]);
        for (list, colours) in USUAL.iter().zip(2..) {
            let mut used: Vec<usize> = list.iter().map(|band| band.0).collect();
            used.sort_unstable();
            used.dedup();
            assert_eq!(
                used,
                (0..colours).collect::<Vec<_>>(),
                "every colour is in it"
            );
        }
    }

    #[test]
    fn lists_that_cannot_be_woven_are_refused_with_their_number() {
        let says = |threads: &[(usize, u32)], repeat_mm: f64| {
            let refusal = list(&woven(repeat_mm, 3, threads)).expect_err("beyond the limits");
            assert!(!refusal.hint.is_empty());
            (refusal.key, refusal.message)
        };
        let (key, message) = says(&[(1, 4), (3, 2)], 40.0);
        assert_eq!(
            (key, message.as_str()),
            (
                "threads",
                "band 2 of the list of threads has colour 4, and there are 3 colours"
            )
        );
        let (_, message) = says(&[(1, 0), (2, 2)], 40.0);
        assert_eq!(
            message,
            "band 1 of the list of threads has 0 threads, which must be 1 to 400"
        );
        let (_, message) = says(&[(1, 4), (1, 2)], 40.0);
        assert!(message.contains("only one colour"), "{message}");
        let (_, message) = says(&[(1, 1), (2, 1)].repeat(21), 40.0);
        assert!(
            message.contains("42 bands, and 40 are the most"),
            "{message}"
        );
        // By hand: 1 + 399 + 2 * 0 threads in 20 mm are 0.05 mm each.
        let (key, message) = says(&[(1, 1), (2, 399)], 20.0);
        assert_eq!(key, "repeat");
        assert!(
            message.contains("the narrowest bands come out 0.050 mm wide"),
            "{message}"
        );
    }
}
