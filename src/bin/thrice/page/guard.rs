//! Who may ask: pages of this server in a browser of this machine, and nobody else.
//!
//! A page from elsewhere that is open in the same browser can send requests here, and by a name that it made point here it
//! could read the answers. So the host has to be this machine by its own name, and a request that does something has to
//! come from a page of this server and say that it is JSON, which no form can.

use hyper::Method;
use hyper::header::{CONTENT_TYPE, HOST, HeaderMap, HeaderValue, ORIGIN};

use super::answer::Refusal;

/// Headers that every answer has: nothing from elsewhere is run or shown in the page, and no page from elsewhere reads it.
pub const ALWAYS: [(&str, &str); 7] = [
    (
        "Content-Security-Policy",
        "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; object-src 'none'; \
         base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    ),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Referrer-Policy", "no-referrer"),
    ("Cache-Control", "no-store"),
];

/// The names that this server goes by.
pub struct Guard {
    hosts: Vec<String>,
}

impl Guard {
    /// For the server at a port.
    pub fn new(port: u16) -> Self {
        let names = ["127.0.0.1", "localhost"];
        let mut hosts: Vec<String> = names.iter().map(|name| format!("{name}:{port}")).collect();
        // A browser leaves out the port that is usual.
        if port == 80 {
            hosts.extend(names.map(str::to_owned));
        }
        Self { hosts }
    }

    /// Whether a request may be answered.
    ///
    /// # Errors
    /// Why not.
    pub fn admit(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
        let host = one(headers, HOST.as_str())?;
        if !host.is_some_and(|host| self.hosts.iter().any(|known| known == host)) {
            return Err(Refusal::new(
                403,
                &format!("this server is called {}; open that address", self.hosts[0]),
            ));
        }
        let origin = one(headers, ORIGIN.as_str())?;
        let own = |origin: &str| {
            let (scheme, host) = origin.split_once("://").unwrap_or_default();
            scheme == "http" && self.hosts.iter().any(|known| known == host)
        };
        let elsewhere =
            || Refusal::new(403, "the request comes from another page; use the page of this server");
        if origin.is_some_and(|origin| !own(origin)) {
            return Err(elsewhere());
        }
        match *method {
            Method::GET => {
                let site = one(headers, "sec-fetch-site")?;
                let followed = one(headers, "sec-fetch-mode")? == Some("navigate");
                let foreign = matches!(site, Some("cross-site" | "same-site"));
                if foreign && !followed { Err(elsewhere()) } else { Ok(()) }
            }
            Method::POST if origin.is_none() => Err(elsewhere()),
            Method::POST => {
                let kind = one(headers, CONTENT_TYPE.as_str())?.unwrap_or_default();
                let kind = kind.split(';').next().unwrap_or_default().trim();
                if kind.eq_ignore_ascii_case("application/json") {
                    Ok(())
                } else {
                    Err(Refusal::new(415, "the request is not JSON; send it as application/json"))
                }
            }
            _ => Err(Refusal::new(405, "only GET and POST are answered here; use one of them")),
        }
    }
}

/// A header that may be there once.
fn one<'h>(headers: &'h HeaderMap, name: &str) -> Result<Option<&'h str>, Refusal> {
    let mut all = headers.get_all(name).iter();
    let first = all.next();
    if all.next().is_some() {
        return Err(Refusal::new(400, &format!("the header {name} is there twice; send it once")));
    }
    Ok(first.map(HeaderValue::to_str).transpose().unwrap_or(Some("")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hyper::header::HeaderName;

    fn status(method: &Method, headers: &[(&str, &str)]) -> u16 {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.append(name.parse::<HeaderName>().unwrap(), value.parse().unwrap());
        }
        Guard::new(8123).admit(method, &map).map_or_else(|refusal| refusal.status, |()| 200)
    }

    #[test]
    fn only_this_servers_own_pages_are_answered() {
        let host = ("host", "127.0.0.1:8123");
        let get = |more: &[(&str, &str)]| status(&Method::GET, &[&[host], more].concat());
        assert_eq!(get(&[]), 200);
        let origin = |scheme: &str, host: &str| format!("{scheme}://{host}");
        assert_eq!(get(&[("origin", &origin("http", "localhost:8123"))]), 200);
        assert_eq!(get(&[("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "navigate")]), 200);
        assert_eq!(get(&[("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "no-cors")]), 403);
        assert_eq!(get(&[("origin", "null")]), 403);
        assert_eq!(status(&Method::GET, &[("host", "elsewhere.test:8123")]), 403);
        assert_eq!(status(&Method::GET, &[("host", "127.0.0.1")]), 403);
        assert_eq!(status(&Method::GET, &[]), 403);
        assert_eq!(status(&Method::GET, &[host, host]), 400);
    }

    #[test]
    fn what_does_something_is_asked_as_json_from_the_page() {
        let host = ("host", "localhost:8123");
        let (own, json) =
            (("origin", "http://127.0.0.1:8123"), ("content-type", "application/json; charset=utf-8"));
        assert_eq!(status(&Method::POST, &[host, own, json]), 200);
        assert_eq!(status(&Method::POST, &[host, json]), 403);
        assert_eq!(status(&Method::POST, &[host, ("origin", "http://127.0.0.1:8124"), json]), 403);
        let secure = format!("{}://127.0.0.1:8123", "https");
        assert_eq!(status(&Method::POST, &[host, ("origin", &secure), json]), 403);
        assert_eq!(status(&Method::POST, &[host, own, ("content-type", "text/plain")]), 415);
        assert_eq!(status(&Method::POST, &[host, own]), 415);
        assert_eq!(status(&Method::PUT, &[host, own, json]), 405);
        assert_eq!(status(&Method::OPTIONS, &[host]), 405);
    }
}
