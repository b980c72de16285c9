//! The page of sick plants as a browser sees it: no script, answers in the address.

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
    assert!(browser.get("/area/rose-bed").await.text.contains("href=\"/plant\""));
    assert!(!browser.get("/area/front-lawn").await.text.contains("href=\"/plant\""));
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
