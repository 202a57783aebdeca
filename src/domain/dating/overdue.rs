//! From when a dam is overdue, by every way of counting that the evidence allows.
//!
//! A placenta fails soon after the due day, so the limits lie close behind it: two days after it
//! the vet is rung, three days after it called. Who knows only the mating must allow for semen
//! that lived for days, and who knows a scan for its error.

use super::{DatingEvidence, DatingInput, EvidenceKind, EvidenceLine};
use crate::{
    advice::{Caution, CautionCode, Level},
    day_chances::shift,
    rules::Rules,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

/// What a limit of the length of pregnancy is counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum OverdueFrom {
    /// The LH surge.
    LhSurge,
    /// The first progesterone rise.
    ProgesteroneRise,
    /// Ovulation.
    Ovulation,
    /// The first day of dioestrus.
    Dioestrus,
    /// The due day told by an ultrasound measure.
    Ultrasound,
    /// The due day that a vet foretold.
    Forecast,
    /// The first mating.
    FirstMating,
    /// The last day of the window of all evidence.
    Window,
}

impl OverdueFrom {
    /// As it stands in a sentence after "from" or "after".
    pub(crate) fn text(self) -> Text {
        match self {
            Self::LhSurge => said!("dating-from-lh-surge"),
            Self::ProgesteroneRise => said!("dating-from-progesterone-rise"),
            Self::Ovulation => said!("dating-from-ovulation"),
            Self::Dioestrus => said!("dating-from-dioestrus"),
            Self::Ultrasound => said!("dating-from-ultrasound"),
            Self::Forecast => said!("dating-from-forecast"),
            Self::FirstMating => said!("dating-from-first-mating"),
            Self::Window => said!("dating-from-window"),
        }
    }

    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::LhSurge => "the LH surge",
            Self::ProgesteroneRise => "the first progesterone rise",
            Self::Ovulation => "ovulation",
            Self::Dioestrus => "the first day of dioestrus",
            Self::Ultrasound => "the due day by ultrasound",
            Self::Forecast => "the due day foretold by the vet",
            Self::FirstMating => "the first mating",
            Self::Window => "the end of the due window",
        }
    }
}

/// The days from which a dam is overdue, by one way of counting.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OverdueLimit {
    /// What it is counted from.
    pub counted_from: OverdueFrom,
    /// The day that it is counted from.
    #[schema(example = "2024-01-03")]
    pub counted_from_on: NaiveDate,
    /// From this day on the vet is rung: dam and pups have to be checked that day.
    #[schema(example = "2024-03-08")]
    pub ring_on: NaiveDate,
    /// From this day on the vet is called at once; `None` where this way of counting is too vague.
    #[schema(example = "2024-03-09")]
    pub call_on: Option<NaiveDate>,
    /// Where the days come from.
    pub source: String,
}

impl OverdueLimit {
    /// How grave it is on a day; `None` before the first limit.
    pub(crate) fn level_on(&self, day: NaiveDate) -> Option<Level> {
        match self.call_on {
            Some(call_on) if day >= call_on => Some(Level::Emergency),
            _ => (day >= self.ring_on).then_some(Level::Act),
        }
    }
}

