//! Where a plan may go wrong, each with its chance.

use super::{ClashKind, DateSpan, PlannerClash, PlannerInput, Reckoned, WhelpingPlace, whole};
use crate::{
    day_chances::{DayChances, shift},
    listing::commas,
    rules::Rules,
};
use catalogue::{Text, figure, said};
use chrono::NaiveDate;

/// Chance that two independent births fall at most `apart` days from one another.
pub(super) fn same_nights(a: &DayChances, b: &DayChances, apart: i64) -> f64 {
    a.iter().map(|(day, p)| p * b.between(shift(day, -apart), shift(day, apart))).sum()
}

/// Every clash whose chance is worth telling.
pub(super) fn find(
    input: &PlannerInput,
    litters: &[Reckoned<'_>],
    rules: &Rules,
) -> Vec<PlannerClash> {
    let least = rules.value("planner.clash_from");
    let mut found = births(input.span, litters, rules);
    found.extend(away(input, litters));
    found.retain(|c| c.chance >= least);
    let all: Vec<&Reckoned<'_>> = litters.iter().collect();
    let places = place_shortage(input.span, &input.places, &all, rules);
    found.extend(runs(&places, least, ClashKind::NoPlace, &all, rules));
    found.extend(taken(input, &all, least, rules));
    let hands = hands_shortage(input, litters, rules);
    found.extend(runs(&hands, least, ClashKind::TooFewHands, &all, rules));
    found.sort_by(|a, b| (a.from, &a.litters).cmp(&(b.from, &b.litters)));
    found
}

/// Pairs of births on the same nights.
pub(super) fn births(span: DateSpan, litters: &[Reckoned<'_>], rules: &Rules) -> Vec<PlannerClash> {
    let apart = whole(rules, "planner.same_nights_days");
    let coverage = rules.value("planner.coverage");
    let mut found = Vec::new();
    for (i, a) in litters.iter().enumerate() {
        for b in &litters[i + 1..] {
            crate::stop::look();
            // A litter born already whelps no more.
            let both_due = [a, b].iter().all(|r| r.chances.last() >= span.from);
            if a.litter.dam_id == b.litter.dam_id || !both_due {
                continue;
            }
            let both = a.litter.chance_of_litter * b.litter.chance_of_litter;
            let chance = both * same_nights(&a.chances, &b.chances, apart);
            let (sa, sb) = (a.chances.shortest_span(coverage), b.chances.shortest_span(coverage));
            let (from, to) = (sa.earliest.max(sb.earliest), sa.latest.min(sb.latest));
            found.push(PlannerClash {
                kind: ClashKind::SameNights,
                chance,
                from: from.min(to),
                to: from.max(to),
                litters: vec![a.litter.key.clone(), b.litter.key.clone()],
                person_id: None,
                detail: said!(
                    "planner-same-nights",
                    one = &a.litter.name,
                    other = &b.litter.name,
                    days = apart,
                    percent = figure(100.0 * chance, 0)
                ),
            });
        }
    }
    found
}

/// Births while a person is away.
pub(super) fn away(input: &PlannerInput, litters: &[Reckoned<'_>]) -> Vec<PlannerClash> {
    let mut found = Vec::new();
    for person in &input.people {
        for away in &person.away {
            let (from, to) = (away.from.max(input.span.from), away.to.min(input.span.to));
            for r in litters.iter().filter(|_| from <= to) {
                let chance = r.litter.chance_of_litter * r.chances.between(from, to);
                if chance <= 0.0 {
                    continue;
                }
                found.push(PlannerClash {
                    kind: ClashKind::PersonAway,
                    chance,
                    from,
                    to,
                    litters: vec![r.litter.key.clone()],
                    person_id: Some(person.id),
                    detail: said!(
                        "planner-person-away",
                        person = &person.name,
                        from = from,
                        to = to,
                        litter = &r.litter.name,
                        percent = figure(100.0 * chance, 0)
                    ),
                });
            }
        }
    }
    found
}

/// Law of a sum of independent needs; each need is (amount, chance) beside needing nothing.
fn sum_of_needs(needs: &[Vec<(usize, f64)>]) -> Vec<f64> {
    let mut law = vec![1.0];
    for need in needs {
        let most = need.iter().map(|(amount, _)| *amount).max().unwrap_or(0);
        let nothing = 1.0 - need.iter().map(|(_, chance)| chance).sum::<f64>();
        let mut next = vec![0.0; law.len() + most];
        for (n, p) in law.iter().enumerate() {
            next[n] += p * nothing.max(0.0);
            for (amount, chance) in need {
                next[n + amount] += p * chance;
            }
        }
        law = next;
    }
    law
}

fn days(span: DateSpan) -> impl Iterator<Item = NaiveDate> {
    span.from.iter_days().take_while(move |day| *day <= span.to)
}

/// Chance that a litter's birth lies so that `day` is within `before` and `after` days of it.
fn around(r: &Reckoned<'_>, day: NaiveDate, before: i64, after: i64) -> f64 {
    r.litter.chance_of_litter * r.chances.between(shift(day, -after), shift(day, before))
}

/// Places that the litters put there cannot share, or not on those days.
fn taken(
    input: &PlannerInput,
    litters: &[&Reckoned<'_>],
    least: f64,
    rules: &Rules,
) -> Vec<PlannerClash> {
    let of_place = |place: &WhelpingPlace| {
        let put: Vec<&Reckoned<'_>> =
            litters.iter().copied().filter(|r| r.litter.place_id == Some(place.id)).collect();
        let short = place_shortage(input.span, std::slice::from_ref(place), &put, rules);
        let mut found = runs(&short, least, ClashKind::PlaceTaken, &put, rules);
        for clash in &mut found {
            clash.detail = said!("about", label = &place.name, what = &clash.detail);
        }
        found
    };
    input.places.iter().flat_map(of_place).collect()
}

/// Chance, for each day of the span, that more litters need one of the places than they take;
/// nothing when no list is kept.
pub(super) fn place_shortage(
    span: DateSpan,
    places: &[WhelpingPlace],
    litters: &[&Reckoned<'_>],
    rules: &Rules,
) -> Vec<(NaiveDate, f64)> {
    if places.is_empty() {
        return Vec::new();
    }
    let (before, after) =
        (whole(rules, "planner.place_before_days"), whole(rules, "planner.place_after_days"));
    let short = |day: NaiveDate| {
        crate::stop::look();
        let open = places.iter().filter(|p| !p.closed.iter().any(|c| c.holds(day)));
        let capacity: usize =
            open.map(|p| usize::try_from(p.capacity).unwrap_or(usize::MAX / 1024)).sum();
        let chances = litters.iter().map(|r| around(r, day, before, after));
        let needs: Vec<_> =
            chances.filter(|chance| *chance > 0.0).map(|chance| vec![(1, chance)]).collect();
        sum_of_needs(&needs).iter().skip(capacity + 1).sum()
    };
    days(span).map(|day| (day, short(day))).collect()
}

/// Chance, for each day of the span, that litters need more people than are there.
pub(super) fn hands_shortage(
    input: &PlannerInput,
    litters: &[Reckoned<'_>],
    rules: &Rules,
) -> Vec<(NaiveDate, f64)> {
    if input.people.is_empty() {
        return Vec::new();
    }
    let nights = whole(rules, "planner.birth_nights");
    let after = whole(rules, "planner.critical_after_days");
    let hands = |key| usize::try_from(whole(rules, key)).unwrap_or(0);
    let (birth_hands, critical_hands) =
        (hands("planner.birth_hands"), hands("planner.critical_hands"));
    let short = |day: NaiveDate| {
        crate::stop::look();
        let present = input.people.iter().filter(|p| !p.away.iter().any(|a| a.holds(day))).count();
        let needs: Vec<_> = litters
            .iter()
            .filter_map(|r| {
                let birth = around(r, day, nights, nights);
                let all = around(r, day, nights, after);
                let needs = vec![(birth_hands, birth), (critical_hands, (all - birth).max(0.0))];
                (birth > 0.0 || all > 0.0).then_some(needs)
            })
            .collect();
        sum_of_needs(&needs).iter().skip(present + 1).sum()
    };
    days(input.span).map(|day| (day, short(day))).collect()
}

/// Runs of days whose chance is at least `least`, as clashes.
fn runs(
    chances: &[(NaiveDate, f64)],
    least: f64,
    kind: ClashKind,
    litters: &[&Reckoned<'_>],
    rules: &Rules,
) -> Vec<PlannerClash> {
    let (before, after) = match kind {
        ClashKind::NoPlace | ClashKind::PlaceTaken => {
            ("planner.place_before_days", "planner.place_after_days")
        }
        _ => ("planner.birth_nights", "planner.critical_after_days"),
    };
    let (before, after) = (whole(rules, before), whole(rules, after));
    chances
        .chunk_by(|a, b| (a.1 >= least) == (b.1 >= least))
        .filter(|run| run.first().is_some_and(|(_, p)| *p >= least))
        .filter_map(|run| {
            let (from, to) = (run.first()?.0, run.last()?.0);
            let (worst, chance) = *run.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
            let concerned: Vec<&Reckoned<'_>> = litters
                .iter()
                .copied()
                .filter(|r| around(r, worst, before, after) >= least)
                .collect();
            Some(PlannerClash {
                kind,
                chance,
                from,
                to,
                litters: concerned.iter().map(|r| r.litter.key.clone()).collect(),
                person_id: None,
                detail: shortage(kind, DateSpan { from, to }, (worst, chance), &concerned),
            })
        })
        .collect()
}

/// A run of days on which something is short, in a sentence.
fn shortage(
    kind: ClashKind,
    DateSpan { from, to }: DateSpan,
    (worst, chance): (NaiveDate, f64),
    concerned: &[&Reckoned<'_>],
) -> Text {
    let litters = commas(concerned.iter().map(|r| r.litter.name.clone()));
    let percent = figure(100.0 * chance, 0);
    match kind {
        ClashKind::NoPlace => said!(
            "planner-no-place",
            from = from,
            to = to,
            worst = worst,
            percent = percent,
            litters = litters
        ),
        ClashKind::PlaceTaken => said!(
            "planner-place-taken",
            from = from,
            to = to,
            worst = worst,
            percent = percent,
            litters = litters
        ),
        _ => said!(
            "planner-too-few-hands",
            from = from,
            to = to,
            worst = worst,
            percent = percent,
            litters = litters
        ),
    }
}
