//! Projects that are begun from a few sizes, and sized down to a sheet.

use std::collections::BTreeMap;
use std::fs;
use std::num::NonZeroUsize;

use sheetwright::construct::{KINDS, Kind, Parameter, ParameterKind};
use sheetwright::diagnostic::Diagnostic;
use sheetwright::job::{self, NewProject};
use sheetwright::load::{self, Options};
use sheetwright::plan::{Effort, PlanOptions};
use sheetwright::project::CutBy;

use crate::program::{fresh_folder, parts, sheetwright};

/// Every way that a construction is asked by, in millimetres and in inches on a grid, with sizes that
/// every one of them takes and whose blanks a sheet holds.
fn asked(kind: &Kind) -> Vec<NewProject> {
    let (metric, inch) = match kind.dimensions {
        1 => ("90 mm", "3 1/2 in"),
        2 => ("70 x 50 mm", "3 x 2 in"),
        _ => ("60 x 40 x 20 mm", "2 1/2 x 1 1/2 x 1 in"),
    };
    let mut asked = Vec::new();
    for by in kind.sized_by {
        let sized = |sizes: &str| NewProject {
            sizes: vec![(*by, sizes.to_owned())],
            ..NewProject::of(kind.name)
        };
        asked.push(sized(metric));
        asked.push(NewProject {
            grid: Some("1/16 in".to_owned()),
            paper: Some("12 x 12 in".to_owned()),
            ..sized(inch)
        });
    }
    asked
}

fn glance() -> PlanOptions<'static> {
    PlanOptions {
        effort: Effort::Quick,
        ..PlanOptions::default()
    }
}

#[test]
fn every_construction_begins_a_project_that_is_made_and_proved() {
    assert!(!KINDS.is_empty());
    for kind in KINDS {
        for asked in asked(kind) {
            let what = format!("{} {:?}", kind.name, asked.sizes);
            let started =
                job::new_project(&asked).unwrap_or_else(|found| panic!("{what}: {found:#?}"));
            let project = &started.project.value;
            let planned = job::plan(project, &glance()).unwrap();
            let errors: Vec<_> = planned.warnings.iter().filter(|d| d.is_error()).collect();
            assert!(errors.is_empty(), "{what}: {errors:#?}");
            let made = job::make(project, &planned.value, NonZeroUsize::MIN).unwrap();
            assert!(made.verdict.is_proved(), "{what}: {:#?}", made.verdict);
        }
    }
}

#[test]
fn a_project_that_was_begun_says_what_was_asked_and_what_else_there_is() {
    for kind in KINDS {
        let asked = &asked(kind)[0];
        let started = job::new_project(asked).unwrap();
        let (by, sizes) = &asked.sizes[0];
        assert!(
            started
                .text
                .contains(&format!("# Asked for: {by} {sizes}.")),
            "{}",
            started.text
        );
        for parameter in kind.parameters {
            let (key, text) = (parameter.key, &started.text);
            assert!(text.contains(&format!("# {key} = ")), "no {key}:\n{text}");
        }
    }
}

#[test]
fn what_was_asked_wrongly_is_shown_on_the_command_line() {
    // One of each kind of slip: a unit left out, a size left out, a parameter that is none, a format that is none, a construction that is none.
    for (arguments, words) in [
        (
            &["tray", "--inside", "90 x 60 x 35"][..],
            "--inside \"90 x 60 x 35\"",
        ),
        (
            &["tray", "--inside", "90 x 60 mm"],
            "--inside \"90 x 60 mm\"",
        ),
        (
            &["tray", "--inside", "90 x 60 x 35 mm", "--set", "tbas=9 mm"],
            "--set \"tbas=9 mm\"",
        ),
        (
            &["tray", "--inside", "90 x 60 x 35 mm", "--paper", "lettre"],
            "--paper lettre",
        ),
        (&["tary", "--inside", "90 x 60 x 35 mm"], "tary"),
    ] {
        let all: Vec<&str> = ["new"].iter().chain(arguments).copied().collect();
        let (code, result, talk) = parts(&sheetwright(&all));
        assert_eq!(code, 1, "{arguments:?}: {result}{talk}");
        assert_eq!(result, "", "{arguments:?}");
        assert!(talk.contains("--> command line:1:"), "{talk}");
        assert!(talk.contains(words), "{talk}");
        assert!(!talk.contains("project.toml"), "{talk}");
    }
}

