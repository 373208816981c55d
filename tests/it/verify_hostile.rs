//! Broken and hostile files end in findings, never in a panic and never without end.

use lopdf::{Dictionary, Document, Object, Stream, dictionary};
use sheetwright::verify::{Verdict, folder};

use crate::damage::{changed, pdf};
use crate::made_by_hand;

/// Damaged files tried for each kind of file and damage.
const TRIES: u64 = 400;

/// A small generator (Steele, Lea and Flood 2014, `SplitMix64`, constants from memory): any would do, the seed is fixed.
fn random(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

fn below(state: &mut u64, limit: usize) -> usize {
    usize::try_from(random(state) % u64::try_from(limit).unwrap()).unwrap()
}

fn spoil(bytes: &[u8], state: &mut u64) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    match random(state) % 4 {
        0 => bytes.truncate(below(state, bytes.len())),
        1 => {
            for _ in 0..=below(state, 12) {
                let at = below(state, bytes.len());
                bytes[at] ^= 1 << below(state, 8);
            }
        }
        2 => {
            // Digits become other digits: lengths, object numbers and coordinates go wrong, the grammar stays right.
            for _ in 0..20 {
                let at = below(state, bytes.len());
                if bytes[at].is_ascii_digit() {
                    bytes[at] = b'0' + u8::try_from(below(state, 10)).unwrap();
                }
            }
        }
        _ => {
            let (from, to) = (below(state, bytes.len()), below(state, bytes.len()));
            let (from, to) = (from.min(to), from.max(to));
            let stretch = bytes[from..to].to_vec();
            let at = below(state, bytes.len());
            bytes.splice(at..at, stretch);
        }
    }
    bytes
}

#[test]
fn broken_files_never_panic() {
    let made = made_by_hand::folder();
    let mut state = 20_270_417;
    for name in [
        "print.pdf",
        "proof.pdf",
        "cut-01.svg",
        "sheet-01.png",
        "plan.json",
    ] {
        for _ in 0..TRIES {
            let mut files = made.clone();
            files.insert(name.to_owned(), spoil(&made[name], &mut state));
            // Broken here means only that it must come to an end: a flipped bit in a comment harms nothing.
            let _ = folder(&files);
        }
    }
}

fn print(damage: impl FnOnce(&[u8]) -> Vec<u8>) -> Verdict {
    folder(&changed(&made_by_hand::folder(), "print.pdf", damage)).unwrap()
}

fn assert_problem(verdict: &Verdict, words: &str) {
    let found: Vec<_> = verdict.findings().collect();
    assert!(
        found.iter().any(|finding| finding.message.contains(words)),
        "{words}: {found:#?}"
    );
}

/// The printed file with a form `Loop` that runs `content`; its own name in it means itself.
fn with_form(content: &[u8]) -> Vec<u8> {
    let made = made_by_hand::folder();
    let mut document = Document::load_mem(&made["print.pdf"]).unwrap();
    let form = document.new_object_id();
    let resources = dictionary! { "XObject" => dictionary! { "Loop" => form } };
    let dictionary = dictionary! {
        "Type" => "XObject", "Subtype" => "Form", "Resources" => resources.clone(),
        "BBox" => vec![Object::from(0), 0.into(), 700.into(), 800.into()],
    };
    let stream = Stream::new(dictionary, content.to_vec());
    document.objects.insert(form, stream.into());
    let page = document.get_pages()[&1];
    let start = document.add_object(Stream::new(Dictionary::new(), b"/Loop Do".to_vec()));
    let page = document.get_dictionary_mut(page).unwrap();
    page.set("Contents", start);
    page.set("Resources", resources);
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).unwrap();
    bytes
}

#[test]
fn a_form_that_draws_itself_is_found() {
    assert_problem(&print(|_| with_form(b"/Loop Do")), "nests forms too deep");
}

#[test]
fn a_form_that_draws_itself_many_times_comes_to_an_end() {
    let content = "/Loop Do ".repeat(5_000);
    assert_problem(
        &print(|_| with_form(content.as_bytes())),
        "has too much content",
    );
}

#[test]
fn a_stream_that_inflates_without_end_is_refused() {
    // 100 MB of spaces are about 100 kB packed.
    let verdict = print(|bytes| {
        let mut document = Document::load_mem(bytes).unwrap();
        let mut stream = Stream::new(Dictionary::new(), vec![b' '; 100_000_000]);
        stream.compress().unwrap();
        let stream = document.add_object(stream);
        let page = document.get_pages()[&1];
        document
            .get_dictionary_mut(page)
            .unwrap()
            .set("Contents", stream);
        let mut saved = Vec::new();
        document.save_to(&mut saved).unwrap();
        saved
    });
    assert_problem(&verdict, "content that cannot be read");
}

#[test]
fn states_saved_without_end_and_restored_from_nothing_are_found() {
    let many = "q 0 0 9 9 re W n ".repeat(10_000);
    let verdict = print(|bytes| pdf::append(bytes, 1, &many));
    assert_problem(&verdict, "saves the graphics state too often");
    assert_problem(&verdict, "clips too often");
    assert_problem(
        &print(|bytes| pdf::append(bytes, 1, "Q Q")),
        "has not saved",
    );
}

#[test]
fn numbers_beyond_all_paper_are_findings() {
    let huge = "M 20 20 L 1e300 20 L 1e300 1e300 L 20 1e300 Z";
    let verdict = folder(&changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        let d = "M 20.0000 20.0000 L 70.0000 20.0000 L 70.0000 100.0000 L 20.0000 100.0000 Z";
        text.replace(d, huge).into_bytes()
    }))
    .unwrap();
    assert!(
        verdict
            .findings()
            .any(|finding| finding.id.as_deref() == Some("packet#1.outline"))
    );
}
