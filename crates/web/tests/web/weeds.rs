//! The pages of weeds as a browser sees them: no script, marks in the address.

use crate::support::{Browser, small_yard};

/// What is worth doing in April, the way to a species, and its stages by their own sums; the preventer on the shelf with its amounts.
#[tokio::test]
async fn weeds_of_the_yard() {
    let browser = Browser::on(small_yard());
    let page = browser.get("/weeds?on=2026-04-10").await.text;
    assert!(page.contains("Worth acting on now") && page.contains("href=\"/weeds/smooth-crabgrass?on=2026-04-10\""));
    assert!(page.contains("Which weed is it?") && page.contains("<svg") && !page.contains("<script"));
    let one = browser.get("/weeds/smooth-crabgrass?on=2026-04-10").await.text;
    assert!(one.contains("What fits on Front lawn") && one.contains("preventer granule") && one.contains("By hand"));
    assert!(
        one.contains("Fidanza") && one.contains("Read the label first") && one.contains("/log/scouted?area=front-lawn")
    );
    let bed = browser.get("/weeds/lambsquarters?area=rose-bed&share=20").await.text;
    assert!(bed.contains("What fits on Rose bed") && bed.contains("mulch") && bed.contains("value=\"20\""));
}

/// From the first mark to a species: each answer is a link, a likely one leads to what fits, an answer can be taken back.
#[tokio::test]
async fn which_weed_by_links() {
    let browser = Browser::on(small_yard());
    let start = browser.get("/weeds/which?area=front-lawn").await.text;
    assert!(
        start.contains("Not enough to tell yet")
            && start.contains("f=leaf%3Akidney")
            && start.contains("I cannot tell")
    );
    let path = "/weeds/which?area=front-lawn&f=form%3Abroad&f=stem%3Asquare&f=leaf%3Akidney&f=growth%3Acreeping";
    let ivy = browser.get(path).await.text;
    assert!(ivy.contains("Most likely ground ivy") && ivy.contains("/weeds/ground-ivy?area=front-lawn"));
    assert!(ivy.contains("Take back") && ivy.contains("Likeliest now"));
}

/// What is not there is refused by name; the way in is on the pages of areas, of the day and of the watch.
#[tokio::test]
async fn ways_in_and_refusals() {
    let browser = Browser::on(small_yard());
    let refused = [
        "/weeds/triffid",
        "/weeds/dandelion?area=nowhere",
        "/weeds/dandelion?share=0",
        "/weeds/dandelion?share=much",
        "/weeds/which?f=stem%3Apentagon",
        "/weeds/which?area=nowhere",
    ];
    for path in refused {
        assert_eq!(browser.get(path).await.status, 400, "{path}");
    }
    assert!(browser.get("/area/front-lawn").await.text.contains("/weeds/which?area=front-lawn"));
    assert!(browser.get("/").await.text.contains("href=\"/weeds\""));
    assert!(browser.get("/watch").await.text.contains("href=\"/weeds\""));
}
