//! A file beside the dogs of a kennel.

use super::{MergePlan, check_new_parents, merge, read};
use crate::{
    import::{ImportHow, known_dogs::KnownDog},
    pedigree::PedigreeRow,
    record::Sex,
};
use chrono::NaiveDate;
use uuid::Uuid;

fn id(n: u128) -> Uuid {
    Uuid::from_u128(n)
}

/// A dog of the kennel that came from an earlier file.
fn known(n: u128, imported_id: &str, sex: Option<Sex>) -> KnownDog {
    KnownDog { id: id(n), imported_id: Some(imported_id.into()), sex, ..KnownDog::default() }
}

fn merged(text: &str, kennel: &[KnownDog]) -> Result<MergePlan, Vec<(String, String)>> {
    let today = NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
    let file = read(text.as_bytes(), &ImportHow::default(), today).unwrap().among(kennel).unwrap();
    let mut next = 100;
    let new_id = || {
        next += 1;
        id(next)
    };
    let merged = merge(file, kennel, new_id);
    match merged.faults.is_empty() {
        true => Ok(merged.plan),
        false => Err(merged
            .faults
            .into_iter()
            .map(|fault| (fault.pointer, fault.detail.to_string()))
            .collect()),
    }
}

#[test]
fn finds_dogs_again_by_either_id() {
    let own = KnownDog { imported_id: None, ..known(2, "", Some(Sex::Female)) };
    let kennel = [known(1, "A", Some(Sex::Male)), own];
    let text = format!("id,sire,dam\nA,,\nB,A,{}\n", id(2));
    let plan = merged(&text, &kennel).unwrap();
    assert_eq!(plan.at(&plan.known).map(|dog| dog.id).collect::<Vec<_>>(), [id(1)]);
    assert_eq!(plan.new.len(), 1, "a parent that the kennel has is not made anew");
    let new = plan.at(&plan.new).next().unwrap();
    assert_eq!((new.sire_id, new.dam_id), (Some(id(1)), Some(id(2))));
    assert!(plan.new_parents.is_empty() && plan.sexed.is_empty());
}

#[test]
fn tells_the_sex_of_a_dog_by_its_role() {
    let plan = merged("id,sire\nB,A\n", &[known(1, "A", None)]).unwrap();
    assert_eq!(plan.sexed, [(id(1), Sex::Male)]);
}

#[test]
fn reports_conflicts_by_line() {
    let female = known(1, "A", Some(Sex::Female));
    let faults = merged("id,sire\nC,\nB,A\n", std::slice::from_ref(&female)).unwrap_err();
    assert_eq!(faults, [("#line/3".into(), "sire \"A\" is female in the kennel".into())]);

    let pup = KnownDog { dam_id: Some(id(1)), ..known(2, "P", None) };
    let faults = merged("id,sex\nA,M\n", &[female.clone(), pup]).unwrap_err();
    assert_eq!(faults[0].0, "#line/2");
    assert!(merged("id,sex\nA,M\n", &[female]).is_ok(), "without offspring it is a correction");

    let chipped = KnownDog { chip_number: Some("276098100123456".into()), ..known(3, "X", None) };
    let faults = merged("id,chip_number\nY,276098100123456\n", &[chipped]).unwrap_err();
    assert!(faults[0].1.contains("belongs to another dog"));

    let text = format!("id\nA\n{}\n", id(1));
    let faults = merged(&text, &[known(1, "A", None)]).unwrap_err();
    assert_eq!(
        faults,
        [("#line/3".to_owned(), format!("{:?} is the dog of line 2 too", id(1).to_string()))]
    );
}

#[test]
fn holds_births_against_those_that_the_kennel_knows() {
    let born = |text: &str| Some(text.parse().unwrap());
    let sire = KnownDog { born_on: born("2020-06"), ..known(1, "A", Some(Sex::Male)) };
    let pup = KnownDog { born_on: born("2022"), sire_id: Some(id(1)), ..known(2, "P", None) };
    let kennel = [sire, pup];
    let of = |text| merged(text, &kennel).err().map(|faults| faults[0].0.clone());
    assert_eq!(of("id,born_on,sire\nB,2020-05-03,A\n"), Some("#line/2".into()));
    assert_eq!(of("id,born_on,sire\nB,2020-07-03,A\n"), None);
    assert_eq!(of("id,born_on\nA,2023\n"), Some("#line/2".into()), "its pup is older then");
    assert_eq!(of("id,born_on\nP,2019\n"), Some("#line/2".into()), "its sire is younger then");
    assert_eq!(of("id,born_on\nA,2023\nP,2025\n"), None, "both corrected at once");
}

