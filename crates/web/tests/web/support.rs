//! A site in memory, and asking it for pages.

use almanac::Almanac;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use axum::response::Response;
use jiff::civil::{Date, date};
use ledger::Ledger;
use tower::ServiceExt;
use web::{Site, Today, router};
use yard::form::Typed;
use yard::{Stamp, prepare};

/// The day of every test.
pub const TODAY: Date = date(2026, 4, 20);

pub struct Answer {
    pub status: StatusCode,
    pub to: Option<String>,
    pub text: String,
}

pub struct Browser {
    pub site: Site,
}

pub fn typed(pairs: &[(&str, &str)]) -> Typed {
    pairs.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())).collect()
}

/// Stores an entry the way the pages do, but with an id and a moment that are always the same.
pub fn put(ledger: &mut Ledger, n: u32, kind: &str, on: Date, pairs: &[(&str, &str)]) {
    let recorded_at = format!("2026-03-01T12:{n:02}:00Z").parse().unwrap();
    let stamp = Stamp { id: format!("e{n:03}"), recorded_at, today: TODAY };
    let entries = ledger.entries().unwrap();
    let entry = prepare(&entries, Almanac::embedded(), kind, &typed(pairs), on, None, &stamp)
        .unwrap_or_else(|f| panic!("{kind}: {f:?}"));
    ledger.append(&entry).unwrap();
}

/// A small yard: one lawn, one bed, one zone, two products.
pub fn small_yard() -> Ledger {
    let mut ledger = Ledger::in_memory().unwrap();
    let march = date(2026, 3, 1);
    let place = [
        ("name", "Home"),
        ("latitude", "40.5"),
        ("longitude", "-101.7"),
        ("elevation", "3300"),
        ("time_zone", "America/Denver"),
        ("units", "us-customary"),
    ];
    put(&mut ledger, 1, "yard", march, &place);
    put(&mut ledger, 2, "area", march, &[("name", "Front lawn"), ("size", "2400"), ("grass", "kbg"), ("soil", "loam")]);
    put(&mut ledger, 3, "area", march, &[("name", "Rose bed"), ("size", "180"), ("cover", "bed"), ("soil", "loam")]);
    put(&mut ledger, 4, "zone", march, &[("name", "Front heads"), ("areas", "front-lawn"), ("sprinkler", "rotor")]);
    put(&mut ledger, 5, "product", march, &[("name", "spring feed"), ("n", "24"), ("slow", "30"), ("pack", "40")]);
    put(&mut ledger, 6, "product", march, &[("name", "preventer granule"), ("actives", "prodiamine 0.48")]);
    put(&mut ledger, 7, "mowed", date(2026, 4, 6), &[("areas", "front-lawn"), ("height", "3")]);
    ledger
}

impl Browser {
    pub fn on(ledger: Ledger) -> Self {
        Self { site: Site::new(ledger, Today::Stepped(TODAY)).unwrap() }
    }

    pub fn small() -> Self {
        Self::on(small_yard())
    }

    pub fn empty() -> Self {
        Self::on(Ledger::in_memory().unwrap())
    }

    pub async fn send(&self, request: Request<Body>) -> Response {
        router(self.site.clone()).oneshot(request).await.unwrap()
    }

    pub async fn answer(&self, request: Request<Body>) -> Answer {
        let response = self.send(request).await;
        let status = response.status();
        let to = response.headers().get(header::LOCATION).map(|v| v.to_str().unwrap().to_owned());
        let bytes = to_bytes(response.into_body(), 8 << 20).await.unwrap();
        Answer { status, to, text: String::from_utf8(bytes.to_vec()).unwrap() }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.answer(Request::get(path).header(header::HOST, "localhost:8080").body(Body::empty()).unwrap()).await
    }

    /// The token of this run, read off a form.
    pub async fn token(&self) -> String {
        for path in ["/new", "/log/note"] {
            let page = self.get(path).await.text;
            if let Some((_, rest)) = page.split_once(r#"name="token" value=""#) {
                return rest.split('"').next().unwrap().to_owned();
            }
        }
        panic!("no form with a token");
    }

    /// Sends a form, with this run's token.
    pub async fn post(&self, path: &str, pairs: &[(&str, &str)]) -> Answer {
        let token = self.token().await;
        let mut all = vec![("token", token.as_str())];
        all.extend_from_slice(pairs);
        self.answer(form(path).body(encoded(&all)).unwrap()).await
    }
}

/// The key of the first form on a page that stores.
pub fn key_of(page: &str) -> String {
    page.split(r#"name="once" value=""#).nth(1).expect("a form with a key").split('"').next().unwrap().to_owned()
}

/// A form on its way, as a page of this host sends it.
pub fn form(path: &str) -> axum::http::request::Builder {
    Request::post(path)
        .header(header::HOST, "localhost:8080")
        .header(header::ORIGIN, "http://localhost:8080")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
}

pub fn encoded(pairs: &[(&str, &str)]) -> Body {
    let escape = |text: &str| -> String {
        text.bytes()
            .map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") })
            .collect()
    };
    Body::from(pairs.iter().map(|(n, v)| format!("{}={}", escape(n), escape(v))).collect::<Vec<_>>().join("&"))
}