/// Every limit that the evidence gives, the first to be reached before the others; none once born.
///
/// `lines` are the evidence's own due days, `window_end` the last day of the window of all
/// evidence as it was foretold. The mating counts fully only where nothing better dates the
/// ovulation, a scan or a forecast only where no hormone or smear does.
pub(super) fn limits(
    input: &DatingInput,
    lines: &[EvidenceLine],
    ovulation_on: Option<NaiveDate>,
    window_end: NaiveDate,
    rules: &Rules,
) -> Vec<OverdueLimit> {
    if input.whelped_on.is_some() {
        return Vec::new();
    }
    let counter = Counter { rules };
    let mut found: Vec<OverdueLimit> =
        input.evidence.iter().filter_map(|item| counter.of_ovulation(item)).collect();
    let timed = !found.is_empty();
    if timed {
        found.extend(ovulation_on.map(|on| counter.ovulation(on)));
    }
    let told = |kind| lines.iter().filter(move |line| line.kind == kind).filter_map(|l| l.likely);
    if !timed {
        let scans = told(EvidenceKind::Ultrasound).map(|due| (OverdueFrom::Ultrasound, due));
        let vets = told(EvidenceKind::Forecast).map(|due| (OverdueFrom::Forecast, due));
        found.extend(scans.chain(vets).map(|(from, due)| {
            counter.after(from, due, ["dating.overdue_scan_days", "dating.call_scan_days"])
        }));
    }
    let dated = timed || lines.iter().any(|line| dates_alone(line.kind));
    found.extend(first_mating(input).map(|on| counter.mating(on, dated)));
    found.push(OverdueLimit {
        counted_from: OverdueFrom::Window,
        counted_from_on: window_end,
        ring_on: shift(window_end, 1),
        call_on: None,
        source: rules.get("dating.coverage").source.clone(),
    });
    found.sort_by_key(|limit| (limit.ring_on, limit.counted_from, limit.counted_from_on));
    found.dedup();
    found
}

/// Whether evidence tells the due day better than a mating does.
fn dates_alone(kind: EvidenceKind) -> bool {
    matches!(kind, EvidenceKind::Ultrasound | EvidenceKind::Forecast | EvidenceKind::Radiograph)
}

fn first_mating(input: &DatingInput) -> Option<NaiveDate> {
    let of = |item: &DatingEvidence| match item {
        DatingEvidence::Mating { on, .. } => Some(*on),
        _ => None,
    };
    input.evidence.iter().filter_map(of).min()
}

struct Counter<'a> {
    rules: &'a Rules,
}

impl Counter<'_> {
    /// The day after more than so many days.
    #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
    fn past(&self, on: NaiveDate, rule: &'static str) -> NaiveDate {
        shift(on, self.rules.value(rule).floor() as i64 + 1)
    }

    fn after(
        &self,
        counted_from: OverdueFrom,
        on: NaiveDate,
        [ring, call]: [&'static str; 2],
    ) -> OverdueLimit {
        OverdueLimit {
            counted_from,
            counted_from_on: on,
            ring_on: self.past(on, ring),
            call_on: Some(self.past(on, call)),
            source: self.rules.get(call).source.clone(),
        }
    }

    fn ovulation(&self, on: NaiveDate) -> OverdueLimit {
        let rules = ["dating.overdue_ovulation_days", "dating.call_ovulation_days"];
        self.after(OverdueFrom::Ovulation, on, rules)
    }

    fn of_ovulation(&self, item: &DatingEvidence) -> Option<OverdueLimit> {
        let (from, on, rules) = match item {
            DatingEvidence::LhSurge { on } => {
                (OverdueFrom::LhSurge, on, ["dating.overdue_lh_days", "dating.call_lh_days"])
            }
            DatingEvidence::ProgesteroneRise { on } => (
                OverdueFrom::ProgesteroneRise,
                on,
                ["dating.overdue_progesterone_rise_days", "dating.call_progesterone_rise_days"],
            ),
            DatingEvidence::Dioestrus { on } => (
                OverdueFrom::Dioestrus,
                on,
                ["dating.overdue_dioestrus_days", "dating.call_dioestrus_days"],
            ),
            DatingEvidence::Ovulation { on, .. } => return Some(self.ovulation(*on)),
            _ => return None,
        };
        Some(self.after(from, *on, rules))
    }

    /// With better evidence the mating's own limit, when it is reached, only asks for a check.
    fn mating(&self, on: NaiveDate, dated: bool) -> OverdueLimit {
        let rules = ["dating.overdue_mating_days", "dating.call_mating_days"];
        let alone = self.after(OverdueFrom::FirstMating, on, rules);
        match alone.call_on {
            Some(call_on) if dated => OverdueLimit { ring_on: call_on, call_on: None, ..alone },
            _ => alone,
        }
    }
}

