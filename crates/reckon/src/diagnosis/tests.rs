use proptest::prelude::*;

use super::*;

fn test(minutes: f64, default: &[f64], rows: &[(usize, &[f64])]) -> Test {
    Test {
        minutes: Minutes::new(minutes),
        default: default.to_vec(),
        rows: rows.iter().map(|(cause, row)| (*cause, row.to_vec())).collect(),
        presupposes: Vec::new(),
        group: None,
    }
}

fn answer(test: usize, outcome: usize) -> Answer {
    Answer { test, outcome }
}

fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: got {got}, want {want} within {tolerance}");
}

/// Worked examples of Bayes' rule with the digits they were printed with.
#[test]
fn published_examples_of_bayes_rule() {
    // prior, P(positive | ill), P(positive | well), printed posterior, tolerance, source
    let rows = [
        // D. M. Eddy, "Probabilistic reasoning in clinical medicine", in Kahneman, Slovic and Tversky (eds.), 1982.
        (0.01, 0.792, 0.096, 0.077, 0.000_5),
        // G. Gigerenzer and U. Hoffrage, "How to improve Bayesian reasoning without instruction", Psychological Review
        // 102(4), 1995: 8 of 10 and 95 of 990, so 8 of 103.
        (0.01, 0.8, 0.096, 8.0 / 103.0, 0.000_5),
        // A. Tversky and D. Kahneman 1982, the cab problem: 15 % blue, a witness right 80 % of the time; 0.41.
        (0.15, 0.8, 0.2, 0.41, 0.005),
    ];
    for (prior, hit, alarm, printed, tolerance) in rows {
        let only = test(1.0, &[alarm, 1.0 - alarm], &[(0, &[hit, 1.0 - hit])]);
        let model = Model::new(&[prior, 1.0 - prior], vec![only], &[]).unwrap();
        close(posterior(&model, &[answer(0, 0)]).unwrap()[0], printed, tolerance, "posterior");
    }
}

/// Shannon 1948, section 12: a channel that errs once in a hundred digits has an equivocation of 0.081 bits a digit and
/// carries 919 bits in 1000 digits.
#[test]
fn shannon_noisy_channel() {
    let digit = test(1.0, &[0.99, 0.01], &[(1, &[0.01, 0.99])]);
    let model = Model::new(&[1.0, 1.0], vec![digit], &[]).unwrap();
    let next = next_tests(&model, &[], &Options::default()).unwrap();
    close(next[0].expected_information_bits, 0.919, 0.000_5, "bits a digit");
    let after = posterior(&model, &[answer(0, 0)]).unwrap();
    close(entropy_bits(&after), 0.081, 0.000_5, "equivocation");
}

/// Shannon 1948, section 6: H(1/2, 1/3, 1/6) = H(1/2, 1/2) + 1/2 H(2/3, 1/3).
#[test]
fn shannon_choice_broken_down() {
    let left = entropy_bits(&[1.0 / 2.0, 1.0 / 3.0, 1.0 / 6.0]);
    let right = entropy_bits(&[0.5, 0.5]) + 0.5 * entropy_bits(&[2.0 / 3.0, 1.0 / 3.0]);
    close(left, right, 1e-12, "grouping");
}

/// A chain of parts of which one is broken: the first probe belongs in the middle and tells one bit, and halving finds one of
/// eight in three probes (half-split method, common practice; de Kleer and Williams 1987 discuss cascaded inverters).
#[test]
fn half_split_of_a_chain() {
    let probe = |after: usize| {
        let good: Vec<(usize, &[f64])> = ((after + 1)..8).map(|c| (c, &[1.0, 0.0][..])).collect();
        test(1.0, &[0.0, 1.0], &good)
    };
    let model = Model::new(&[1.0; 8], (0..7).map(probe).collect(), &[]).unwrap();
    for broken in 0..8 {
        let mut answers = Vec::new();
        while certain(&posterior(&model, &answers).unwrap(), 0.99).unwrap().is_none() {
            let best = next_tests(&model, &answers, &Options::default()).unwrap()[0];
            if answers.is_empty() {
                assert_eq!(best.test, 3);
                close(best.expected_information_bits, 1.0, 0.005, "a bit but for the floor");
            }
            answers.push(answer(best.test, usize::from(broken <= best.test)));
        }
        assert_eq!(answers.len(), 3);
        assert_eq!(certain(&posterior(&model, &answers).unwrap(), 0.99).unwrap(), Some(broken));
    }
}

