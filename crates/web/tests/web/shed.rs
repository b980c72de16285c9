//! The shed's pages: limits are typical until confirmed, amounts follow, costs go out as CSV.

use axum::http::StatusCode;

use crate::support::Browser;

/// A typical figure is marked, taken over by one press, and then called the label's; a second press is refused.
#[tokio::test]
async fn a_typical_figure_is_confirmed() {
    let browser = Browser::small();
    let page = browser.get("/shed/preventer-granule").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("typical, not your label") && page.text.contains("not known: read your label"));
    let pairs = [("field", "label_water_in")];
    let taken = browser.post("/shed/preventer-granule/confirm", &pairs).await;
    assert_eq!(taken.status, StatusCode::SEE_OTHER);
    let after = browser.get("/shed/preventer-granule").await.text;
    let row = after.split("Water to wash it in").nth(1).unwrap().split("</tr>").next().unwrap();
    assert!(row.contains("your label") && !row.contains("My label says so"), "{row}");
    assert_eq!(browser.post("/shed/preventer-granule/confirm", &pairs).await.status, StatusCode::BAD_REQUEST);
    assert_eq!(browser.post("/shed/none/confirm", &pairs).await.status, StatusCode::NOT_FOUND);
    assert!(browser.get("/daybook").await.text.contains("preventer granule"), "it stands in the daybook");
}

/// Where and how much: 2.5 lb/1000 sq ft on 2,400 sq ft are 6 lb; the shelf says what is short; nonsense is told at its place.
#[tokio::test]
async fn how_much_of_it() {
    let browser = Browser::small();
    browser
        .post("/log/counted", &[("product", "preventer-granule"), ("left", "2"), ("on", "2026-04-19"), ("do", "keep")])
        .await;
    let page = browser.get("/shed/preventer-granule?areas=front-lawn&rate=2.5").await.text;
    assert!(page.contains("6.00 lb") && page.contains("2,400 sq ft"), "{page}");
    assert!(page.contains("4.00 lb short"), "{page}");
    assert!(page.contains("If it went down today"));
    let wrong = browser.get("/shed/preventer-granule?areas=front-lawn&rate=much").await.text;
    assert!(wrong.contains("is not a number"));
    assert_eq!(browser.get("/shed/none").await.status, StatusCode::NOT_FOUND);
    let list = browser.get("/shed").await.text;
    assert!(list.contains("2.00 lb") && list.contains("counted"), "{list}");
}

/// The sheet has what a person needs before, during and after, and defers to the label.
#[tokio::test]
async fn the_safety_sheet() {
    let browser = Browser::small();
    let page = browser.get("/shed/preventer-granule/safety?areas=front-lawn").await.text;
    for part in [
        "The label is the law",
        "Wear",
        "Keep off",
        "Water",
        "Storage",
        "If somebody was exposed",
        "1-800-222-1222",
        "Front lawn",
    ] {
        assert!(page.contains(part), "lacks {part}");
    }
}

/// Costs by year, job and area, and the same lines as CSV with cells no spreadsheet takes for a formula.
#[tokio::test]
async fn costs_and_their_file() {
    let browser = Browser::small();
    let day = ("on", "2026-04-10");
    let keep = ("do", "keep");
    browser.post("/log/bought", &[("what", "=1+1, a \"rake\""), ("cost", "20"), day, keep]).await;
    browser
        .post(
            "/log/bought",
            &[("what", "feed"), ("product", "spring-feed"), ("amount_in", "40"), ("cost", "60"), day, keep],
        )
        .await;
    browser
        .post("/log/applied", &[("areas", "front-lawn"), ("product", "spring-feed"), ("rate", "5"), day, keep])
        .await;
    let page = browser.get("/costs").await.text;
    // 5 lb/1000 on 2,400 sq ft are 12 lb at 1.50.
    assert!(page.contains("$18.00") && page.contains("$80.00"), "{page}");
    let file = browser.get("/costs.csv").await.text;
    assert_eq!(file.lines().count(), 4, "{file}");
    assert!(file.contains("2026-04-10,spent,products,,feed,60.00,"), "{file}");
    assert!(file.contains("2026-04-10,used,other purchases,,\"'=1+1, a \"\"rake\"\"\",20.00,"), "{file}");
    assert!(file.contains("2026-04-10,used,feeding,Front lawn,spring feed,18.00,"), "{file}");
    assert_eq!(browser.get("/costs?from=soon").await.status, StatusCode::BAD_REQUEST);
}

/// The product form folds its rarer fields away and opens them where something stands in them.
#[tokio::test]
async fn the_product_form_folds() {
    let browser = Browser::small();
    let fresh = browser.get("/log/product").await.text;
    assert!(fresh.contains("<details class=\"group\"><summary>More limits on the label"), "folded");
    let pairs = [("name", "x"), ("label_heat", "warm"), ("on", "2026-04-10"), ("do", "keep")];
    let back = browser.post("/log/product", &pairs).await;
    assert_eq!(back.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(back.text.contains("<details class=\"group\" open><summary>More limits on the label"), "open at the fault");
}

/// The area's page counts what was fed this year: 5 lb/1000 sq ft of 24 % nitrogen are 1.2 lb/1000.
#[tokio::test]
async fn the_area_tells_its_nitrogen() {
    let browser = Browser::small();
    let pairs =
        [("areas", "front-lawn"), ("product", "spring-feed"), ("rate", "5"), ("on", "2026-04-10"), ("do", "keep")];
    browser.post("/log/applied", &pairs).await;
    let page = browser.get("/area/front-lawn").await.text;
    let told = page.split("id=\"nitrogen\"").nth(1).expect("a nitrogen plan").split("</section>").next().unwrap();
    assert!(told.contains("<strong>1.2 lb/1000 sq ft</strong>") && told.contains("on 10 Apr 2026"), "{told}");
}

/// The unit beside a field is the product's own: fluid ounces of a liquid, pounds of granules, both while nothing is chosen.
#[tokio::test]
async fn a_liquid_is_asked_for_in_its_own_measure() {
    let browser = Browser::small();
    let liquid = [("name", "killer"), ("form", "liquid"), ("actives", "mcpp 7"), ("on", "2026-04-10"), ("do", "keep")];
    browser.post("/log/product", &liquid).await;
    let unit = |page: &str| {
        page.split("id=\"f-left\"").nth(1).unwrap().split("class=\"unit\"").nth(1).unwrap()[..40].to_owned()
    };
    assert!(unit(&browser.get("/log/counted?product=killer").await.text).contains("fl oz"));
    assert!(unit(&browser.get("/log/counted?product=spring-feed").await.text).contains(">lb<"));
    assert!(unit(&browser.get("/log/counted").await.text).contains("lb, of a liquid fl oz"));
    browser.post("/log/counted", &[("product", "killer"), ("left", "20"), ("on", "2026-04-10"), ("do", "keep")]).await;
    let changed = [("key", "killer"), ("name", "killer"), ("form", "granule"), ("on", "2026-04-11"), ("do", "keep")];
    assert_eq!(browser.post("/log/product", &changed).await.status, StatusCode::UNPROCESSABLE_ENTITY, "its form stays");
}
