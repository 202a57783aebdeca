use super::*;
use crate::{
    breeding_limits::PastWhelping, partial_date::PartialDate, pedigree::Pedigree, record::Sex,
};
use serde_json::{Value as Json, json};

fn asked(body: Json) -> MatingPlanRequest {
    serde_json::from_value(body).unwrap()
}

fn candidate(number: u128, sex: BreedingSex) -> MatingCandidate {
    let sex = match sex {
        BreedingSex::Female => Sex::Female,
        BreedingSex::Male => Sex::Male,
    };
    MatingCandidate::of_dog(Uuid::from_u128(number), sex, None, (None, None), None)
}

fn known(of: impl IntoIterator<Item = (u128, BreedingSex)>) -> HashMap<Uuid, MatingCandidate> {
    of.into_iter().map(|(number, sex)| (Uuid::from_u128(number), candidate(number, sex))).collect()
}

#[test]
fn the_limits_are_those_named_or_the_careful_ones() {
    assert_eq!(asked(json!({})).limits().unwrap().name, "careful");
    for set in RuleSet::all() {
        assert_eq!(asked(json!({ "rule_set": set.name })).limits().unwrap().name, set.name);
    }
    let unknown = asked(json!({ "rule_set": "careless" })).limits().unwrap_err();
    assert_eq!(unknown.pointer, "/rule_set");
    assert!(unknown.detail.contains("careful"), "{}", unknown.detail);
}

#[test]
fn who_is_not_named_comes_from_the_breeding_stock() {
    use BreedingSex::{Female, Male};
    let known = known([(1, Female), (2, Male), (3, Female), (4, Male)]);
    let stock = [1, 2].map(Uuid::from_u128);
    let ids = |body: Json| -> [Vec<u128>; 2] {
        let lists = asked(body).candidates(&stock, &known).unwrap();
        lists.map(|dogs| dogs.iter().map(|dog| dog.id.as_u128()).collect())
    };
    assert_eq!(ids(json!({})), [vec![1], vec![2]]);
    assert_eq!(ids(json!({ "dams": [Uuid::from_u128(3)] })), [vec![3], vec![2]]);
    assert_eq!(ids(json!({ "sires": [Uuid::from_u128(4)] })), [vec![1], vec![4]]);
    let strange = json!({ "dams": [Uuid::from_u128(3), Uuid::from_u128(9)] });
    let faults = asked(strange).candidates(&stock, &known).unwrap_err();
    assert_eq!(faults[0].pointer, "/dams/1");
}

#[test]
fn a_plan_weighs_at_most_six_hundred_dogs() {
    let known = known([(1, BreedingSex::Female), (2, BreedingSex::Male)]);
    let of_stock = |count: u128| {
        let stock: Vec<Uuid> = (1..=count).map(Uuid::from_u128).collect();
        asked(json!({})).candidates(&stock, &known).map(drop)
    };
    assert_eq!(of_stock(599), Ok(()));
    assert_eq!(of_stock(600), Ok(()));
    assert_eq!(of_stock(601).unwrap_err()[0].pointer, "/dams");
}

#[test]
fn a_year_asks_one_litter_of_a_dam_unless_more_are_named() {
    let facts = MatingPlanFacts {
        book: Arc::new(Studbook::compute(Pedigree::build(Vec::new()).unwrap(), 1)),
        dams: vec![candidate(1, BreedingSex::Female)],
        sires: vec![candidate(2, BreedingSex::Male)],
        stock: Vec::new(),
        family: Vec::new(),
        results: Vec::new(),
        traits: HashMap::new(),
        rule_set: asked(json!({})).limits().unwrap(),
        law: Text::verbatim(""),
        rules: Rules::standard(),
        mated_on: "2026-03-01".parse().unwrap(),
        breed: None,
    };
    let words = || Text::verbatim("");
    let grid = MatingGrid {
        dams: Vec::new(),
        formula: words(),
        about_inbreeding: words(),
        rule_set: words(),
        law: words(),
    };
    let most = |body: Json| {
        let year = asked(body).of_year(4, &facts, &grid, None);
        (year.litters, year.dams[0].at_most, year.sires[0].at_most)
    };
    assert_eq!(most(json!({})), (4, 1, 4));
    assert_eq!(most(json!({ "litters_per_dam": 2, "litters_per_sire": 3 })), (4, 2, 3));
    // What is said of a single dog goes before.
    let of_dog = |dog: u128| json!({ "dog_id": Uuid::from_u128(dog), "at_least": 1, "at_most": 3 });
    assert_eq!(most(json!({ "limits": [of_dog(1)] })), (4, 3, 4));
    assert_eq!(most(json!({ "litters_per_sire": 2, "limits": [of_dog(2)] })), (4, 1, 3));
    let year = asked(json!({ "limits": [of_dog(1)] })).of_year(4, &facts, &grid, None);
    assert_eq!((year.dams[0].at_least, year.sires[0].at_least), (1, 0));

    let refused = |body: Json| {
        let faults = asked(body).check(&facts).unwrap_err();
        faults.into_iter().map(|fault| fault.pointer).collect::<Vec<_>>()
    };
    let twice = json!({ "limits": [of_dog(1), of_dog(1), of_dog(9)] });
    assert_eq!(refused(twice), ["/limits/1/dog_id", "/limits/2/dog_id"]);
    let limit = json!({ "dog_id": Uuid::from_u128(1), "at_least": 2, "at_most": 1 });
    assert_eq!(refused(json!({ "limits": [limit] })), ["/limits/0/at_least"]);
    let swapped = json!({ "dam_id": Uuid::from_u128(2), "sire_id": Uuid::from_u128(1) });
    let choices = json!({ "choices": [swapped] });
    assert_eq!(refused(choices), ["/choices/0/dam_id", "/choices/0/sire_id", "/litters"]);
    assert_eq!(refused(json!({ "breed_weight": 1.0 })), ["/breed", "/litters"]);
}

#[test]
fn a_dead_dog_is_no_candidate_and_a_dams_litters_count() {
    let dog = |died_on: Option<&str>| {
        let born_on = "2022-03".parse().ok();
        let parents = (Some(Uuid::from_u128(8)), None);
        let died_on = died_on.map(|on| on.parse().unwrap());
        MatingCandidate::of_dog(Uuid::from_u128(1), Sex::Female, born_on, parents, died_on)
    };
    let lives = dog(None);
    assert_eq!((lives.sex, lives.unavailable.clone()), (BreedingSex::Female, None));
    assert_eq!((lives.sire_id, lives.dam_id), (Some(Uuid::from_u128(8)), None));
    assert_eq!(lives.born_on, lives.history.born_on);
    assert!(dog(Some("2026-01-01")).unavailable.is_some());
    let whelped_on = PartialDate::Day("2025-01-01".parse().unwrap());
    let litters = vec![PastWhelping { whelped_on, caesarean: None }];
    let bred = lives.with_litters(litters.clone(), true);
    assert_eq!((bred.history.whelpings, bred.history.complete), (litters, true));
}
