use super::*;

fn row<'a>(id: &'a str, sire: &'a str, dam: &'a str) -> PedigreeRow<&'a str> {
    let known = |text: &'a str| (!text.is_empty()).then_some(text);
    PedigreeRow { id, sire: known(sire), dam: known(dam) }
}

#[test]
fn puts_parents_before_offspring_and_leaves_last() {
    let rows = [row("d", "c", "b"), row("c", "a", "b"), row("e", "a", "x"), row("a", "", "")];
    let pedigree = Pedigree::build(rows).unwrap();
    assert_eq!(pedigree.len(), 6);
    let place = |id| pedigree.find(&id).unwrap();
    assert!(place("a") < place("c") && place("b") < place("c") && place("c") < place("d"));
    assert!(["d", "e"].iter().all(|leaf| place(leaf) >= 4), "leaves stand last");
    assert_eq!(pedigree.parents().sire(place("e")), Some(place("a")));
    assert_eq!(pedigree.parents().known(place("x")).count(), 0);
    assert_eq!(pedigree.find(&"nobody"), None);
}

#[test]
fn names_the_members_of_every_loop() {
    let rows = [
        row("c", "e", "b"),
        row("d", "c", "b"),
        row("e", "a", "d"),
        row("f", "c", "b"),
        row("p", "q", ""),
        row("q", "", "p"),
    ];
    let Err(PedigreeError::Loop(mut groups)) = Pedigree::build(rows) else {
        panic!("a loop must be refused")
    };
    groups.sort();
    assert_eq!(groups, [vec!["c", "d", "e"], vec!["p", "q"]]);
    let own = Pedigree::build([row("a", "a", "")]);
    assert_eq!(own, Err(PedigreeError::Loop(vec![vec!["a"]])));
}

#[test]
fn refuses_duplicates_and_one_animal_as_both_parents() {
    let twice = Pedigree::build([row("a", "", ""), row("b", "a", ""), row("a", "", "b")]);
    assert_eq!(twice, Err(PedigreeError::Duplicate("a")));
    let same = Pedigree::build([row("c", "a", "a")]);
    assert_eq!(same, Err(PedigreeError::SameParents("c")));
}

#[test]
fn grows_without_moving_anyone() {
    let mut pedigree = Pedigree::build([row("c", "a", "b")]).unwrap();
    let before: Vec<_> = ["a", "b", "c"].map(|id| pedigree.find(&id)).to_vec();
    let pup = pedigree.append(row("e", "a", "new")).unwrap();
    assert_eq!(["a", "b", "c"].map(|id| pedigree.find(&id)).to_vec(), before);
    assert_eq!(pedigree.parents().dam(pup), pedigree.find(&"new"));
    assert_eq!(pedigree.append(row("e", "", "")), Err(PedigreeError::Duplicate("e")));
    assert!(pedigree.append(row("z", "a", "a")).is_err());
}

#[test]
fn changes_parents_in_place_or_by_a_new_order() {
    let mut pedigree = Pedigree::build([row("c", "a", "b"), row("d", "c", "b")]).unwrap();
    assert_eq!(pedigree.set_parents(row("d", "a", "b")), Ok(None));
    assert_eq!(pedigree.set_parents(row("c", "a", "")), Ok(None));
    let unchanged = pedigree.clone();
    assert_eq!(
        pedigree.set_parents(row("a", "d", "")),
        Err(PedigreeError::Loop(vec![vec!["a", "d"]]))
    );
    assert_eq!(pedigree, unchanged, "a refused change leaves everything as it was");
    let before = pedigree.ids().to_vec();
    let moved = pedigree.set_parents(row("b", "later", "c")).unwrap().unwrap();
    let now: Vec<_> = moved.iter().map(|place| *pedigree.id(*place)).collect();
    assert_eq!(now, before);
    let rows: Vec<_> = pedigree.rows().collect();
    assert!(rows.contains(&row("b", "later", "c")) && rows.contains(&row("d", "a", "b")));
}

#[test]
fn walks_a_pedigree_of_a_hundred_thousand_generations() {
    let rows = (1..100_000u32).rev().map(|i| PedigreeRow { id: i, sire: Some(i - 1), dam: None });
    let pedigree = Pedigree::build(rows).unwrap();
    assert_eq!(pedigree.len(), 100_000);
    let looped =
        (0..100_000u32).map(|i| PedigreeRow { id: i, sire: Some((i + 1) % 100_000), dam: None });
    assert!(
        matches!(Pedigree::build(looped), Err(PedigreeError::Loop(l)) if l[0].len() == 100_000)
    );
}

#[test]
fn marks_descendants() {
    let pedigree = Pedigree::build([row("c", "a", "b"), row("d", "c", "x")]).unwrap();
    let marked = pedigree.parents().descendants(&[pedigree.find(&"a").unwrap()]);
    let names: Vec<_> = ["a", "b", "c", "d", "x"]
        .into_iter()
        .filter(|id| marked[pedigree.find(id).unwrap() as usize])
        .collect();
    assert_eq!(names, ["a", "c", "d"]);
}

/// More animals than are sorted in at once, added in an order far from that of their ids.
#[test]
fn finds_all_that_were_added() {
    let mut pedigree = Pedigree::build([row("a", "", "")]).unwrap();
    let names: Vec<String> =
        (0..3 * ADDED_APART).map(|n| format!("{:x}", n * 7919 % 9973)).collect();
    for name in names.iter().filter(|name| *name != "a") {
        let row = PedigreeRow { id: name.as_str(), sire: Some("a"), dam: None };
        let behind = pedigree.len() as Animal;
        assert_eq!(pedigree.append(row), Ok(behind));
        assert_eq!(pedigree.append(row), Err(PedigreeError::Duplicate(name.as_str())));
    }
    let places = pedigree.ids().iter().map(|id| pedigree.find(id).unwrap());
    assert!(places.eq(0..pedigree.len() as Animal));
}