/// One caution for all limits that are reached by `today`, as grave as the gravest.
pub(super) fn caution(limits: &[OverdueLimit], today: NaiveDate) -> Option<Caution> {
    let reached: Vec<(Level, &OverdueLimit)> = limits
        .iter()
        .filter_map(|limit| limit.level_on(today).map(|level| (level, limit)))
        .collect();
    let (level, gravest) = *reached
        .iter()
        .max_by_key(|(level, limit)| (*level, limit.counted_from != OverdueFrom::Window))?;
    let what = match level {
        Level::Emergency => said!("dating-overdue-emergency"),
        _ => said!("dating-overdue-act"),
    };
    let grounds = reached
        .iter()
        .map(|(_, limit)| ground(limit, today))
        .reduce(|begin, end| said!("dating-grounds-more", begin = begin, end = end))?;
    let why = said!("dating-grounds", grounds = grounds);
    Some(Caution::new(CautionCode::OverduePregnancy, level, what, why, gravest.source.clone()))
}

fn ground(limit: &OverdueLimit, today: NaiveDate) -> Text {
    let (from, counted_on) = (limit.counted_from.text(), limit.counted_from_on);
    let days = (today - counted_on).num_days();
    let limits = |from: NaiveDate| (from - limit.counted_from_on).num_days();
    match (limit.counted_from, limit.call_on) {
        (OverdueFrom::Window, _) => {
            said!("dating-ground-window", day = counted_on)
        }
        (OverdueFrom::Ultrasound | OverdueFrom::Forecast, Some(call)) => said!(
            "dating-ground-after-due",
            days = days,
            from = from,
            day = counted_on,
            ring_days = limits(limit.ring_on),
            call_days = limits(call)
        ),
        (_, Some(call)) => said!(
            "dating-ground-call",
            days = days,
            from = from,
            ring_days = limits(limit.ring_on),
            call_days = limits(call)
        ),
        (_, None) => {
            said!("dating-ground-ring", days = days, from = from, ring_days = limits(limit.ring_on))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        dating::{OvulationBasis, due_window},
        record::{MatingMethod, MeasureKind},
    };

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn input(today: NaiveDate, evidence: Vec<DatingEvidence>) -> DatingInput {
        DatingInput {
            today,
            now: None,
            heat_began_on: None,
            whelped_on: None,
            breed: None,
            adult_weight_g: Some(8_000.0),
            chance_small_litter: None,
            temperature_fell: None,
            signs: Vec::new(),
            evidence,
        }
    }

    /// The gravest caution that says overdue, on a day after `from`.
    fn level(evidence: &[DatingEvidence], from: &str, days: i64) -> Option<Level> {
        let today = shift(day(from), days);
        let found = due_window(&input(today, evidence.to_vec()), &Rules::standard()).unwrap();
        let overdue: Vec<_> =
            found.cautions.iter().filter(|c| c.what.contains("overdue")).collect();
        assert!(overdue.len() <= 1, "one cause, one caution: {overdue:?}");
        overdue.first().map(|caution| caution.level)
    }

    fn mating(on: &str) -> DatingEvidence {
        DatingEvidence::Mating { on: day(on), method: MatingMethod::Natural }
    }

    /// Concannon: whelping on LH + 64 to 66, which is ovulation + 62 to 64; Lopate 2018: the
    /// placenta fails more than 2 days past due. On each limit, one day before, one after.
    #[test]
    fn each_way_of_counting_has_its_two_limits() {
        let on = day("2024-01-03");
        let ovulation = |basis| {
            vec![DatingEvidence::Ovulation { on, basis, sd_days: None }, mating("2024-01-04")]
        };
        for (evidence, ring, call) in [
            (ovulation(OvulationBasis::Other), 65, 66),
            (ovulation(OvulationBasis::Progesterone), 65, 66),
            (vec![DatingEvidence::LhSurge { on }], 67, 68),
            (vec![DatingEvidence::ProgesteroneRise { on }], 67, 68),
            (vec![DatingEvidence::Dioestrus { on }], 59, 60),
            (vec![mating("2024-01-03")], 70, 72),
        ] {
            let at = |days| level(&evidence, "2024-01-03", days);
            assert_eq!(at(ring - 1), None, "{evidence:?}");
            assert_eq!(at(ring), Some(Level::Act), "{evidence:?}");
            assert_eq!(at(call - 1), Some(Level::Act), "{evidence:?}");
            assert_eq!(at(call), Some(Level::Emergency), "{evidence:?}");
            assert_eq!(at(call + 1), Some(Level::Emergency), "{evidence:?}");
        }
    }

    /// 25.84 mm in a small dam is 28.0 days before whelping (Luvoni and Grioni): due on 6 March.
    #[test]
    fn a_scan_counts_where_nothing_better_does() {
        let scan = DatingEvidence::Ultrasound {
            on: day("2024-02-07"),
            measure: MeasureKind::Icc,
            values_mm: vec![25.84],
        };
        let vet = DatingEvidence::Forecast {
            on: day("2024-02-07"),
            due_on: day("2024-03-06"),
            sd_days: None,
        };
        for told in [scan.clone(), vet] {
            let late = |days| level(std::slice::from_ref(&told), "2024-03-06", days);
            assert_eq!([late(1), late(2), late(3)], [None, Some(Level::Act), Some(Level::Act)]);
            assert_eq!([late(4), late(5)], [Some(Level::Emergency); 2]);
        }
        // The LH surge says 10 March: the scan does not overrule it.
        let both = vec![scan, DatingEvidence::LhSurge { on: day("2024-01-05") }];
        assert_eq!(level(&both, "2024-03-06", 4), None);
    }

    #[test]
    fn a_mating_beside_better_evidence_never_calls_by_itself() {
        // A mating a week before the LH surge, and one that took.
        let surge = DatingEvidence::LhSurge { on: day("2024-01-10") };
        let both = vec![mating("2024-01-03"), mating("2024-01-11"), surge];
        assert_eq!(level(&both, "2024-01-03", 71), None);
        assert_eq!(level(&both, "2024-01-03", 72), Some(Level::Act));
    }

    #[test]
    fn a_window_that_has_passed_stays_where_it_was() {
        let evidence = vec![DatingEvidence::LhSurge { on: day("2024-01-01") }];
        let on = |today: &str| {
            due_window(&input(day(today), evidence.clone()), &Rules::standard()).unwrap()
        };
        let (before, last) = (on("2024-02-20"), on("2024-03-07"));
        assert_eq!((before.likely, before.latest), (day("2024-03-06"), day("2024-03-07")));
        assert!(!before.passed && !last.passed);
        assert_eq!(last.likely, day("2024-03-07"), "not born by today, so not before it");
        for later in ["2024-03-08", "2024-03-09", "2024-03-20"] {
            let found = on(later);
            assert!(found.passed, "{later}");
            assert_eq!(
                (found.earliest, found.likely, found.latest),
                (before.earliest, before.likely, before.latest),
                "{later}"
            );
            assert!(found.chance_by_day.iter().all(|c| c.day >= day(later)), "days to come only");
        }
        assert_eq!(on("2024-03-08").overdue_limits, before.overdue_limits);
        assert_eq!(before.overdue_limits[0].ring_on, day("2024-03-08"));
        assert_eq!(before.overdue_limits[0].call_on, Some(day("2024-03-09")));
    }

    #[test]
    fn nothing_is_overdue_once_born() {
        let born = DatingInput {
            whelped_on: Some(day("2024-03-12")),
            ..input(day("2024-03-20"), vec![DatingEvidence::LhSurge { on: day("2024-01-01") }])
        };
        let found = due_window(&born, &Rules::standard()).unwrap();
        assert!(found.overdue_limits.is_empty() && !found.passed);
    }
}