/// Two causes: the weights of evidence in bans add up to the change of the odds (Good 1950); Eddy's positive reading is
/// log₁₀(0.792 / 0.096) = 0.916 bans for, the negative one log₁₀(0.208 / 0.904) = -0.638.
#[test]
fn weights_of_evidence() {
    let reading = || test(1.0, &[0.096, 0.904], &[(0, &[0.792, 0.208])]);
    let model = Model::new(&[1.0, 99.0], vec![reading(), reading()], &[]).unwrap();
    let answers = [answer(1, 1), answer(0, 0)];
    let told = speaks(&model, &answers, 0).unwrap();
    assert_eq!((told[0].0, told[1].0), (answer(0, 0), answer(1, 1)));
    close(told[0].1, 0.916, 0.000_5, "for");
    close(told[1].1, -0.638, 0.000_5, "against");
    let after = posterior(&model, &answers).unwrap();
    let change = (after[0] / after[1] * 99.0).log10();
    close(told.iter().map(|t| t.1).sum(), change, 1e-9, "sum of the bans");
    assert_eq!(speaks(&model, &answers, 2).unwrap_err().field(), "cause");
}

/// The same look twice: counted in full it would square the odds; at exponent 0 the second adds nothing, at 1 all of it.
#[test]
fn a_group_does_not_count_twice() {
    let after = |weaker: f64, answers: &[Answer]| {
        let tests = (0..2).map(|_| Test { group: Some(0), ..test(1.0, &[0.2, 0.8], &[(0, &[0.8, 0.2])]) }).collect();
        posterior(&Model::new(&[1.0, 1.0], tests, &[weaker]).unwrap(), answers).unwrap()[0]
    };
    let both = [answer(0, 0), answer(1, 0)];
    close(after(0.0, &both), 0.8, 1e-12, "only the strongest");
    close(after(1.0, &both), 16.0 / 17.0, 1e-12, "both");
    close(after(0.5, &both), 8.0 / 9.0, 1e-12, "odds of 4 times its root");
    close(after(0.5, &both[..1]), 0.8, 1e-12, "one answer is never damped");
}

/// An outcome that cannot be does not bar a cause for good, and a cause of no weight never comes back.
#[test]
fn the_floor_leaves_a_way_back() {
    let sure = || test(1.0, &[0.0, 1.0], &[(0, &[1.0, 0.0]), (2, &[1.0, 0.0])]);
    let model = Model::new(&[1.0, 1.0, 0.0], vec![sure(), sure(), sure()], &[]).unwrap();
    let slip = posterior(&model, &[answer(0, 1), answer(1, 0), answer(2, 0)]).unwrap();
    assert!(slip[0] > 0.999 && slip[1] > 0.0 && slip[2] == 0.0);
}

/// What is answered, presupposes an outcome not seen, is out of reach or tells too little is not offered.
#[test]
fn only_tests_that_can_be_made() {
    let sharp = || test(2.0, &[0.1, 0.9], &[(0, &[0.9, 0.1])]);
    let later = Test { presupposes: vec![Presupposed { test: 0, outcomes: vec![1] }], ..sharp() };
    let empty = test(1.0, &[0.3, 0.7], &[]);
    let model = Model::new(&[1.0, 1.0], vec![sharp(), later, sharp(), empty], &[]).unwrap();
    let offered = |answers: &[Answer], options: &Options| -> Vec<usize> {
        next_tests(&model, answers, options).unwrap().iter().map(|n| n.test).collect()
    };
    let all = Options::default();
    assert_eq!(offered(&[], &all), [0, 2, 3]);
    assert_eq!(offered(&[answer(0, 0)], &all), [2, 3]);
    assert_eq!(offered(&[answer(0, 1)], &all), [1, 2, 3]);
    assert_eq!(offered(&[], &Options { bits_min: 0.01, without: vec![2], ..all }), [0]);
}

