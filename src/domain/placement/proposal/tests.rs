use super::*;

const ALL: [WishKind; 5] =
    [WishKind::Sex, WishKind::Colour, WishKind::Purpose, WishKind::Litter, WishKind::Date];

fn buyers(count: u128) -> Vec<WaitingBuyer> {
    let buyer = |n| WaitingBuyer { buyer_id: Uuid::from_u128(n), wishes: BuyerWishes::default() };
    (1..=count).map(buyer).collect()
}

fn pups(count: u128) -> Vec<FreePup> {
    let pup = |n| FreePup {
        dog_id: Uuid::from_u128(1_000_000 + n),
        name: format!("pup {n}"),
        litter_id: None,
        sex: None,
        colour: None,
        suited_for: Vec::new(),
        ready_on: None,
    };
    (1..=count).map(pup).collect()
}

/// The cost of one pup for each of these buyers, of whose wishes it meets so many.
fn costs(buyers: &[WaitingBuyer], met: &[usize]) -> Vec<i64> {
    let fare = |met: &usize| WishesFare { met: ALL[..*met].to_vec(), ..WishesFare::default() };
    let of = met.iter().map(|met| vec![fare(met)]).collect();
    let served: Vec<usize> = (0..buyers.len()).collect();
    let fares = Fares { buyers, pups: &pups(1), of };
    fares.cost(&served).into_iter().map(|row| row[0]).collect()
}

/// Three buyers: a wish counts 5·3·3 + 1 = 46 and one for each who stands there or behind.
#[test]
fn a_wish_counts_for_itself_and_for_those_behind() {
    assert_eq!(costs(&buyers(3), &[2, 1, 1]), [-2 * (46 + 3), -(46 + 2), -(46 + 1)]);
    assert_eq!(costs(&buyers(3), &[0, 5, 0]), [0, -5 * (46 + 2), 0]);
    // What is refused outweighs all that four buyers could gain.
    let mut refusing = buyers(3);
    refusing[1].wishes.must = vec![WishKind::Date];
    let refused = (5 * 46 + 5 * 3) * 4;
    assert_eq!(costs(&refusing, &[1, 4, 1]), [-49, refused, -47]);
    assert_eq!(costs(&refusing, &[1, 5, 1]), [-49, -5 * (46 + 2), -47]);
}

/// One more wish of whoever stands last goes before every weight of places, and a pup that must not be
/// goes before every wish.
#[test]
fn no_weight_of_places_outweighs_a_wish() {
    for count in 1..=40_usize {
        let buyers = buyers(count as u128);
        let (none, all) = (vec![0; count], vec![5; count]);
        let most_gained: i64 = -costs(&buyers, &all).iter().sum::<i64>();
        let mut last = none.clone();
        last[count - 1] = 1;
        let one_wish = -costs(&buyers, &last)[count - 1] - 1;
        let by_places = most_gained - 5 * one_wish * count as i64;
        assert_eq!(by_places as usize, 5 * count * (count + 1) / 2);
        assert!(one_wish > by_places, "{count}");
        let refusing: Vec<WaitingBuyer> = buyers
            .into_iter()
            .map(|mut buyer| {
                buyer.wishes.must = vec![WishKind::Sex];
                buyer
            })
            .collect();
        assert!(costs(&refusing, &none)[0] > most_gained, "{count}");
    }
}

#[test]
fn a_waiting_list_has_a_thousand_places() {
    let at = |buyers: &[WaitingBuyer], pups: &[FreePup]| -> Vec<String> {
        let faults = check(buyers, pups).err().unwrap_or_default();
        faults.into_iter().map(|fault| fault.pointer).collect()
    };
    assert_eq!([999, 1_000].map(|count| at(&buyers(count), &[])), [vec![], Vec::<String>::new()]);
    assert_eq!(at(&buyers(1_001), &[]), ["/buyers"]);
    assert_eq!([999, 1_000].map(|count| at(&[], &pups(count))), [vec![], Vec::<String>::new()]);
    assert_eq!(at(&[], &pups(1_001)), ["/pups"]);
    let twice = [buyers(2), buyers(1)].concat();
    assert_eq!(at(&twice, &pups(1)), ["/buyers/2"]);
}

#[test]
fn each_wish_is_called_by_its_name() {
    assert_eq!(names(&ALL), "sex, colour, purpose, litter, date");
    assert_eq!(names(&ALL[1..2]), "colour");
}

/// What is not on record of a pup is said, and a pup that nobody would take is no better one.
#[test]
fn the_reason_names_what_is_not_known_and_who_got_the_better_pup() {
    let black = |must: &[WishKind]| BuyerWishes {
        colour: Some("black".into()),
        must: must.to_vec(),
        ..BuyerWishes::default()
    };
    let waiting = |wishes: [BuyerWishes; 2]| {
        let mut waiting = buyers(2);
        for (buyer, wishes) in waiting.iter_mut().zip(wishes) {
            buyer.wishes = wishes;
        }
        waiting
    };
    let mut litter = pups(2);
    litter[1].colour = Some("black".into());
    let said = |buyers: &[WaitingBuyer], pups: &[FreePup]| -> Vec<String> {
        let proposal = propose(buyers, pups).unwrap();
        proposal.pairs.iter().map(|pair| pair.reason.to_string()).collect()
    };
    assert_eq!(
        said(&waiting([black(&[]), black(&[])]), &litter),
        [
            "Place 1 of 2. Met: colour. No free pup meets more.",
            "Place 2 of 2. Not known: colour. More would be met, but pup 2 goes to place 1.",
        ]
    );
    // Nobody gets the better pup: it stays free, and is offered.
    assert_eq!(
        said(&waiting([black(&[]), BuyerWishes::default()])[..1], &litter),
        ["Place 1 of 1. Met: colour. No free pup meets more."]
    );
    let nobody = propose(&buyers(1), &[]).unwrap();
    assert_eq!(nobody.unplaced[0].reason, "Place 1 of 1. There is no free pup.");
    assert_eq!(nobody.objective.len(), 4);
}
