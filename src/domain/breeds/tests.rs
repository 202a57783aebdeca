use super::*;

fn id(n: u128) -> Uuid {
    Uuid::from_u128(n)
}

fn pure(n: u128, breed: &str) -> BreedMember {
    let stated = vec![StatedBreed { breed: breed.into(), numerator: 1, denominator: 1 }];
    BreedMember { id: id(n), sire: None, dam: None, stated }
}

fn bred(n: u128, sire: u128, dam: u128) -> BreedMember {
    let parent = |p: u128| (p > 0).then(|| id(p));
    BreedMember { id: id(n), sire: parent(sire), dam: parent(dam), stated: vec![] }
}

fn of<'a>(report: &'a BreedShareReport, breed: &str) -> &'a BreedShare {
    report.shares.iter().find(|s| s.breed.as_deref() == Some(breed)).unwrap()
}

fn shares(members: Vec<BreedMember>, dog: u128) -> BreedShareReport {
    let family = BreedFamily::new(members).unwrap();
    family.shares_of(id(dog), GeneticMap::dog(), &Rules::standard()).unwrap()
}

fn sd(members: Vec<BreedMember>, dog: u128, breed: &str, map: &GeneticMap) -> f64 {
    let family = BreedFamily::new(members).unwrap();
    let report = family.shares_of(id(dog), map, &Rules::standard()).unwrap();
    of(&report, breed).standard_deviation.unwrap()
}

#[test]
fn a_dog_is_wholly_of_the_breed_on_record() {
    let row = PedigreeRow { id: id(3), sire: Some(id(1)), dam: None };
    let of = |breed: Option<&str>| BreedMember::recorded(row, breed);
    assert_eq!(of(Some(" Beagle ")), BreedMember { sire: Some(id(1)), ..pure(3, "Beagle") });
    for none in [None, Some(""), Some(" \t")] {
        assert_eq!(of(none), bred(3, 1, 0), "{none:?}");
    }
}

#[test]
fn a_first_cross_is_half_and_half_exactly() {
    let report = shares(vec![pure(1, "Poodle"), pure(2, "Beagle"), bred(3, 1, 2)], 3);
    for breed in ["Poodle", "Beagle"] {
        let share = of(&report, breed);
        assert_eq!((share.exact.as_str(), share.standard_deviation), ("1/2", Some(0.0)));
        assert_eq!((share.possible_lowest, share.possible_highest), (0.5, 0.5));
        assert_eq!((share.likely_lowest, share.likely_highest), (Some(0.5), Some(0.5)));
    }
}

#[test]
fn shares_are_means_and_the_unknown_is_said() {
    let members = vec![
        pure(1, "Poodle"),
        pure(2, "Beagle"),
        bred(3, 1, 2),
        pure(4, "Poodle"),
        bred(5, 4, 3),
        bred(6, 5, 0),
    ];
    let report = shares(members.clone(), 5);
    let poodle = of(&report, "Poodle");
    assert_eq!((poodle.exact.as_str(), poodle.expected), ("3/4", 0.75));
    assert_eq!((poodle.possible_lowest, poodle.possible_highest), (0.5, 1.0));
    let report = shares(members.clone(), 6);
    assert_eq!(of(&report, "Poodle").exact, "3/8");
    assert_eq!(report.shares.iter().map(|s| s.expected).sum::<f64>(), 1.0);
    let unknown = report.shares.iter().find(|s| s.breed.is_none()).unwrap();
    assert_eq!((unknown.exact.as_str(), unknown.possible_highest), ("1/2", 0.5));
    assert_eq!(of(&report, "Poodle").possible_highest, 1.0);
    let family = BreedFamily::new(members).unwrap();
    let pups = family.shares_of_pups(id(3), id(5), GeneticMap::dog(), &Rules::standard()).unwrap();
    assert_eq!(of(&pups, "Poodle").exact, "5/8");
}

#[test]
fn a_mixed_founder_gives_bounds_only() {
    let part = |breed: &str, n| StatedBreed { breed: breed.into(), numerator: n, denominator: 5 };
    let mixed = BreedMember { stated: vec![part("Poodle", 3), part("Beagle", 2)], ..bred(1, 0, 0) };
    let report = shares(vec![mixed, pure(2, "Poodle"), bred(3, 1, 2)], 3);
    let poodle = of(&report, "Poodle");
    assert_eq!((poodle.exact.as_str(), poodle.standard_deviation), ("4/5", None));
    assert_eq!((poodle.possible_lowest, poodle.possible_highest), (0.5, 1.0));
    assert!(report.assumptions.iter().any(|a| a.contains("bounds only")));
}

