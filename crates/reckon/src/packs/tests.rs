use proptest::prelude::*;

use super::*;

fn pack(holds: u64, price_cents: u64) -> Pack {
    Pack { holds, price_cents, most: None }
}

fn short(need: u64) -> Shortage {
    Shortage { need, on_shelf: 0, left_over_wish: None }
}

fn buy(need: u64, packs: &[Pack]) -> Purchase {
    cheapest_packs(short(need), packs).unwrap()
}

/// Every choice of up to so many of each kind, looked at one by one: (cost, bought, packs) of the best that covers the
/// need.
fn by_brute_force(shortage: Shortage, packs: &[Pack]) -> Option<(u64, u64, u64)> {
    fn choices(packs: &[Pack], missing: u64) -> Vec<(u64, u64, u64)> {
        let Some((first, rest)) = packs.split_first() else { return vec![(0, 0, 0)] };
        let others = choices(rest, missing);
        let most = first.most.unwrap_or(u64::MAX).min(missing / first.holds + 1);
        (0..=most)
            .flat_map(|n| others.iter().map(move |o| (o.0 + n * first.price_cents, o.1 + n * first.holds, o.2 + n)))
            .collect()
    }
    let missing = shortage.need.saturating_sub(shortage.on_shelf);
    let covering: Vec<_> = choices(packs, missing).into_iter().filter(|choice| choice.1 >= missing).collect();
    let left = |choice: &(u64, u64, u64)| shortage.on_shelf + choice.1 - shortage.need;
    let kept = shortage.left_over_wish.and_then(|wish| covering.iter().filter(|c| left(c) <= wish).min());
    kept.or_else(|| covering.iter().min()).copied()
}

/// Small shops worked by hand: 7 kg missing.
#[test]
fn worked_by_hand() {
    // One large pack beats several small ones, though more stays over.
    let got = buy(7_000, &[pack(10_000, 2_000), pack(2_000, 600)]);
    assert_eq!((got.counts.as_slice(), got.cost_cents, got.left_over, got.packs), (&[1, 0][..], 2_000, 3_000, 1));
    // The same cost: less stays over with four small ones.
    let got = buy(7_000, &[pack(10_000, 2_400), pack(2_000, 600)]);
    assert_eq!((got.counts.as_slice(), got.left_over), (&[0, 4][..], 1_000));
    // The same cost and amount: fewer packs.
    let got = buy(7_000, &[pack(8_000, 2_400), pack(2_000, 600)]);
    assert_eq!(got.counts, [1, 0]);
    // Only two of the small ones to be had.
    let limited = Pack { most: Some(2), ..pack(2_000, 600) };
    let got = buy(7_000, &[pack(5_000, 2_000), limited]);
    assert_eq!((got.counts.as_slice(), got.cost_cents), (&[1, 1][..], 2_600));
}

/// What is on the shelf is used first; with enough there, nothing is bought.
#[test]
fn the_shelf_comes_first() {
    let shortage = Shortage { need: 9_000, on_shelf: 4_000, left_over_wish: None };
    let got = cheapest_packs(shortage, &[pack(5_000, 1_500)]).unwrap();
    assert_eq!((got.bought, got.left_over), (5_000, 0));
    let got = cheapest_packs(Shortage { on_shelf: 9_500, ..shortage }, &[pack(5_000, 1_500)]).unwrap();
    assert_eq!((got.counts.as_slice(), got.cost_cents, got.left_over), (&[0][..], 0, 500));
    assert_eq!(buy(0, &[pack(5_000, 1_500)]).packs, 0);
}

/// A wish for little over is kept at a higher price, and set aside when nothing keeps it.
#[test]
fn wish_for_little_over() {
    let packs = [pack(10_000, 2_000), pack(2_000, 600)];
    let wish = |wish| cheapest_packs(Shortage { left_over_wish: Some(wish), ..short(7_000) }, &packs).unwrap();
    assert_eq!((wish(1_000).counts.as_slice(), wish(1_000).wish_kept), (&[0, 4][..], true));
    assert_eq!((wish(999).counts.as_slice(), wish(999).wish_kept), (&[1, 0][..], false));
    assert_eq!((wish(3_000).cost_cents, wish(3_000).wish_kept), (2_000, true));
}

/// Masses and volumes to whole grams and millilitres: a need never shrinks, a shelf never grows.
#[test]
fn amounts_to_whole_units() {
    assert_eq!(grams_rounded_up(Kilograms::new(0.1 + 0.2)).unwrap(), 300);
    assert_eq!(grams_rounded_up(Kilograms::new(1.000_1)).unwrap(), 1_001);
    assert_eq!(grams_rounded_down(Kilograms::new(1.000_9)).unwrap(), 1_000);
    assert_eq!(grams_rounded_down(Kilograms::new(0.57 + 0.01)).unwrap(), 580);
    assert_eq!(millilitres_rounded_up(Litres::new(2.5)).unwrap(), 2_500);
    assert_eq!(millilitres_rounded_down(Litres::new(3.785_411_784)).unwrap(), 3_785);
    assert_eq!(grams_rounded_up(Kilograms::new(f64::NAN)).unwrap_err().field(), "need");
    assert_eq!(millilitres_rounded_down(Litres::new(-1.0)).unwrap_err().field(), "on_shelf");
}

