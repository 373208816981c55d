//! Just enough of Rust's grammar to tell paths in code from words in comments and strings.

/// A name or a mark of the source, with its line counted from 1.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Token {
    pub(super) text: String,
    pub(super) line: usize,
}

/// Splits source into names, `::` and single marks; comments, literals of text and white space are left out.
pub(super) fn tokens(source: &str) -> Vec<Token> {
    let mut found = Vec::new();
    let mut rest = source;
    let mut line = 1;
    while let Some(first) = rest.chars().next() {
        let length = skipped(rest).unwrap_or_else(|| {
            let length = word_length(rest).unwrap_or(if rest.starts_with("::") {
                2
            } else {
                first.len_utf8()
            });
            if !first.is_whitespace() {
                found.push(Token {
                    text: rest[..length].into(),
                    line,
                });
            }
            length
        });
        line += rest[..length].matches('\n').count();
        rest = &rest[length..];
    }
    found
}

fn word_length(rest: &str) -> Option<usize> {
    let is_inside = |c: char| c.is_alphanumeric() || c == '_';
    rest.starts_with(is_inside)
        .then(|| rest.find(|c| !is_inside(c)).unwrap_or(rest.len()))
}

/// The length of the comment or text literal that `rest` starts with.
fn skipped(rest: &str) -> Option<usize> {
    if rest.starts_with("//") {
        return Some(rest.find('\n').unwrap_or(rest.len()));
    }
    if rest.starts_with("/*") {
        return Some(block_comment_length(rest));
    }
    let quoted = rest.strip_prefix('b').unwrap_or(rest);
    let prefix = rest.len() - quoted.len();
    if let Some(raw) = quoted.strip_prefix('r') {
        let hashes = raw.len() - raw.trim_start_matches('#').len();
        if raw[hashes..].starts_with('"') {
            let closing = format!("\"{}", "#".repeat(hashes));
            let body = &raw[hashes + 1..];
            let end = body
                .find(&closing)
                .map_or(body.len(), |i| i + closing.len());
            return Some(prefix + 1 + hashes + 1 + end);
        }
    }
    if quoted.starts_with('"') {
        return Some(prefix + closed_by('"', quoted));
    }
    // A quote opens a character only if it closes one or two steps on; otherwise it is a lifetime.
    let is_character = quoted.starts_with("'\\") || quoted.chars().nth(2) == Some('\'');
    (quoted.starts_with('\'') && is_character).then(|| prefix + closed_by('\'', quoted))
}

fn closed_by(quote: char, literal: &str) -> usize {
    let mut is_escaped = false;
    for (i, c) in literal.char_indices().skip(1) {
        if c == quote && !is_escaped {
            return i + 1;
        }
        is_escaped = c == '\\' && !is_escaped;
    }
    literal.len()
}

/// Block comments nest.
fn block_comment_length(comment: &str) -> usize {
    let mut depth = 0;
    let mut at = 0;
    while at < comment.len() {
        let here = &comment[at..];
        if here.starts_with("/*") {
            depth += 1;
            at += 2;
        } else if here.starts_with("*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += here.chars().next().map_or(1, char::len_utf8);
        }
    }
    comment.len()
}

/// A path as written out in full, groups taken apart, with the line of its last name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PathUse {
    /// The names after the root.
    pub(super) names: Vec<String>,
    pub(super) line: usize,
}

/// Returns every path that starts at `root`, which may be several names such as `super::super`.
pub(super) fn paths_from(root: &str, tokens: &[Token]) -> Vec<PathUse> {
    let start: Vec<&str> = root
        .split_inclusive("::")
        .flat_map(|part| match part.strip_suffix("::") {
            Some(name) => vec![name, "::"],
            None => vec![part, "::"],
        })
        .collect();
    let mut found = Vec::new();
    for i in 0..tokens.len() {
        let is_here = start
            .iter()
            .enumerate()
            .all(|(k, text)| tokens.get(i + k).is_some_and(|t| t.text == *text));
        // A name before the root would make it a part of a longer path.
        if is_here && (i == 0 || tokens[i - 1].text != "::") {
            take_path(tokens, i + start.len(), &[], &mut found);
        }
    }
    found
}

/// Reads the tree that starts at `at`, below `above`, and returns where it ends.
fn take_path(tokens: &[Token], at: usize, above: &[String], found: &mut Vec<PathUse>) -> usize {
    let Some(token) = tokens.get(at) else {
        return at;
    };
    if token.text == "{" {
        let mut at = at + 1;
        while tokens.get(at).is_some_and(|t| t.text != "}") {
            at = take_path(tokens, at, above, found);
            while tokens
                .get(at)
                .is_some_and(|t| t.text != "," && t.text != "}")
            {
                at += 1;
            }
            at += usize::from(tokens.get(at).is_some_and(|t| t.text == ","));
        }
        return at + 1;
    }
    let mut names = above.to_vec();
    names.push(token.text.clone());
    if tokens.get(at + 1).is_some_and(|t| t.text == "::") {
        return take_path(tokens, at + 2, &names, found);
    }
    found.push(PathUse {
        names,
        line: token.line,
    });
    at + 1
}

#[test]
fn comments_and_texts_hold_no_tokens() {
    let source =
        "a // b \" c\n/* d /* e */ f */ 'g' \"h \\\" i\" r#\"j \" k\"# b\"l\" '\\'' <'m> n";
    let texts: Vec<String> = tokens(source).into_iter().map(|t| t.text).collect();
    assert_eq!(texts, ["a", "<", "'", "m", ">", "n"]);
    assert_eq!(tokens(source)[5].line, 2);
}

#[test]
fn groups_are_taken_apart() {
    let code = tokens("use crate::{a, b::{self, C as D, *}, e::f::G}; let x = crate::h::i();");
    let written: Vec<String> = paths_from("crate", &code)
        .iter()
        .map(|p| p.names.join("/"))
        .collect();
    assert_eq!(written, ["a", "b/self", "b/C", "b/*", "e/f/G", "h/i"]);
}