#[test]
fn nothing_is_written_over() {
    let folder = fresh_folder("new-over");
    let file = folder.join("project.toml");
    let new = [
        "new",
        "tray",
        "--inside",
        "90 x 60 x 35 mm",
        "--out",
        file.to_str().unwrap(),
    ];
    assert_eq!(parts(&sheetwright(&new)).0, 0);
    let before = fs::read_to_string(&file).unwrap();
    let (code, _, talk) = parts(&sheetwright(&new));
    assert_eq!(code, 2, "{talk}");
    assert!(talk.contains("not written over"), "{talk}");
    assert_eq!(fs::read_to_string(&file).unwrap(), before);
    let (code, result, talk) = parts(&sheetwright(&["check", file.to_str().unwrap()]));
    assert_eq!(code, 0, "{result}{talk}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_tray_is_as_large_as_its_blank_fits() {
    // The blank of a tray is L + 2 D + 2 t by W + 2 D + 2 t (check value of a 60 x 40 x 20 tray: 100.6 x 80.6 mm), and on A4 the short side
    // has 210 less twice the 6.35 mm that no blade reaches: 197.3 mm. At 147 x 98 x 49 it takes 98 + 98 + 0.6 = 196.6 mm; the next in
    // these proportions is 148 x 99 x 49, 99 + 98 + 0.6 = 197.6 mm.
    let tray = NewProject {
        sizes: vec![("inside", "60 x 40 x 20 mm".to_owned())],
        caliper: Some("0.3 mm".to_owned()),
        ..NewProject::of("tray")
    };
    let fitted = job::fit(&tray, 1).unwrap();
    assert_eq!(fitted.sizes_text, "147 x 98 x 49 mm");
    assert_eq!(fitted.next.0, "148 x 99 x 49 mm");
    assert!(fitted.next.1.contains("tray"), "{:?}", fitted.next);
}

/// A plain rectangle: a tag without a hole.
fn rectangle(sizes: &str, paper: &str, cut_by: CutBy) -> NewProject {
    let plain = [("corners", "square"), ("hole", "0 in")];
    NewProject {
        sizes: vec![("outside", sizes.to_owned())],
        parameters: plain
            .map(|(key, value)| (key.to_owned(), value.to_owned()))
            .to_vec(),
        paper: Some(paper.to_owned()),
        cut_by,
        ..NewProject::of("tag")
    }
}

#[test]
fn twelve_tags_on_a_letter_sheet_can_be_a_little_larger_than_usual() {
    // Edge to edge 4 x 3 tags lie on 8 1/2 x 11 in. Of 2 : 3 1/2, the longest side 58/16 makes 2 1/16 x 3 5/8 (33.1 sixteenths wide):
    // 4 x 2 1/16 = 8 1/4 and 3 x 3 5/8 = 10 7/8. With 59/16 (2 1/8 wide) twelve cover 94.03 of 93.5 square inches, so none fit.
    let tags = rectangle("2 x 3 1/2 in", "letter", CutBy::Trimmer);
    let fitted = job::fit(&tags, 12).unwrap();
    assert_eq!(fitted.sizes_text, "2 1/16 x 3 5/8 in");
    assert_eq!(fitted.next.0, "2 1/8 x 3 11/16 in");
    assert!(
        fitted
            .started
            .text
            .contains("outside = \"2 1/16 x 3 5/8 in\"")
    );
}

#[test]
fn four_squares_keep_their_gap_and_what_a_blade_cannot_reach() {
    // Two beside each other on A4: 210 mm less 6.35 mm at either side (1/4 in that no blade reaches) and 3 mm between, by two: 97.15 mm.
    // Four in one column would be smaller: 297 less 12.7 and 9, by four, 68.8 mm.
    let mut squares = rectangle("10 x 10 mm", "a4", CutBy::Machine);
    squares.parameters[1].1 = "0 mm".to_owned();
    let fitted = job::fit(&squares, 4).unwrap();
    assert_eq!(fitted.sizes_text, "97 x 97 mm");
    assert!(fitted.next.1.contains("2 sheets"), "{:?}", fitted.next);
}

#[test]
fn what_can_be_changed_works_as_it_stands_once_its_comment_sign_is_gone() {
    for kind in KINDS {
        for asked in asked(kind).into_iter().take(2) {
            let text = job::new_project(&asked).unwrap().text;
            let (head, part) = text.split_once("[[part]]").unwrap();
            for parameter in kind.parameters {
                let line = format!("\n# {} = ", parameter.key);
                if asked.parameters.iter().any(|(key, _)| key == parameter.key) {
                    continue;
                }
                assert!(part.contains(&line), "no {}:\n{part}", parameter.key);
                let taken = part.replacen(&line, &line.replace("# ", ""), 1);
                let taken = format!("{head}[[part]]{taken}");
                let options = Options::default();
                let read = job::check("project.toml", &taken, &BTreeMap::new(), &options);
                assert!(read.is_ok(), "{} {:?}: {read:#?}", kind.name, asked.sizes);
            }
        }
    }
}

#[test]
fn a_word_that_makers_say_leads_to_the_construction() {
    for (word, name) in [
        ("envelope", "diamond-envelope"),
        ("card", "layered-card"),
        ("boxes", "lidded-box"),
        ("sleeve", "drawer"),
        ("carton", "tuck-carton"),
        ("pillow", "pillow-pack"),
        ("band", "belly-band"),
        ("slider", "double-slider"),
        ("tary", "tray"),
    ] {
        let found = job::new_project(&NewProject::of(word)).unwrap_err();
        assert!(found[0].hints[0].contains(name), "{word}: {found:?}");
    }
}

#[test]
fn a_blank_larger_than_its_paper_is_told_before_anything_is_laid_out() {
    // By hand: the base is 100 + 2 x 35 + 2 x 0.3 by 60 + 2 x 35 + 0.6, 170.6 x 130.6 mm; A6 has 148 x 105.
    let asked = NewProject {
        sizes: vec![("inside", "100 x 60 x 35 mm".to_owned())],
        paper: Some("a6".to_owned()),
        ..NewProject::of("lidded-box")
    };
    let started = job::new_project(&asked).unwrap();
    let told = |found: &[Diagnostic]| {
        let mut large = found.iter().filter(|d| d.code == "plan.too-large");
        large.any(|d| d.message.contains("base\" needs 130.6 mm x 170.6 mm"))
    };
    assert!(
        told(&started.project.warnings),
        "{:#?}",
        started.project.warnings
    );
    let folder = fresh_folder("new-too-large");
    let file = folder.join("project.toml");
    fs::write(&file, &started.text).unwrap();
    let (code, _, talk) = parts(&sheetwright(&["check", file.to_str().unwrap()]));
    assert_eq!(code, 0, "{talk}");
    assert!(talk.contains("base\" needs 130.6 mm x 170.6 mm"), "{talk}");
    let large = NewProject {
        paper: None,
        ..asked
    };
    assert!(
        job::new_project(&large)
            .unwrap()
            .project
            .warnings
            .is_empty()
    );
    fs::remove_dir_all(folder).unwrap();
}

/// Follows the hints of what is refused: whatever a hint says of a parameter is taken, once. Returns what is still refused.
fn after_hints(asked: &NewProject) -> Option<String> {
    let Err(refused) = job::new_project(asked) else {
        return None;
    };
    let mut next = asked.clone();
    for found in &refused {
        let origin = found.origin.as_ref().unwrap();
        let hint = &found.hints[0];
        if let Some(rest) = hint.strip_prefix("make it ") {
            let (value, _) = rest.split_once(" or ").unwrap();
            let key = origin.key_path.strip_prefix("set.").unwrap();
            next.parameters.retain(|(own, _)| own != key);
            next.parameters.push((key.to_owned(), value.to_owned()));
        } else if let Some((_, rest)) = hint.split_once(" = \"") {
            let (value, rest) = rest.split_once('"').unwrap();
            assert_eq!(rest, " works", "{hint}");
            next.sizes[0].1 = value.to_owned();
        } else {
            return Some(format!("{hint:?} is no value"));
        }
    }
    let again = job::new_project(&next).err()?;
    Some(format!("{next:?}: {again:#?}"))
}

/// The text of a project with a line of its part in place of the one that begins so.
fn with_line(text: &str, begins: &str, line: &str) -> String {
    let is_it = |old: &&str| old.starts_with(begins);
    assert_eq!(text.lines().filter(is_it).count(), 1, "{begins}:\n{text}");
    let lines = text.lines().map(|old| if is_it(&old) { line } else { old });
    lines.collect::<Vec<_>>().join("\n")
}

/// The line to type after a hint on what is refused because of a parameter, and how the line begins that it replaces.
fn line_of_hint(found: &Diagnostic, key: &str) -> Option<(String, String)> {
    let (at, hint) = (&found.origin.as_ref()?.key_path, found.hints.first()?);
    let own = at.ends_with(&format!(".{key}"));
    let named = if own {
        "make it ".to_owned()
    } else {
        format!("or {key} ")
    };
    if let Some((_, rest)) = hint.split_once(&named) {
        let (value, _) = rest.split_once(" or ")?;
        return Some((format!("{key} = "), format!("{key} = \"{value}\"")));
    }
    let (_, sizes) = hint.split_once("; ")?;
    let line = sizes.strip_suffix(" works")?;
    let (size_key, _) = line.split_once(" = ")?;
    Some((format!("{size_key} = "), line.to_owned()))
}

#[test]
fn whatever_a_hint_names_instead_of_what_is_refused_is_taken() {
    let options = Options::default();
    let no_files = BTreeMap::new();
    let (mut tried, mut left) = (0, Vec::new());
    for kind in KINDS {
        for asked in asked(kind).into_iter().take(2) {
            let text = job::new_project(&asked).unwrap().text;
            let is_length = |p: &&Parameter| p.kind == ParameterKind::Length;
            for key in kind.parameters.iter().filter(is_length).map(|p| p.key) {
                for value in ["5 in", "127 mm", "0.02 mm", "1/64 in"] {
                    let line = format!("{key} = \"{value}\"");
                    let wrong = with_line(&text, &format!("# {key} = "), &line);
                    let Err(refused) = load::project("project.toml", &wrong, &no_files, &options)
                    else {
                        continue;
                    };
                    tried += 1;
                    let what = format!("{} {line}: {:?}", kind.name, refused[0].hints);
                    let Some((begins, line)) = line_of_hint(&refused[0], key) else {
                        left.push(format!("{what} names nothing"));
                        continue;
                    };
                    let right = with_line(&wrong, &begins, &line);
                    let again = job::check("project.toml", &right, &no_files, &options);
                    left.extend(again.err().map(|again| format!("{what}: {again:?}")));
                }
            }
        }
    }
    assert!(tried >= 50, "{tried}");
    assert!(left.is_empty(), "{} of {tried}: {left:#?}", left.len());
}

#[test]
fn sizes_that_are_refused_come_with_sizes_that_work_and_limits_a_ruler_shows() {
    // 1/8 in is less than 5 mm, which is 12.6 sixty-fourths; 400 mm are 15.748 in, 1007.9 sixty-fourths: 15 47/64. A tag has no inside.
    let tag = |sizes: &str| NewProject {
        sizes: vec![("outside", sizes.to_owned())],
        ..NewProject::of("tag")
    };
    let refused = job::new_project(&tag("1 x 1/8 in")).unwrap_err();
    assert_eq!(
        refused[0].message,
        "the height comes to 1/8 in, which must be 13/64 in to 15 47/64 in"
    );
    for asked in [
        tag("1 x 1/8 in"),
        tag("20 x 1 in"),
        tag("60 x 401 mm"),
        NewProject {
            sizes: vec![("inside", "90 x 60 x 3 mm".to_owned())],
            ..NewProject::of("lidded-box")
        },
        NewProject {
            sizes: vec![("inside", "5 x 1/8 in".to_owned())],
            ..NewProject::of("double-slider")
        },
    ] {
        assert!(job::new_project(&asked).is_err(), "{asked:?}");
        assert_eq!(after_hints(&asked), None, "{asked:?}");
    }
}

#[test]
fn a_project_in_inches_tells_what_came_of_it_as_a_ruler_shows_it() {
    // Limits and results lie between sixty-fourths; none is told with decimals of an inch.
    let slider = NewProject {
        sizes: vec![("inside", "5 x 3 in".to_owned())],
        ..NewProject::of("double-slider")
    };
    let text = job::new_project(&slider).unwrap().text;
    let head = text.split("\n\n").next().unwrap();
    let has_decimals = |line: &&str| {
        let words: Vec<_> = line.split_whitespace().collect();
        words
            .windows(2)
            .any(|pair| pair[0].contains('.') && pair[1].starts_with("in"))
    };
    let decimal: Vec<_> = head.lines().filter(has_decimals).collect();
    assert!(decimal.is_empty(), "{decimal:?}");
    assert!(head.contains("core width: about 5 53/64 in"), "{head}");
}

#[test]
fn a_low_slider_has_a_thumb_cut_as_wide_as_there_is_room() {
    // Over all 47 mm high: less twice rail and catch, 26, and 0.8 of clearance leave 20.2 of panel, of which four fifths are 16.16: 16 mm.
    // At 44 mm 17.2 are left, 13.76: 13 mm; all are built without a word.
    for height in ["47", "44", "38"] {
        let asked = NewProject {
            sizes: vec![("outside", format!("120 x {height} mm"))],
            ..NewProject::of("double-slider")
        };
        let started =
            job::new_project(&asked).unwrap_or_else(|found| panic!("{height}: {found:#?}"));
        assert!(
            started.project.warnings.is_empty(),
            "{:?}",
            started.project.warnings
        );
    }
}