/// Variance of one chromosome of l morgans in generation t of backcrossing, and in an F2 (Frisch
/// M, Melchinger AE 2007, Genetics 176:477-488).
#[test]
fn variances_equal_the_published_formulas() {
    let backcross = |l: f64, t: i32| -> f64 {
        let choose = |n: i32| (1..=n).fold(1.0, |c, i| c * f64::from(t - i + 1) / f64::from(i));
        let term = |n: i32| {
            let x = 2.0 * f64::from(n) * l;
            choose(n) / (2.0 * f64::from(n * n)) * (x - 1.0 + (-x).exp())
        };
        (1..=t).map(term).sum::<f64>() / (l * l * 4_f64.powi(t + 1))
    };
    for l in [0.35, 0.9, 2.0] {
        let map = GeneticMap::new(&[(l, 1.0)], "test");
        let mut members = vec![pure(1, "A"), pure(2, "B"), bred(3, 1, 2)];
        for t in 1..=4_u128 {
            members.push(bred(3 + t, 1, 2 + t));
            let found = sd(members.clone(), 3 + t, "B", &map);
            let wanted = backcross(l, t as i32).sqrt();
            assert!((found - wanted).abs() < 1e-12, "{l} {t}: {found} {wanted}");
        }
        let two = vec![pure(1, "A"), pure(2, "B"), bred(3, 1, 2), bred(4, 1, 2), bred(5, 3, 4)];
        let wanted = (l - 0.5 * (1.0 - (-2.0 * l).exp())) / (8.0 * l * l);
        assert!((sd(two, 5, "A", &map) - wanted.sqrt()).abs() < 1e-12);
    }
}

/// Gametes drawn with crossing over at random (Haldane), sib mating included, against the formula.
#[test]
fn variances_equal_a_simulation() {
    const LOCI: usize = 101;
    let l = 1.0;
    let recombine = 0.5 * (1.0 - (-2.0 * l / (LOCI - 1) as f64).exp());
    let mut state = 42_u64;
    let mut uniform = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut gamete = |dog: &[Vec<bool>; 2]| -> Vec<bool> {
        let mut side = usize::from(uniform() < 0.5);
        (0..LOCI)
            .map(|locus| {
                if locus > 0 && uniform() < recombine {
                    side = 1 - side;
                }
                dog[side][locus]
            })
            .collect()
    };
    let cross = [vec![true; LOCI], vec![false; LOCI]];
    let (mut sum, mut square) = (0.0, 0.0);
    let runs = 20_000;
    for _ in 0..runs {
        let sibs = [(); 2].map(|()| [gamete(&cross), gamete(&cross)]);
        let pup = [gamete(&sibs[0]), gamete(&sibs[1])];
        let share = pup.iter().flatten().filter(|b| **b).count() as f64 / (2 * LOCI) as f64;
        sum += share;
        square += share * share;
    }
    let mean = sum / f64::from(runs);
    let simulated = (square / f64::from(runs) - mean * mean).sqrt();
    let members = vec![
        pure(1, "A"),
        pure(2, "B"),
        bred(3, 1, 2),
        bred(4, 1, 2),
        bred(5, 3, 4),
        bred(6, 3, 4),
        bred(7, 5, 6),
    ];
    let map = GeneticMap::new(&[(l, 1.0)], "test");
    let formula = sd(members, 7, "A", &map);
    assert!((simulated / formula - 1.0).abs() < 0.03, "{simulated} {formula}");
}

/// A backcross pup of dogs strays by some 3.6 % from its 75 %: 95 % lie within 68 to 82 %.
#[test]
fn the_dog_s_map_gives_a_plausible_range() {
    let members = vec![pure(1, "A"), pure(2, "B"), bred(3, 1, 2), bred(4, 1, 3)];
    let report = shares(members, 4);
    let share = of(&report, "A");
    assert!((share.standard_deviation.unwrap() - 0.0357).abs() < 2e-4);
    assert!((share.likely_lowest.unwrap() - 0.68).abs() < 1e-3);
}

#[test]
fn names_faults() {
    let twice = vec![pure(1, "A"), pure(1, "B")];
    assert!(BreedFamily::new(twice).is_err());
    let cycle = vec![bred(1, 2, 0), bred(2, 1, 0)];
    assert!(BreedFamily::new(cycle).unwrap_err()[0].detail.contains("own ancestors"));
    let mut short = pure(1, "A");
    short.stated[0].denominator = 2;
    assert!(BreedFamily::new(vec![short]).unwrap_err()[0].detail.contains("sum to 1"));
    let family = BreedFamily::new(vec![pure(1, "A")]).unwrap();
    let rules = Rules::standard();
    assert!(family.shares_of(id(9), GeneticMap::dog(), &rules).is_err());
    assert!(family.shares_of_pups(id(1), id(1), GeneticMap::dog(), &rules).is_err());
}
