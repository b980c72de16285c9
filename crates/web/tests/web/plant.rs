//! The page of sick plants as a browser sees it: no script, answers in the address.

use axum::http::StatusCode;

use crate::patch::fields;
use crate::support::{Browser, small_yard};

/// From the plants to a ranked list, the next look, and what to do with its care; the label is named.
#[tokio::test]
async fn a_plant_is_looked_at() {
    let browser = Browser::on(small_yard());
    let start = browser.get("/plant").await.text;
    assert!(start.contains("arborvitae") && start.contains("/plant?plant=arb"));
    let asked = browser.get("/plant?plant=arb").await.text;
    assert!(asked.contains("Not enough to tell yet") && asked.contains("Likeliest now") && asked.contains("f=part%3A"));
    let bags = browser.get("/plant?plant=arb&f=traces%3Abags&f=leaf%3Achewed").await.text;
    assert!(bags.contains("It is most likely this: bagworm") && bags.contains("The label of the product is the law"));
    assert!(bags.contains("Keep the plant") && bags.contains("Take back") && !bags.contains("<script"));
}

/// A plant or an answer that is not there is refused; the way in is on the page of a bed, not of a lawn.
#[tokio::test]
async fn ways_in_and_refusals() {
    let browser = Browser::on(small_yard());
    assert_eq!(browser.get("/plant?plant=cactus").await.status, 400);
    assert_eq!(browser.get("/plant?plant=arb&f=tap%3Ahundreds").await.status, 400);
    assert!(browser.get("/area/rose-bed").await.text.contains("href=\"/plant?area=rose-bed\""));
    assert!(!browser.get("/area/front-lawn").await.text.contains("href=\"/plant"));
}

/// On the page of a bed: what the yard tells of its ground, the look written down with its plant, and the bed's name in the daybook.
#[tokio::test]
async fn a_look_at_a_plant_is_written_down() {
    let browser = Browser::on(small_yard());
    assert!(browser.get("/plant?area=rose-bed").await.text.contains("/plant?area=rose-bed&amp;plant=arb"));
    assert_eq!(browser.get("/plant?plant=arb&area=front-lawn").await.status, 400);
    let page = browser.get("/plant?plant=arb&area=rose-bed&f=traces%3Abags&f=leaf%3Achewed").await.text;
    assert!(page.contains("What the yard tells already") && page.contains("Write it down"), "{page}");
    let mut pairs = fields(&page, "/log/scouted?save");
    pairs.retain(|(n, _)| n != "token");
    pairs.extend([("on", "2026-04-20"), ("seen", "bags"), ("do", "keep")].map(|(n, v)| (n.to_owned(), v.to_owned())));
    let sent: Vec<(&str, &str)> = pairs.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    let saved = browser.post("/log/scouted?save", &sent).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text);
    let page = browser.get(&saved.to.expect("somewhere to go")).await.text;
    assert!(page.contains("arborvitae") && page.contains("held likeliest: bagworm"), "{page}");
}

/// A hedge set out from the address; a word that is no length is named at its field; what is not there is refused.
#[tokio::test]
async fn plants_are_set_out() {
    let browser = Browser::on(small_yard());
    let start = browser.get("/plant/set-out").await.text;
    assert!(start.contains("A hedge row") && !start.contains("<script"));
    let hedge = browser.get("/plant/set-out?what=hedge&length=25&width=3&spacing=2.5").await.text;
    assert!(hedge.contains("10 plants") && hedge.contains("buried lines") && hedge.contains("Source:"));
    let wrong = browser.get("/plant/set-out?what=hedge&length=long&width=3").await.text;
    assert!(wrong.contains("is not a number") && wrong.contains("aria-invalid=\"true\""));
    assert_eq!(browser.get("/plant/set-out?what=pond").await.status, 400);
    assert!(browser.get("/plant").await.text.contains("/plant/set-out"));
    assert!(browser.get("/water").await.text.contains("/log/planted"));
}
