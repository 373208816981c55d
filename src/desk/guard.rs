//! Who may call: the page that this desk has served, in a browser on this machine, and nobody else.
//!
//! The desk listens on the loopback address only. A page from elsewhere may still be made to call it, so the names it is called by are
//! checked against rebinding, and whatever changes something needs the key that only the desk's own page was given.

use std::net::SocketAddr;

use super::answer::Refused;

/// What of a call's head decides.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Head<'a> {
    /// The host that it was sent to.
    pub(super) host: Option<&'a str>,
    /// The origin that it comes from.
    pub(super) origin: Option<&'a str>,
    /// How that stands to the host, as browsers say it.
    pub(super) site: Option<&'a str>,
    /// The key.
    pub(super) key: Option<&'a str>,
    /// Whether it asks for the page itself.
    pub(super) is_entry: bool,
    /// Whether it may change something.
    pub(super) is_change: bool,
}

/// Refuses a call from elsewhere.
pub(super) fn judge(head: Head<'_>, address: SocketAddr, key: &str) -> Result<(), Refused> {
    let port = address.port();
    let names = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let is_ours = |host: &str| names.iter().any(|name| name == host);
    if !head.host.is_some_and(is_ours) {
        return Err(Refused::forbidden("the desk is called by another name"));
    }
    let is_own = |origin: &str| origin.strip_prefix("http://").is_some_and(is_ours);
    if !head.origin.is_none_or(is_own) {
        return Err(Refused::forbidden("the call comes from another page"));
    }
    if !head.is_entry && matches!(head.site, Some("cross-site" | "same-site")) {
        return Err(Refused::forbidden("the call comes from another page"));
    }
    if head.is_change && !head.key.is_some_and(|given| is_same(given, key)) {
        return Err(Refused::forbidden("the call has not the key of this desk"));
    }
    Ok(())
}

/// Compares in a time that does not tell where they differ.
fn is_same(a: &str, b: &str) -> bool {
    let differ = a.bytes().zip(b.bytes()).fold(0, |d, (a, b)| d | (a ^ b));
    a.len() == b.len() && differ == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEY: &str = "0123abcd";

    fn is_let_in(head: Head<'_>) -> bool {
        judge(head, "127.0.0.1:4711".parse().unwrap(), KEY).is_ok()
    }

    #[test]
    fn the_desks_own_page_is_let_in() {
        let own = Head {
            host: Some("127.0.0.1:4711"),
            origin: Some("http://127.0.0.1:4711"),
            site: Some("same-origin"),
            key: Some(KEY),
            is_change: true,
            ..Head::default()
        };
        assert!(is_let_in(own));
        assert!(is_let_in(Head {
            host: Some("localhost:4711"),
            origin: None,
            site: None,
            key: None,
            is_change: false,
            ..own
        }));
    }

    #[test]
    fn other_names_origins_sites_and_keys_are_refused() {
        let own = Head {
            host: Some("127.0.0.1:4711"),
            key: Some(KEY),
            is_change: true,
            ..Head::default()
        };
        assert!(is_let_in(own));
        for host in [
            None,
            Some("tins.example:4711"),
            Some("127.0.0.1:80"),
            Some("127.0.0.1"),
        ] {
            assert!(!is_let_in(Head { host, ..own }), "{host:?}");
        }
        for origin in [
            "http://tins.example",
            "null",
            "https://127.0.0.1:4711",
            "http://127.0.0.1:80",
        ] {
            let origin = Some(origin);
            assert!(!is_let_in(Head { origin, ..own }), "{origin:?}");
        }
        for key in [None, Some(""), Some("0123abce"), Some("0123abcd0")] {
            assert!(!is_let_in(Head { key, ..own }), "{key:?}");
        }
        let elsewhere = Head {
            site: Some("cross-site"),
            is_change: false,
            ..own
        };
        assert!(!is_let_in(elsewhere));
        assert!(is_let_in(Head {
            is_entry: true,
            ..elsewhere
        }));
    }
}
