//! Carries calls over HTTP: one small server on the loopback address.

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::{Query, Request, State};
use axum::http::header::{self, HeaderName};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::response::Response;
use axum::routing::{get, post};
use tokio::net::TcpListener;

use super::Desk;
use super::answer::{Answer, Asked, Outcome, Refused};
use super::calls::{CALLS, Call, Way};
use super::guard::{self, Head};
use crate::diagnostic::Diagnostic;

/// The header that carries the key.
const KEY_HEADER: &str = "desk-key";

/// What the page may do: nothing but what comes from the desk itself.
const PAGE_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";
/// What a picture may do: show itself and the pictures that are in it.
const PICTURE_POLICY: &str =
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; frame-ancestors 'none'";

/// The desk as a server that waits to be called.
#[derive(Debug)]
pub(super) struct Server {
    listener: std::net::TcpListener,
    address: SocketAddr,
    desk: Arc<Desk>,
}

impl Server {
    /// Takes a port, any free one for 0.
    ///
    /// # Errors
    /// If it cannot be had.
    pub(super) fn bind(port: u16, desk: Desk) -> Result<Self, Diagnostic> {
        let refuse = |e: std::io::Error| {
            let message = format!("cannot listen on 127.0.0.1:{port}: {e}");
            Diagnostic::error("desk.port", message).hint("leave --port out, or name another")
        };
        let listener = std::net::TcpListener::bind(("127.0.0.1", port)).map_err(refuse)?;
        listener.set_nonblocking(true).map_err(refuse)?;
        Ok(Self {
            address: listener.local_addr().map_err(refuse)?,
            listener,
            desk: Arc::new(desk),
        })
    }

    pub(super) fn address(&self) -> SocketAddr {
        self.address
    }

    pub(super) fn desk(&self) -> &Desk {
        &self.desk
    }

    /// Answers calls until the program ends.
    pub(super) fn run(self) -> Result<(), Diagnostic> {
        let refuse = |e: std::io::Error| Diagnostic::error("desk.server", e.to_string());
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_io()
            .enable_time()
            .build()
            .map_err(refuse)?;
        let reached = Reached {
            desk: self.desk,
            address: self.address,
        };
        runtime.block_on(async move {
            let listener = TcpListener::from_std(self.listener).map_err(refuse)?;
            let served = axum::serve(listener, router(reached));
            served.await.map_err(refuse)
        })
    }
}

/// The desk and the address that it is reached by.
#[derive(Debug, Clone)]
struct Reached {
    desk: Arc<Desk>,
    address: SocketAddr,
}

fn router(reached: Reached) -> Router {
    let mut router = Router::new();
    for call in CALLS {
        let handle = move |State(reached): State<Reached>, request: Request| async move {
            respond(call, answer(call, reached, request).await)
        };
        let method = match call.way {
            Way::Get => get(handle),
            Way::Post => post(handle),
        };
        router = router.route(call.path, method);
    }
    let nothing = || async { respond(&CALLS[0], Err(Refused::missing())) };
    router.fallback(nothing).with_state(reached)
}

/// Judges a call, reads what it brings, and has it done on a thread of its own.
async fn answer(call: &'static Call, reached: Reached, request: Request) -> Outcome {
    let (parts, body) = request.into_parts();
    let text = |name: &str| parts.headers.get(name).and_then(|v| v.to_str().ok());
    let head = Head {
        host: text("host"),
        origin: text("origin"),
        site: text("sec-fetch-site"),
        key: text(KEY_HEADER),
        is_entry: call.path == "/",
        is_change: parts.method != Method::GET && parts.method != Method::HEAD,
    };
    guard::judge(head, reached.address, &reached.desk.key)?;
    let query = Query::<BTreeMap<String, String>>::try_from_uri(&parts.uri);
    let query = query.map_err(|e| Refused::wrong(e.body_text()))?.0;
    let rest = rest(call, parts.uri.path());
    let body = read(&parts.headers, body, call.most_bytes).await?;
    let asked = Asked { query, rest, body };
    let done = tokio::task::spawn_blocking(move || (call.answer)(&reached.desk, &asked));
    done.await.unwrap_or_else(|_| {
        Err(Refused::broken(
            "this went wrong in the program: please report it",
        ))
    })
}

/// What follows the fixed part of a call's path.
fn rest(call: &Call, path: &str) -> String {
    let fixed = call.path.split('{').next().unwrap_or_default();
    let rest = path.strip_prefix(fixed).unwrap_or_default();
    percent_decoded(rest)
}

/// `%20` and the like as the bytes they stand for; what is no UTF-8 afterwards stays as it is.
fn percent_decoded(text: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = text.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        let hex = after.get(..2).and_then(|two| std::str::from_utf8(two).ok());
        let byte = hex.and_then(|hex| u8::from_str_radix(hex, 16).ok());
        match byte.filter(|_| *first == b'%') {
            Some(byte) => {
                bytes.push(byte);
                rest = &after[2..];
            }
            None => {
                bytes.push(*first);
                rest = after;
            }
        }
    }
    String::from_utf8(bytes).unwrap_or_else(|_| text.to_owned())
}

async fn read(headers: &HeaderMap, body: Body, most: usize) -> Result<Vec<u8>, Refused> {
    let told = headers.get(header::CONTENT_LENGTH);
    let told = told.and_then(|v| v.to_str().ok()?.parse::<usize>().ok());
    if told.is_some_and(|bytes| bytes > most) {
        return Err(Refused::too_large(most));
    }
    let read = to_bytes(body, most).await;
    Ok(read.map_err(|_| Refused::too_large(most))?.to_vec())
}

fn respond(call: &Call, outcome: Outcome) -> Response {
    const JSON: &str = "application/json";
    let (status, kind, bytes, name) = match outcome {
        Ok(Answer::Json(value)) => (200, JSON, value.to_string().into_bytes(), None),
        Ok(Answer::File { kind, bytes, name }) => (200, kind, bytes, name),
        Err(refused) => (
            refused.status,
            JSON,
            refused.body.to_string().into_bytes(),
            None,
        ),
    };
    let mut response = Response::new(Body::from(bytes));
    *response.status_mut() = StatusCode::from_u16(status).unwrap_or(StatusCode::OK);
    let is_picture = call.path.starts_with("/picture/");
    let policy = if is_picture {
        PICTURE_POLICY
    } else {
        PAGE_POLICY
    };
    let fixed = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "no-store"),
        (header::CONTENT_SECURITY_POLICY, policy),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
    ];
    let headers = response.headers_mut();
    for (header, value) in fixed {
        headers.insert(header, HeaderValue::from_static(value));
    }
    let kept = name.map(|name| format!("attachment; filename=\"{}\"", plain(&name)));
    if let Some(value) = kept.and_then(|kept| HeaderValue::from_str(&kept).ok()) {
        headers.insert(header::CONTENT_DISPOSITION, value);
    }
    response
}

/// A file's name in letters that every header takes.
fn plain(name: &str) -> String {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_');
    let letters = name.chars().map(|c| if is_plain(c) { c } else { '-' });
    letters.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_read_with_their_escapes() {
        assert_eq!(percent_decoded("a%20b%c3%A9"), "a bé");
        assert_eq!(percent_decoded("100%"), "100%");
        assert_eq!(percent_decoded("%ff"), "%ff");
        assert_eq!(percent_decoded("%2e%2e/%é"), "../%é");
    }

    #[test]
    fn names_of_kept_files_hold_nothing_that_a_header_minds() {
        assert_eq!(plain("herb box\"\r\n.zip"), "herb-box---.zip");
    }
}