/// A short weak test can go before a long strong one, unless time is of no account.
#[test]
fn minutes_decide_the_order() {
    let strong = test(30.0, &[0.01, 0.99], &[(0, &[0.99, 0.01])]);
    let quick = test(2.0, &[0.3, 0.7], &[(0, &[0.7, 0.3])]);
    let model = Model::new(&[1.0, 1.0], vec![strong, quick], &[]).unwrap();
    let first = |order| next_tests(&model, &[], &Options { order, ..Options::default() }).unwrap()[0].test;
    assert_eq!((first(Order::PerMinute), first(Order::Information)), (1, 0));
}

#[test]
fn refusals_name_the_field() {
    let good = || test(1.0, &[0.5, 0.5], &[]);
    let field = |weights: &[f64], t: Test, groups: &[f64]| Model::new(weights, vec![t], groups).unwrap_err().field();
    assert_eq!(field(&[0.0, 0.0], good(), &[]), "weight");
    assert_eq!(field(&[], good(), &[]), "weight");
    assert_eq!(field(&[1.0, -1.0], good(), &[]), "weight");
    assert_eq!(field(&[f64::NAN], good(), &[]), "weight");
    assert_eq!(field(&[1.0], test(0.0, &[0.5, 0.5], &[]), &[]), "minutes");
    assert_eq!(field(&[1.0], test(1.0, &[1.0], &[]), &[]), "outcomes");
    assert_eq!(field(&[1.0], test(1.0, &[0.5, 0.4], &[]), &[]), "likelihood");
    assert_eq!(field(&[1.0], test(1.0, &[1.5, -0.5], &[]), &[]), "likelihood");
    assert_eq!(field(&[1.0], test(1.0, &[0.5, 0.5], &[(0, &[1.0])]), &[]), "likelihood");
    assert_eq!(field(&[1.0], test(1.0, &[0.5, 0.5], &[(1, &[0.5, 0.5])]), &[]), "cause");
    assert_eq!(field(&[1.0], Test { group: Some(0), ..good() }, &[]), "group");
    assert_eq!(field(&[1.0], good(), &[1.5]), "weaker_counts");
    let before = |test, outcomes| Test { presupposes: vec![Presupposed { test, outcomes }], ..good() };
    assert_eq!(field(&[1.0], before(0, vec![0]), &[]), "presupposes");
    assert_eq!(field(&[1.0], before(7, vec![0]), &[]), "presupposes");
    let model = Model::new(&[1.0], vec![good()], &[]).unwrap();
    for wrong in [vec![answer(1, 0)], vec![answer(0, 2)], vec![answer(0, 0), answer(0, 1)]] {
        assert_eq!(posterior(&model, &wrong).unwrap_err().field(), "answers");
    }
    let options = Options { bits_min: f64::NAN, ..Options::default() };
    assert_eq!(next_tests(&model, &[], &options).unwrap_err().field(), "bits_min");
    assert_eq!(certain(&[0.5, 0.5], 0.4).unwrap_err().field(), "threshold");
    assert_eq!(certain(&[0.2, 0.8], 0.85).unwrap(), None);
    assert_eq!(certain(&[], 0.85).unwrap(), None);
}

/// Weights, and for each test three likelihoods a cause, from whole numbers so that rows sum to one.
fn models() -> impl Strategy<Value = (Vec<f64>, Vec<Vec<[u32; 3]>>, f64)> {
    (2usize..7, 1usize..5).prop_flat_map(|(causes, tests)| {
        (
            prop::collection::vec(0.01..10.0, causes),
            prop::collection::vec(prop::collection::vec(prop::array::uniform3(0u32..20), causes), tests),
            0.0..=1.0,
        )
    })
}

fn shares(row: &[u32; 3]) -> Vec<f64> {
    let sum: u32 = row.iter().sum();
    if sum == 0 { vec![1.0 / 3.0; 3] } else { row.iter().map(|n| f64::from(*n) / f64::from(sum)).collect() }
}

