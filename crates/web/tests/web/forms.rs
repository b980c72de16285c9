use axum::http::StatusCode;
use jiff::civil::date;

use crate::support::{Browser, TODAY, small_yard};

async fn count(browser: &Browser) -> usize {
    browser.get("/settings/export").await.text.lines().count()
}

/// A form is saved, answered with a redirect to a page that says so, and can be undone from there.
#[tokio::test]
async fn saved_and_undone() {
    let browser = Browser::small();
    let before = count(&browser).await;
    let answer = browser.post("/log/rain", &[("on", "2026-04-19"), ("depth", "12 mm")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let saved = answer.to.unwrap();
    let page = browser.get(&saved).await.text;
    assert!(page.contains("Saved: Rain gauge: 0.47 in") && page.contains("Undo"), "{page}");
    let id = saved.strip_prefix("/saved/").unwrap();
    let answer = browser.post(&format!("/entry/{id}/withdraw"), &[("why", "undone at once")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(browser.get(&answer.to.unwrap()).await.text.contains("Withdrawn."));
    assert!(!browser.get("/daybook").await.text.contains("Rain gauge: 0.47"));
    assert_eq!(count(&browser).await, before + 2, "nothing is ever deleted");
    let again = browser.post(&format!("/entry/{id}/withdraw"), &[]).await;
    assert_eq!(again.status, StatusCode::CONFLICT);
}

/// Faults are shown all at once at their fields, what was typed is kept, and nothing is stored.
#[tokio::test]
async fn faults_keep_what_was_typed() {
    let browser = Browser::small();
    let before = count(&browser).await;
    let typed = [
        ("on", "2026-05-30"),
        ("areas", "moon"),
        ("product", "spring-feed"),
        ("rate", "three"),
        ("remark", "dry & <i>windy</i>"),
    ];
    let answer = browser.post("/log/applied", &typed).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    for kept in
        [r#"value="three""#, r#"value="2026-05-30""#, "dry &amp; &lt;i&gt;windy&lt;/i&gt;", r#"value="moon" checked"#]
    {
        assert!(answer.text.contains(kept), "lost {kept}");
    }
    assert!(answer.text.contains("“three” is not a number"));
    assert!(answer.text.contains("is after today"), "the date's fault comes with the others");
    assert!(answer.text.contains(r#"aria-invalid="true""#) && answer.text.contains(r##"href="#f-rate""##));
    assert!(answer.text.contains(r#"<option value="spring-feed" selected>"#));
    let no_day = browser.post("/log/mowed", &[("on", "soon"), ("areas", "front-lawn"), ("height", "-1")]).await;
    assert_eq!(no_day.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(no_day.text.contains("“soon” is not a date"));
    assert_eq!(count(&browser).await, before);
}

/// What is logged changes the advice: a lawn that was tall is judged from its new cut on.
#[tokio::test]
async fn a_record_changes_the_advice() {
    let browser = Browser::small();
    for _ in 0..6 {
        browser.post("/demo/week", &[]).await;
    }
    let before = browser.get("/").await.text;
    assert!(before.contains("Mow Front lawn") && before.contains("on 6 Apr 2026"), "tall on the first of June");
    let answer = browser.post("/log/mowed", &[("on", "2026-06-01"), ("areas", "front-lawn"), ("height", "3")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(!browser.get("/").await.text.contains("on 6 Apr 2026"), "just mown");
}

/// A correction takes the old entry's place, keeps its history, and cannot be made twice.
#[tokio::test]
async fn corrected_once() {
    let browser = Browser::small();
    let form = browser.get("/entry/e007/correct").await.text;
    assert!(form.contains(r#"value="2026-04-06""#) && form.contains(r#"value="front-lawn" checked"#));
    let answer =
        browser.post("/entry/e007/correct", &[("on", "2026-04-07"), ("areas", "front-lawn"), ("height", "2.5")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let id = answer.to.unwrap().strip_prefix("/saved/").unwrap().to_owned();
    let entry = browser.get(&format!("/entry/{id}")).await.text;
    assert!(entry.contains("Mowed Front lawn to 2.50 in") && entry.contains("/entry/e007"), "history");
    assert!(browser.get("/entry/e007").await.text.contains("No longer in force"));
    assert_eq!(browser.get("/entry/e007/correct").await.status, StatusCode::CONFLICT);
    let twice =
        browser.post("/entry/e007/correct", &[("on", "2026-04-08"), ("areas", "front-lawn"), ("height", "2")]).await;
    assert_eq!(twice.status, StatusCode::CONFLICT);
    assert!(twice.text.contains(r#"value="2026-04-08""#), "what was typed is kept");
}

/// A plan is checked without being kept; kept, it stands on the first page; done, it makes way for what was done.
#[tokio::test]
async fn a_plan_is_checked_kept_and_done() {
    let browser = Browser::small();
    let before = count(&browser).await;
    let done = browser
        .post(
            "/log/applied",
            &[("on", "2026-04-19"), ("areas", "front-lawn"), ("product", "preventer-granule"), ("rate", "3")],
        )
        .await;
    let saved = browser.get(&done.to.unwrap()).await.text;
    assert!(saved.contains("What was done stays logged"), "findings beside what was done");
    let seed = [("on", "2026-05-02"), ("area", "front-lawn"), ("grass", "kbg"), ("rate", "1.5"), ("sowing", "over")];
    let check = browser.post("/log/plan-sow", &[seed.as_slice(), &[("do", "check")]].concat()).await;
    assert_eq!(check.status, StatusCode::OK);
    assert!(check.text.contains("Checked for") && check.text.contains(">Stop<"), "seed after a preventer");
    assert!(check.text.contains(r#"value="1.5""#));
    assert_eq!(count(&browser).await, before + 1);
    let keep = browser.post("/log/plan-sow", &[seed.as_slice(), &[("do", "keep")]].concat()).await;
    assert_eq!(keep.status, StatusCode::SEE_OTHER);
    let saved = keep.to.unwrap();
    let page = browser.get(&saved).await.text;
    assert!(page.contains("The plan is kept") && page.contains(">Stop<"), "the findings, on the saved page too");
    assert!(page.contains("First day nothing stops it") && page.contains("Change the plan"));
    let id = saved.strip_prefix("/saved/").unwrap().to_owned();
    let now = browser.get("/").await.text;
    assert!(
        now.contains("Held back") && now.contains(&format!("fulfils={id}")),
        "the plan, with a link that logs it as done"
    );
    let done = [("on", "2026-04-20"), ("area", "front-lawn"), ("grass", "kbg"), ("rate", "1.5"), ("fulfils", &id)];
    assert_eq!(browser.post("/log/seeded", &done).await.status, StatusCode::SEE_OTHER);
    assert!(!browser.get("/").await.text.contains(&format!("fulfils={id}")));
    let twice = browser.post("/log/seeded", &done).await;
    assert_eq!(twice.status, StatusCode::CONFLICT, "the plan was done already");
    assert!(
        twice.text.contains("Nothing was saved") && twice.text.contains(r#"value="1.5""#),
        "and what was typed is kept"
    );
}

/// A plan is logged as done, changed or dropped from its item; dropped, it is gone, and nothing is deleted.
#[tokio::test]
async fn a_plan_is_dropped() {
    let browser = Browser::small();
    let seed = [("on", "2026-04-22"), ("area", "front-lawn"), ("grass", "kbg"), ("rate", "1.5"), ("do", "keep")];
    let saved = browser.post("/log/plan-sow", &seed).await.to.unwrap();
    let id = saved.strip_prefix("/saved/").unwrap().to_owned();
    // The plan's own day, and today: both offer the same three.
    for path in ["/", "/?on=2026-04-22"] {
        let page = browser.get(path).await.text;
        for offer in
            [format!("fulfils={id}"), format!("/entry/{id}/correct"), format!(r#"action="/entry/{id}/withdraw""#)]
        {
            assert!(page.contains(&offer), "{path} lacks {offer}");
        }
        assert!(page.contains("Log it as done") && page.contains("Change the plan") && page.contains("Drop the plan"));
    }
    let before = count(&browser).await;
    let page = browser.get("/").await.text;
    let key = crate::support::key_of(&page);
    let dropped = browser.post(&format!("/entry/{id}/withdraw"), &[("why", "plan dropped"), ("once", &key)]).await;
    assert_eq!(dropped.status, StatusCode::SEE_OTHER);
    assert!(browser.get(&dropped.to.unwrap()).await.text.contains("Withdrawn."));
    assert!(!browser.get("/").await.text.contains(&id));
    assert_eq!(count(&browser).await, before + 1);
    let gone = browser.get(&saved).await.text;
    assert!(!gone.contains("What the checks say"), "a dropped plan is judged no more");
}

/// Adding never writes over what is there; editing by key does.
#[tokio::test]
async fn adding_and_editing_things() {
    let browser = Browser::small();
    let area = [("on", "2026-04-20"), ("name", "Front Lawn"), ("size", "100"), ("grass", "kbg"), ("soil", "loam")];
    let twin = browser.post("/log/area", &area).await;
    assert_eq!(twin.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(twin.text.contains("there is “Front lawn” already"));
    let edit = browser.get("/log/area?key=front-lawn").await.text;
    assert!(edit.contains(r#"name="key" value="front-lawn""#) && edit.contains(r#"value="2400""#));
    let edited = browser.post("/log/area", &[area.as_slice(), &[("key", "front-lawn")]].concat()).await;
    assert_eq!(edited.status, StatusCode::SEE_OTHER);
    assert!(browser.get("/area/front-lawn").await.text.contains("100 sq ft"));
    let kanji = browser
        .post(
            "/log/area",
            &[("on", "2026-04-20"), ("name", "芝生"), ("size", "90"), ("grass", "kbg"), ("soil", "loam")],
        )
        .await;
    assert_eq!(kanji.status, StatusCode::SEE_OTHER);
    assert!(browser.get("/area/area-1").await.text.contains("芝生"));
}

/// A yard is made in one go, in the units chosen; a fault in any part stores nothing of it.
#[tokio::test]
async fn a_new_yard() {
    let browser = Browser::empty();
    let good = [
        ("yard-name", "Garten"),
        ("yard-units", "metric"),
        ("yard-latitude", "40.5"),
        ("yard-longitude", "-101.7"),
        ("yard-elevation", "1000"),
        ("area-name", "Rasen"),
        ("area-size", "250"),
        ("area-grass", "kbg"),
        ("area-soil", "loam"),
        ("zone-sprinkler", "rotor"),
    ];
    let mut bad = good;
    bad[2].1 = "north";
    bad[7].1 = "moss";
    let refused = browser.post("/new", &bad).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.text.contains("“north” is not a number") && refused.text.contains("no grass “moss”"),
        "both parts' faults"
    );
    assert!(refused.text.contains(r#"value="north""#) && refused.text.contains(r#"value="Garten""#));
    assert_eq!(browser.get("/").await.to.as_deref(), Some("/new"));
    let made = browser.post("/new", &good).await;
    assert_eq!((made.status, made.to.as_deref()), (StatusCode::SEE_OTHER, Some("/")));
    assert_eq!(count(&browser).await, 3);
    assert!(browser.get("/area/rasen").await.text.contains("250 m²"));
    assert_eq!(browser.get("/new").await.to.as_deref(), Some("/"));
    assert_eq!(browser.post("/new", &good).await.status, StatusCode::CONFLICT);
}

/// Hostile words come out as words, wherever they are shown.
#[tokio::test]
async fn hostile_words() {
    let browser = Browser::small();
    let evil = r#""><script>alert(1)</script><img src=x onerror=alert(1)>'"#;
    for (kind, pairs) in [
        ("note", vec![("text", evil), ("area", "front-lawn")]),
        ("scouted", vec![("area", "front-lawn"), ("seen", evil)]),
        ("area", vec![("name", evil), ("size", "50"), ("grass", "kbg"), ("soil", "loam")]),
        ("product", vec![("name", evil)]),
        (
            "yard",
            vec![
                ("name", evil),
                ("latitude", "40.5"),
                ("longitude", "-101.7"),
                ("elevation", "900"),
                ("units", "us-customary"),
                ("currency", "<b>"),
            ],
        ),
    ] {
        let mut all = vec![("on", "2026-04-20")];
        all.extend(pairs);
        assert_eq!(browser.post(&format!("/log/{kind}"), &all).await.status, StatusCode::SEE_OTHER, "{kind}");
    }
    let query = "%22%3E%3Cscript%3Ealert(1)%3C/script%3E";
    let asked = [
        format!("/log/note?text={query}"),
        format!("/daybook?area={query}&kind={query}"),
        format!("/area/{query}"),
        format!("/?on={query}"),
        format!("/log/applied?areas={query}&fulfils={query}"),
    ];
    for path in ["/", "/daybook", "/settings", "/area/front-lawn", "/water", "/log/applied"]
        .map(str::to_owned)
        .into_iter()
        .chain(asked)
    {
        let text = browser.get(&path).await.text;
        assert!(!text.contains("<script") && !text.contains("<img"), "{path}");
    }
    let back = browser.post("/log/mowed", &[("on", evil), ("areas", evil), ("height", evil)]).await.text;
    assert!(!back.contains("<script"));
}

/// The units of the form are those the person was shown, also for a day before the yard changed its units.
#[tokio::test]
async fn units_are_those_shown() {
    let browser = Browser::small();
    let yard = [
        ("on", "2026-04-20"),
        ("name", "Home"),
        ("latitude", "40.5"),
        ("longitude", "-101.7"),
        ("elevation", "1000"),
        ("units", "metric"),
    ];
    assert_eq!(browser.post("/log/yard", &yard).await.status, StatusCode::SEE_OTHER);
    let answer = browser.post("/log/rain", &[("on", "2026-04-10"), ("depth", "12")]).await;
    assert!(browser.get(&answer.to.unwrap()).await.text.contains("12 mm"));
}

/// The shared way in, without a page: stores, refuses, and tells the day it judged by.
#[test]
fn recording_without_a_page() {
    let browser = Browser::on(small_yard());
    let typed = crate::support::typed(&[("text", "from elsewhere")]);
    let entry = web::record(&browser.site, "note", &typed, TODAY, None).unwrap();
    assert_eq!(entry.happened_on, TODAY);
    let error = web::record(&browser.site, "note", &typed, date(2030, 1, 1), None).unwrap_err();
    assert!(matches!(error, web::RecordError::Faults(ref f) if f[0].field == "on"), "{error}");
    let error = web::record(&browser.site, "note", &typed, TODAY, Some("nothing".to_owned())).unwrap_err();
    assert!(matches!(error, web::RecordError::Faults(ref f) if f[0].field == "supersedes"), "{error}");
}
