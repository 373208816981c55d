//! All calls, in one table.

use super::answer::{Answer, Asked, Outcome, Refused};
use super::{
    Desk, forms, hand, layout, made, measure, page, patterns, picture, project, start, upload, work,
};

/// How a call is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// It only looks.
    Get,
    /// It changes something, starts work, or brings much along.
    Post,
}

/// One kind of call.
#[derive(Debug)]
pub(super) struct Call {
    pub(super) way: Way,
    /// Its path; `{*rest}` stands for whatever follows.
    pub(super) path: &'static str,
    /// How much it may bring along, in bytes.
    pub(super) most_bytes: usize,
    pub(super) answer: fn(&Desk, &Asked) -> Outcome,
}

/// A project file of 4 MiB and what JSON adds to it.
const TEXT_BYTES: usize = 9 << 20;

/// As much as a picture may have that a project names.
pub(super) const UPLOAD_BYTES: usize = 64_000_000;

const fn look(path: &'static str, answer: fn(&Desk, &Asked) -> Outcome) -> Call {
    Call {
        way: Way::Get,
        path,
        most_bytes: 0,
        answer,
    }
}

const fn tell(path: &'static str, answer: fn(&Desk, &Asked) -> Outcome) -> Call {
    Call {
        way: Way::Post,
        path,
        most_bytes: TEXT_BYTES,
        answer,
    }
}

/// All calls; the page itself comes first.
pub(super) static CALLS: &[Call] = &[
    look("/", index),
    look("/page/{name}", page_file),
    look("/picture/{*rest}", picture::picture),
    look("/state", project::state),
    look("/pulse", project::pulse),
    tell("/change", project::change),
    tell("/text", project::text),
    tell("/undo", project::undo),
    tell("/redo", project::redo),
    tell("/save", project::save),
    tell("/reread", project::reread),
    tell("/close", project::close),
    look("/shelf", start::shelf),
    tell("/try", start::try_one),
    tell("/begin", start::begin),
    tell("/open", start::open),
    look("/forms", forms::forms),
    look("/patterns", patterns::patterns),
    Call {
        most_bytes: UPLOAD_BYTES,
        ..tell("/upload", upload::upload)
    },
    tell("/lay-out", layout::lay_out),
    look("/layout", layout::layout),
    tell("/hold", hand::hold),
    tell("/put", hand::put),
    tell("/unpin", hand::unpin),
    look("/measure", measure::known),
    look("/measure/questions", measure::questions),
    look("/measure/chart.pdf", measure::chart_file),
    look("/measure/test-cut.svg", measure::test_cut_file),
    look("/measure/errors.png", measure::errors_file),
    look("/measure/registered.zip", measure::registered_file),
    tell("/measure/read", measure::read),
    Call {
        most_bytes: UPLOAD_BYTES,
        ..tell("/measure/scan", measure::scan)
    },
    tell("/measure/register", measure::register),
    Call {
        most_bytes: UPLOAD_BYTES,
        ..tell("/measure/register-scan", measure::register_scan)
    },
    tell("/stop", work::stop),
    tell("/make", made::make),
    look("/made", made::made),
    look("/made.zip", made::packed),
    look("/made/{name}", made::file),
    tell("/keep", made::keep),
];

fn index(desk: &Desk, _: &Asked) -> Outcome {
    Ok(Answer::File {
        kind: "text/html; charset=utf-8",
        bytes: page::index(&desk.key).into_bytes(),
        name: None,
    })
}

fn page_file(_: &Desk, asked: &Asked) -> Outcome {
    let (kind, text) = page::file(&asked.rest).ok_or_else(Refused::missing)?;
    Ok(Answer::File {
        kind,
        bytes: text.into_owned().into_bytes(),
        name: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_calls_have_the_same_path() {
        for (i, call) in CALLS.iter().enumerate() {
            assert!(
                CALLS[..i].iter().all(|c| c.path != call.path),
                "{}",
                call.path
            );
        }
    }
}