fn build(weights: &[f64], tables: &[Vec<[u32; 3]>], weaker: f64, grouped: usize) -> Model {
    let tests = tables.iter().enumerate().map(|(index, table)| Test {
        minutes: Minutes::new(1.0),
        default: vec![0.2, 0.3, 0.5],
        rows: table.iter().enumerate().map(|(cause, row)| (cause, shares(row))).collect(),
        presupposes: Vec::new(),
        group: (index < grouped).then_some(0),
    });
    Model::new(weights, tests.collect(), &[weaker]).unwrap()
}

proptest! {
    #![proptest_config(crate::cases(2_000))]

    /// Probabilities are shares of one, in whatever order the answers come, and none is ever quite zero.
    #[test]
    fn shares_of_one_in_any_order((weights, tables, weaker) in models(), seen in prop::array::uniform5(0usize..3)) {
        let model = build(&weights, &tables, weaker, 3);
        let mut answers: Vec<Answer> = (0..tables.len()).map(|t| answer(t, seen[t])).collect();
        let forward = posterior(&model, &answers).unwrap();
        prop_assert!((forward.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        prop_assert!(forward.iter().all(|p| *p > 0.0 && *p <= 1.0));
        answers.reverse();
        prop_assert_eq!(forward, posterior(&model, &answers).unwrap());
    }

    /// Without groups the result is the joint probability multiplied out and divided by its sum.
    #[test]
    fn agrees_with_the_joint_table((weights, tables, weaker) in models(), seen in prop::array::uniform5(0usize..3)) {
        let model = build(&weights, &tables, weaker, 0);
        let answers: Vec<Answer> = (0..tables.len()).map(|t| answer(t, seen[t])).collect();
        let mut joint = weights.clone();
        for (cause, share) in joint.iter_mut().enumerate() {
            for (t, table) in tables.iter().enumerate() {
                let floored: Vec<f64> = shares(&table[cause]).iter().map(|p| p.max(1e-4)).collect();
                *share *= floored[seen[t]] / floored.iter().sum::<f64>();
            }
        }
        let sum: f64 = joint.iter().sum();
        for (got, want) in posterior(&model, &answers).unwrap().iter().zip(joint) {
            prop_assert!((got - want / sum).abs() < 1e-9);
        }
    }

    /// Information lies between nothing and what there is to know; a test that all causes answer alike tells nothing.
    #[test]
    fn information_has_bounds((weights, tables, weaker) in models(), seen in 0usize..3, grouped in 0usize..3) {
        let mut tests = tables.clone();
        tests.push(vec![[1, 2, 3]; weights.len()]);
        let model = build(&weights, &tests, weaker, grouped);
        let first = [answer(0, seen)];
        for answers in [&first[..0], &first[..]] {
            let left = entropy_bits(&posterior(&model, answers).unwrap());
            for next in next_tests(&model, answers, &Options::default()).unwrap() {
                let bits = next.expected_information_bits;
                prop_assert!(bits >= 0.0 && bits <= left + 1e-9);
                prop_assert!(next.test + 1 < tests.len() || bits == 0.0, "an empty test tells {bits}");
            }
        }
    }

    /// A cause of no weight changes neither the others nor the next tests.
    #[test]
    fn a_cause_of_no_weight_changes_nothing((weights, tables, weaker) in models(), seen in 0usize..3) {
        let model = build(&weights, &tables, weaker, 3);
        let mut more = weights.clone();
        more.push(0.0);
        let wider: Vec<Vec<[u32; 3]>> = tables.iter().map(|t| [&t[..], &[[9, 0, 1]]].concat()).collect();
        let with = build(&more, &wider, weaker, 3);
        let answers = [answer(0, seen)];
        let (a, b) = (posterior(&model, &answers).unwrap(), posterior(&with, &answers).unwrap());
        prop_assert!(a.iter().zip(&b).all(|(x, y)| (x - y).abs() < 1e-12) && b[weights.len()] == 0.0);
        let next = |m| next_tests(m, &answers, &Options::default()).unwrap();
        for (x, y) in next(&model).iter().zip(next(&with)) {
            prop_assert!((x.expected_information_bits - y.expected_information_bits).abs() < 1e-9);
        }
    }
}