#[test]
fn refusals_name_the_place() {
    let message = |need, packs: &[Pack]| cheapest_packs(short(need), packs).unwrap_err().to_string();
    assert!(message(1, &[]).contains("0 kinds"));
    assert!(message(1, &[pack(1_000, 1); KINDS_MAX + 1]).contains("21 kinds"));
    assert!(message(1, &[pack(1_000, 1), pack(0, 1)]).contains("packs[1].holds is 0"));
    assert!(message(1, &[pack(1_000, 200_000_000)]).contains("packs[0].price_cents is 200000000"));
    let two = Pack { most: Some(2), ..pack(1_000, 1) };
    assert!(message(2_001, &[two]).contains("holds 2000 g or mL; 2001 g or mL are missing"));
    assert_eq!(cheapest_packs(short(20_000_000_000), &[two]).unwrap_err().field(), "need");
    assert!(matches!(
        cheapest_packs(short(20_000_000), &[pack(999, 1), pack(1_000, 1)]),
        Err(ReckonError::OutOfRange { field: "packs", .. })
    ));
}

/// The limit on the work holds on both sides: 4,000,000 sums are looked at, one step more is refused.
#[test]
fn work_is_bounded() {
    let kinds = [pack(1, 1), pack(2, 2)];
    assert_eq!(buy(1_999_998, &kinds).cost_cents, 1_999_998);
    assert!(cheapest_packs(short(1_999_999), &kinds).is_err());
    // A common measure makes the same need small.
    assert_eq!(buy(1_999_999, &[pack(1_000, 1), pack(2_000, 2)]).bought, 2_000_000);
}

/// Random shops: sizes share a measure or not, some packs are limited, some prices are 0.
fn shops() -> impl Strategy<Value = (Vec<Pack>, u64, u64, Option<u64>)> {
    let kind = (1_u64..30, prop_oneof![Just(1_u64), Just(7)], 0_u64..60, prop::option::weighted(0.4, 0_u64..5))
        .prop_map(|(size, measure, price_cents, most)| Pack { holds: size * measure, price_cents, most });
    (prop::collection::vec(kind, 1..4), 0_u64..60, 0_u64..20, prop::option::weighted(0.4, 0_u64..15))
}

proptest! {
    #![proptest_config(crate::cases(20_000))]

    /// Twenty thousand random shops (each looks at up to some ten thousand choices) give what looking at every choice
    /// gives: cost, amount and number of packs. The need is covered, and no limit is passed.
    #[test]
    fn equals_brute_force((packs, need, on_shelf, left_over_wish) in shops()) {
        let shortage = Shortage { need, on_shelf, left_over_wish };
        match (cheapest_packs(shortage, &packs), by_brute_force(shortage, &packs)) {
            (Ok(got), Some(want)) => {
                prop_assert_eq!((got.cost_cents, got.bought, got.packs), want);
                prop_assert!(on_shelf + got.bought >= need && got.left_over == on_shelf + got.bought - need);
                prop_assert!(packs.iter().zip(&got.counts).all(|(p, n)| p.most.is_none_or(|most| *n <= most)));
                let sums = packs.iter().zip(&got.counts).fold((0, 0), |s, (p, n)| (s.0 + p.holds * n, s.1 + p.price_cents * n));
                prop_assert_eq!(sums, (got.bought, got.cost_cents));
            }
            (Err(error), None) => prop_assert!(error.to_string().contains("are missing")),
            (got, want) => prop_assert!(false, "{got:?} for {want:?}"),
        }
    }

    /// More need never costs less, and more on the shelf never costs more.
    #[test]
    fn monotone((packs, need, on_shelf, _) in shops(), more in 0_u64..20) {
        let cost = |need, on_shelf| cheapest_packs(Shortage { need, on_shelf, left_over_wish: None }, &packs).map(|p| p.cost_cents);
        if let (Ok(less), Ok(later)) = (cost(need, on_shelf), cost(need + more, on_shelf)) {
            prop_assert!(less <= later);
        }
        if let (Ok(less), Ok(later)) = (cost(need, on_shelf + more), cost(need, on_shelf)) {
            prop_assert!(less <= later);
        }
    }

    /// Any input gives an answer that covers the need, or a refusal.
    #[test]
    fn any_input_is_safe(
        packs in prop::collection::vec((any::<u64>(), any::<u64>(), any::<Option<u64>>()), 0..4),
        need in prop_oneof![any::<u64>(), 0_u64..100_000], on_shelf in prop_oneof![any::<u64>(), 0_u64..1_000],
        wish: Option<u64>, small: bool,
    ) {
        let packs: Vec<Pack> = packs
            .into_iter()
            .map(|(holds, price_cents, most)| if small {
                Pack { holds: holds % 5_000, price_cents: price_cents % 100_000, most }
            } else {
                Pack { holds, price_cents, most }
            })
            .collect();
        if let Ok(got) = cheapest_packs(Shortage { need, on_shelf, left_over_wish: wish }, &packs) {
            prop_assert!(on_shelf + got.bought >= need);
        }
    }
}
