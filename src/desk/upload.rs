//! Files laid on the desk: pictures, lists and fonts of the maker's, read once to see that they can be used.

use std::collections::BTreeMap;

use serde_json::json;

use super::Desk;
use super::answer::{Answer, Asked, Outcome, Refused};
use super::project::nothing_open;
use crate::{job, load};

/// What may be laid on the desk: the ending, and the folder that it is kept in.
const KINDS: &[(&str, &str)] = &[
    ("png", "art/"),
    ("jpg", "art/"),
    ("jpeg", "art/"),
    ("webp", "art/"),
    ("svg", "art/"),
    ("csv", ""),
    ("ttf", "fonts/"),
    ("otf", "fonts/"),
];

/// No more than this lies on the desk before it is saved, in bytes.
const MOST_HELD: usize = 512_000_000;

/// A project with one picture on it, to see whether it can be printed.
const WITH_PICTURE: &str = "sheetwright = 1\n[job]\nname = \"-\"\ncopies = 1\ncut_by = \"machine\"\n[[stock]]\nid = \"a\"\nformat = \"a4\"\nface_a = \"printable\"\n[[piece]]\nid = \"a\"\nstock = \"a\"\nshape = { kind = \"rectangle\", width = \"50 mm\", height = \"50 mm\" }\n[[piece.artwork]]\nfit = \"whole\"\nfile = ";

pub(super) fn upload(desk: &Desk, asked: &Asked) -> Outcome {
    let name = asked.query.get("name").map_or("", String::as_str);
    let (path, is_picture) = path(name).map_err(Refused::wrong)?;
    let about = if is_picture {
        look_at(&path, &asked.body).map_err(Refused::wrong)?
    } else {
        format!("{} bytes", asked.body.len())
    };
    let size = size(&path, &asked.body);
    let mut open = desk.open();
    if open.text().is_none() {
        return Err(nothing_open());
    }
    if open.held_bytes() + asked.body.len() > MOST_HELD {
        return Err(Refused::too_large(MOST_HELD));
    }
    let path = open.hold(&path, asked.body.clone());
    let about = match size {
        Some((width, height)) => format!("{width} x {height} pixels"),
        None => about,
    };
    Ok(Answer::Json(json!({
        "path": path,
        "width": size.map(|(width, _)| width),
        "height": size.map(|(_, height)| height),
        "about": about,
    })))
}

/// Where a file of this name is kept, and whether it is a picture.
fn path(name: &str) -> Result<(String, bool), String> {
    let base = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let plain: String = base
        .chars()
        .map(|c| {
            if c.is_alphanumeric() || matches!(c, '.' | '-' | '_') {
                c
            } else {
                '-'
            }
        })
        .collect();
    let plain = plain.trim_start_matches(['.', '-']).to_owned();
    let (stem, ending) = plain.rsplit_once('.').unwrap_or((&plain, ""));
    let ending = ending.to_lowercase();
    let kind = KINDS.iter().find(|(own, _)| *own == ending);
    let Some((_, folder)) = kind.filter(|_| !stem.is_empty()) else {
        return Err(format!(
            "\"{base}\" cannot be used: lay on a picture (PNG, JPEG, WebP, SVG), a list (CSV) or a font (TTF, OTF)"
        ));
    };
    Ok((format!("{folder}{stem}.{ending}"), *folder == "art/"))
}

/// Reads a picture as a project would; what is wrong with it otherwise.
fn look_at(path: &str, bytes: &[u8]) -> Result<String, String> {
    let files = BTreeMap::from([(path.to_owned(), bytes.to_vec())]);
    let text = format!("{WITH_PICTURE}{}\n", load::toml_text(path));
    match job::check("project.toml", &text, &files, &load::Options::default()) {
        Ok(_) => Ok("a drawing".to_owned()),
        Err(mistakes) => {
            let first = mistakes.iter().find(|d| d.is_error());
            let words = first.map(|d| {
                let hints: Vec<&str> = d.hints.iter().map(String::as_str).collect();
                [d.message.as_str()]
                    .into_iter()
                    .chain(hints)
                    .collect::<Vec<_>>()
                    .join("; ")
            });
            Err(words.unwrap_or_default())
        }
    }
}

/// Width and height of a picture of pixels.
fn size(path: &str, bytes: &[u8]) -> Option<(u32, u32)> {
    if path.ends_with(".svg") {
        return None;
    }
    let reader = image::ImageReader::new(std::io::Cursor::new(bytes));
    reader.with_guessed_format().ok()?.into_dimensions().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_kept_by_kind_under_plain_names() {
        assert_eq!(
            path("My leaf.PNG"),
            Ok(("art/My-leaf.png".to_owned(), true))
        );
        assert_eq!(
            path("C:\\pictures\\leaf.svg"),
            Ok(("art/leaf.svg".to_owned(), true))
        );
        assert_eq!(
            path("../../guests.csv"),
            Ok(("guests.csv".to_owned(), false))
        );
        for wrong in ["", "leaf", ".png", "leaf.exe", "project.toml", "a/.svg"] {
            assert!(path(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn what_is_no_picture_is_refused_with_words() {
        let wrong = look_at("art/leaf.png", b"not a picture").unwrap_err();
        assert!(wrong.contains("leaf.png"), "{wrong}");
        let svg = b"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 2 1\"><path d=\"M0 0H2V1Z\"/></svg>";
        assert_eq!(look_at("art/leaf.svg", svg), Ok("a drawing".to_owned()));
    }
}