#[test]
fn finds_loops_through_dogs_that_the_file_does_not_name() {
    // In the kennel: 3 by 2, 2 by 1; the file makes 3 the sire of 1.
    let male = Some(Sex::Male);
    let kennel = [known(1, "A", male), KnownDog { sire_id: Some(id(2)), ..known(3, "C", male) }];
    let rows = || {
        let row = |n, sire: Option<u128>| PedigreeRow { id: id(n), sire: sire.map(id), dam: None };
        vec![row(1, None), row(2, Some(1)), row(3, Some(2))]
    };
    let plan = merged("id,sire\nA,C\n", &kennel).unwrap();
    assert_eq!(plan.new_parents, [id(1)]);
    let faults = check_new_parents(&plan, rows()).unwrap_err();
    assert_eq!((faults.len(), &*faults[0].pointer), (1, "#line/2"));
    let harmless = merged("id,sire\nA,D\n", &kennel).unwrap();
    assert_eq!(check_new_parents(&harmless, rows()), Ok(()));
}

/// Without ids a row is known by its chip, its entry in a register or its name, and parents by their names.
#[test]
fn rows_without_ids_are_known_by_what_they_say() {
    let named = |n, name: &str, sex| KnownDog {
        name: Some(name.into()),
        imported_id: None,
        ..known(n, "", sex)
    };
    let male = Some(Sex::Male);
    let chipped = KnownDog { chip_number: Some("276098100123456".into()), ..named(1, "Rex", male) };
    let registered = KnownDog { numbers: vec!["SB 10/2".into()], ..named(2, "Castor", male) };
    let kennel = [chipped, registered, named(3, "Alma", Some(Sex::Female))];
    let text = "name,chip_number,registrations,sire,dam\n\
        Old Rex,276098100123456,,,\n\
        C.,,Stud book: SB 10/2,,\n\
        Juno,,,rex,ÁLMA\n\
        Pip,,,SB10/2,Juno\n\
        Bee,,,Nobody,\n";
    let plan = merged(text, &kennel).unwrap();
    let mut known: Vec<Uuid> = plan.at(&plan.known).map(|dog| dog.id).collect();
    known.sort();
    assert_eq!(known, [id(1), id(2)]);
    let new = |name: &str| {
        plan.at(&plan.new).find(|dog| dog.stated.name.as_deref() == Some(name)).unwrap()
    };
    assert_eq!((new("Juno").sire_id, new("Juno").dam_id), (Some(id(1)), Some(id(3))));
    assert_eq!((new("Pip").sire_id, new("Pip").dam_id), (Some(id(2)), Some(new("Juno").id)));
    assert_eq!(new("Bee").sire_id, Some(new("Nobody").id));
    assert!(
        plan.at(&plan.new).all(|dog| dog.stated.without_id),
        "none keeps an id that the file did not give"
    );
    assert_eq!(plan.new.len(), 4);
}

#[test]
fn a_parent_that_is_made_up_is_told_by_its_first_line() {
    let today = NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
    let told = |text: &str| {
        let file = read(text.as_bytes(), &ImportHow::default(), today).unwrap().among(&[]).unwrap();
        let mut next = 0;
        let merged = merge(file, &[], || {
            next += 1;
            id(next)
        });
        let mut told: Vec<_> = merged
            .made_up
            .into_iter()
            .map(|parent| (parent.line, parent.role, parent.name))
            .collect();
        told.sort();
        told
    };
    let rex = || (3_u64, "sire", "Rex".to_owned());
    assert_eq!(
        told("name,sire\nJuno,\nPip,Rex\nBee,REX\n"),
        [rex()],
        "one dog, however it is spelled"
    );
    assert_eq!(told("id,sire,dam\nA,,\nB,Rex,A\nC,Rex,B\n"), [rex()]);
    assert!(told("id,sire\nA,\nB,A\n").is_empty());
}
