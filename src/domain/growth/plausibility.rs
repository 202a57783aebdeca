//! Is a new weight what was meant: unit mixed up, digit slipped, another pup?

use super::model::GrowthModel;
use super::series::{GrowthLitter, GrowthPup, Weighing, age_days};
use crate::fault::{Fault, Faults};
use crate::rules::Rules;
use crate::units::{GRAMS_PER_KILOGRAM, GRAMS_PER_OUNCE, GRAMS_PER_POUND};
use catalogue::{Text, figure, said};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// What is thought of a new weight.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[serde(tag = "verdict", rename_all = "snake_case")]
pub enum WeightVerdict {
    /// It fits.
    Plausible,
    /// It does not fit: ask before it counts. Confirmed, it is kept as it is.
    Implausible(ImplausibleWeight),
}

/// Why a weight does not fit and what was probably meant.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ImplausibleWeight {
    /// The kind of misfit.
    pub reason: ImplausibleReason,
    /// In one plain sentence.
    #[schema(
        value_type = String,
        example = "0.412 g is far from the 350 to 480 g expected; 412 g in kilograms?"
    )]
    pub detail: Text,
    /// Lower end of what was expected, in grams.
    #[schema(example = 350.0)]
    pub expected_low_g: f64,
    /// Upper end of what was expected, in grams.
    #[schema(example = 480.0)]
    pub expected_high_g: f64,
    /// What was probably meant, the likeliest first, at most three.
    pub likely_meant: Vec<LikelyWeight>,
}

/// The kind of misfit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ImplausibleReason {
    /// Right in another unit.
    WrongUnit,
    /// Right with a digit changed, dropped, doubled or two exchanged.
    DigitSlip,
    /// Right for a littermate.
    OtherPup,
    /// More than its dam.
    HeavierThanDam,
    /// Too much, no explanation found.
    TooHeavy,
    /// Too little, no explanation found.
    TooLight,
}

/// A weight that was probably meant.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LikelyWeight {
    /// In grams.
    #[schema(example = 412.0)]
    pub weight_g: f64,
    /// What would have happened.
    #[schema(value_type = String, example = "written in kilograms")]
    pub how: Text,
    /// The littermate whose weight it would be.
    pub dog_id: Option<Uuid>,
}

/// Judges a new weight of a pup against its own series and its litter.
///
/// `new` may be older than other weights (a phone that was offline). It is implausible when it lies
/// both `growth.implausible_sd` and `growth.implausible_step` away from what the model expects, and a
/// failing pup could not have come down to it since it was last weighed.
///
/// # Errors
/// Faults of the input itself: a weight that is not positive, a time in the future or before birth, a
/// pup that is not of this litter.
pub fn plausibility(
    litter: &GrowthLitter,
    dog_id: Uuid,
    new: &Weighing,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Result<WeightVerdict, Vec<Fault>> {
    let mut known = litter.clone();
    for other in &mut known.pups {
        if other.dog_id == dog_id {
            other.weighings.retain(|w| w.id != new.id || new.id.is_none());
        }
    }
    WeightJudge::new(&known, now, rules).judge(dog_id, new)
}

/// Judges many new weights of one litter by one fit of its model.
///
/// The weights judged must not be among those of the litter.
pub(crate) struct WeightJudge<'a> {
    litter: &'a GrowthLitter,
    model: Option<GrowthModel>,
    now: DateTime<Utc>,
    rules: &'a Rules,
}

impl<'a> WeightJudge<'a> {
    /// Fits the weights known of the litter up to `now`.
    pub fn new(litter: &'a GrowthLitter, now: DateTime<Utc>, rules: &'a Rules) -> Self {
        Self { litter, model: GrowthModel::fit(litter, now, rules), now, rules }
    }

    /// Judges a new weight, as [`plausibility`] does.
    ///
    /// # Errors
    /// As [`plausibility`].
    pub fn judge(&self, dog_id: Uuid, new: &Weighing) -> Result<WeightVerdict, Vec<Fault>> {
        let Self { litter, model, now, rules } = self;
        let Some(pup) = litter.pups.iter().find(|pup| pup.dog_id == dog_id) else {
            let mut faults = Faults::new();
            faults.add("/dog_id", said!("fault-elsewhere-no-pup-of-litter"));
            return Err(faults.into_vec());
        };
        input_faults(pup, new, *now, rules)?;
        let Some(model) = model else {
            return Ok(WeightVerdict::Plausible);
        };
        let age = age_days(pup.born_at, new.measured_at).max(0.0);
        let Some(expected) = Expected::of(model, pup.dog_id, age) else {
            return Ok(beyond_norms(pup, new, rules));
        };
        let off = (new.weight_g.ln() - expected.mean).abs();
        let far = off > rules.value("growth.implausible_sd") * expected.sd
            && off > rules.value("growth.implausible_step")
            && !may_be_failing(litter, pup.dog_id, new, rules);
        let above_dam = litter
            .dam_weight_g
            .filter(|dam| new.weight_g > dam * rules.value("growth.dam_weight_multiple"));
        if !far && above_dam.is_none() {
            return Ok(WeightVerdict::Plausible);
        }
        let likely = rules.value("growth.likely_sd");
        let (found, meant) = explain(litter, model, pup, new, &expected, likely);
        let reason = match (found, above_dam) {
            (Some(reason), _) => reason,
            (None, Some(_)) => ImplausibleReason::HeavierThanDam,
            (None, None) if new.weight_g.ln() > expected.mean => ImplausibleReason::TooHeavy,
            (None, None) => ImplausibleReason::TooLight,
        };
        Ok(WeightVerdict::Implausible(verdict(reason, new.weight_g, &expected, likely, meant)))
    }
}

/// Whether a low weight is one that a failing pup may have come down to since it was last weighed.
fn may_be_failing(litter: &GrowthLitter, dog_id: Uuid, new: &Weighing, rules: &Rules) -> bool {
    let pup = litter.pups.iter().find(|pup| pup.dog_id == dog_id);
    let last = pup.and_then(|p| p.points(litter.time_zone, new.measured_at).pop());
    last.is_some_and(|last| {
        let days = (new.measured_at - last.measured_at).num_minutes() as f64 / 1440.0;
        // After more than a few days without a weight, a fall this deep would have been seen.
        let fastest =
            rules.value("growth.failing_rate") - 2.0 * rules.value("growth.failing_rate_sd");
        let least = last.weight_g * (fastest * days.min(4.0)).exp();
        (least..=last.weight_g).contains(&new.weight_g)
    })
}

fn input_faults(
    pup: &GrowthPup,
    new: &Weighing,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless(new.weight_g.is_finite() && new.weight_g > 0.0, "/weight_g", || {
        said!("fault-out-of-range-weight-above-zero")
    });
    let tolerance = rules.span("growth.clock_tolerance");
    faults.unless(new.measured_at <= now + tolerance, "/measured_at", || {
        said!("fault-in-future-weighing", now = now.to_string())
    });
    faults.unless(new.measured_at + tolerance >= pup.born_at, "/measured_at", || {
        said!("fault-too-early-before-pup-born", born_at = pup.born_at.to_string())
    });
    faults.unless(pup.left_at.is_none_or(|left| new.measured_at <= left), "/measured_at", || {
        said!("fault-too-late-pup-gone")
    });
    faults.into_result()
}

/// What a weighing should read: normal on the log scale.
struct Expected {
    mean: f64,
    sd: f64,
}

impl Expected {
    fn of(model: &GrowthModel, dog_id: Uuid, age: f64) -> Option<Self> {
        let at = model.at(dog_id, age)?;
        let sd = (at.variance + model.weighing_sd().powi(2)).sqrt();
        Some(Self { mean: at.mean, sd })
    }

    fn z(&self, weight_g: f64) -> f64 {
        ((weight_g.ln() - self.mean) / self.sd).abs()
    }
}

/// After the ages of the norms only the last weight tells, and only of gross errors.
fn beyond_norms(pup: &GrowthPup, new: &Weighing, rules: &Rules) -> WeightVerdict {
    let distance = |at: DateTime<Utc>| (at - new.measured_at).num_minutes().abs();
    let counts = |w: &&Weighing| !w.doubtful && w.weight_g > 0.0 && w.measured_at >= pup.born_at;
    let weighed = pup.weighings.iter().filter(counts);
    let Some(near) = weighed.min_by_key(|w| distance(w.measured_at)) else {
        return WeightVerdict::Plausible;
    };
    let days = distance(near.measured_at) as f64 / 1440.0;
    // The largest usual gain of a nursing pup bounds what any older one does.
    let fastest =
        super::standards::growth_norms().gain_band.iter().map(|b| b.high).fold(0.0, f64::max);
    let expected = Expected {
        mean: near.weight_g.ln(),
        sd: rules.value("growth.weighing_error") + fastest * days.min(14.0) / 2.0,
    };
    let off = (new.weight_g.ln() - expected.mean).abs();
    let limit = rules.value("growth.implausible_sd") * expected.sd;
    if off <= limit || off <= rules.value("growth.implausible_step") {
        return WeightVerdict::Plausible;
    }
    let likely = rules.value("growth.likely_sd");
    let meant = slips(new.weight_g, &expected, likely);
    let reason = meant.first().map_or(
        if new.weight_g > near.weight_g {
            ImplausibleReason::TooHeavy
        } else {
            ImplausibleReason::TooLight
        },
        |m| m.0,
    );
    let meant = meant.into_iter().map(|m| m.1).take(3).collect();
    WeightVerdict::Implausible(verdict(reason, new.weight_g, &expected, likely, meant))
}

fn verdict(
    reason: ImplausibleReason,
    weight_g: f64,
    expected: &Expected,
    likely_sd: f64,
    likely_meant: Vec<LikelyWeight>,
) -> ImplausibleWeight {
    let low = (expected.mean - likely_sd * expected.sd).exp();
    let high = (expected.mean + likely_sd * expected.sd).exp();
    let detail = far_from(weight_g, (low, high), reason, likely_meant.first());
    ImplausibleWeight { reason, detail, expected_low_g: low, expected_high_g: high, likely_meant }
}

/// A weight beside those expected, with what was probably meant.
fn far_from(
    weight_g: f64,
    (low, high): (f64, f64),
    reason: ImplausibleReason,
    meant: Option<&LikelyWeight>,
) -> Text {
    let (low_g, high_g) = (figure(low, 0), figure(high, 0));
    match (reason == ImplausibleReason::HeavierThanDam, meant) {
        (false, None) => {
            said!("growth-weight-far", weight_g = weight_g, low_g = low_g, high_g = high_g)
        }
        (false, Some(meant)) => said!(
            "growth-weight-far-meant",
            weight_g = weight_g,
            low_g = low_g,
            high_g = high_g,
            meant_g = figure(meant.weight_g, 0),
            how = &meant.how
        ),
        (true, None) => said!(
            "growth-weight-far-above-dam",
            weight_g = weight_g,
            low_g = low_g,
            high_g = high_g
        ),
        (true, Some(meant)) => said!(
            "growth-weight-far-above-dam-meant",
            weight_g = weight_g,
            low_g = low_g,
            high_g = high_g,
            meant_g = figure(meant.weight_g, 0),
            how = &meant.how
        ),
    }
}

fn explain(
    litter: &GrowthLitter,
    model: &GrowthModel,
    pup: &GrowthPup,
    new: &Weighing,
    expected: &Expected,
    likely_sd: f64,
) -> (Option<ImplausibleReason>, Vec<LikelyWeight>) {
    let mut found = slips(new.weight_g, expected, likely_sd);
    let mates = litter.pups.iter().filter(|mate| mate.dog_id != pup.dog_id).filter_map(|mate| {
        let age = age_days(mate.born_at, new.measured_at).max(0.0);
        let at = Expected::of(model, mate.dog_id, age)?;
        model.last_age(mate.dog_id)?;
        (at.z(new.weight_g) <= likely_sd).then(|| {
            let how = said!("growth-meant-other-pup", pup = &mate.label);
            let meant = LikelyWeight { weight_g: new.weight_g, how, dog_id: Some(mate.dog_id) };
            (ImplausibleReason::OtherPup, meant)
        })
    });
    // A mix-up of units or digits leaves a number that seldom fits a littermate by chance.
    let mates: Vec<_> = mates.collect();
    let place = found.iter().take_while(|f| f.0 == ImplausibleReason::WrongUnit).count();
    for (index, mate) in mates.into_iter().enumerate() {
        found.insert(place + index, mate);
    }
    (found.first().map(|f| f.0), found.into_iter().map(|f| f.1).take(3).collect())
}

/// Units in which a number of grams may have been written instead.
const UNITS: [(f64, Slip); 3] = [
    (GRAMS_PER_KILOGRAM, Slip::Kilograms),
    (GRAMS_PER_OUNCE, Slip::Ounces),
    (GRAMS_PER_POUND, Slip::Pounds),
];

/// What may have gone wrong when a weight was written.
#[derive(Debug, Clone, Copy)]
enum Slip {
    Kilograms,
    Ounces,
    Pounds,
    Point,
    Exchanged,
    DigitTooMany,
    DigitMissing,
    DigitWrong,
}

impl Slip {
    fn text(self) -> Text {
        match self {
            Self::Kilograms => said!("growth-meant-kilograms"),
            Self::Ounces => said!("growth-meant-ounces"),
            Self::Pounds => said!("growth-meant-pounds"),
            Self::Point => said!("growth-meant-point"),
            Self::Exchanged => said!("growth-meant-exchanged"),
            Self::DigitTooMany => said!("growth-meant-digit-too-many"),
            Self::DigitMissing => said!("growth-meant-digit-missing"),
            Self::DigitWrong => said!("growth-meant-digit-wrong"),
        }
    }
}

/// Weights near what is expected that a mixed-up unit or a slipped digit turns into the one written.
fn slips(
    weight_g: f64,
    expected: &Expected,
    likely_sd: f64,
) -> Vec<(ImplausibleReason, LikelyWeight)> {
    let fits = |weight_g: f64| weight_g > 0.0 && expected.z(weight_g) <= likely_sd;
    let mut found: Vec<(ImplausibleReason, LikelyWeight)> = UNITS
        .iter()
        .map(|(grams, how)| (weight_g * grams, *how))
        .filter(|(weight, _)| fits(*weight))
        .map(|(weight, how)| (ImplausibleReason::WrongUnit, likely(weight, how)))
        .collect();
    // 601.0 on the scale is easily written 6010.
    let places: &[f64] = if weight_g.fract() != 0.0 { &[10.0, 0.1, 100.0] } else { &[0.1] };
    found.extend(
        places
            .iter()
            .map(|places| weight_g * places)
            .filter(|w| fits(*w))
            .map(|weight| (ImplausibleReason::DigitSlip, likely(weight, Slip::Point))),
    );
    if weight_g.fract() != 0.0 || !(1.0..1e7).contains(&weight_g) {
        return found;
    }
    let text = format!("{weight_g:.0}");
    for (how, texts) in rewritten(&text) {
        let mut values: Vec<f64> = texts
            .iter()
            .filter(|t| !t.starts_with('0'))
            .filter_map(|t| t.parse().ok())
            .filter(|v| fits(*v))
            .collect();
        values.sort_by(|a, b| expected.z(*a).total_cmp(&expected.z(*b)));
        if let Some(best) = values.first()
            && !found.iter().any(|f| (f.1.weight_g - best).abs() < 0.5)
        {
            found.push((ImplausibleReason::DigitSlip, likely(*best, how)));
        }
    }
    found
}

fn likely(weight_g: f64, how: Slip) -> LikelyWeight {
    // A converted ounce has no use for thousandths of a gram.
    LikelyWeight { weight_g: weight_g.round(), how: how.text(), dog_id: None }
}

/// Every number one slip of the hand away, the commonest slips first.
fn rewritten(text: &str) -> Vec<(Slip, Vec<String>)> {
    let digits: Vec<char> = text.chars().collect();
    let join = |d: &[char]| d.iter().collect::<String>();
    let each = || 0..digits.len();
    let exchanged = each()
        .skip(1)
        .map(|i| {
            let mut d = digits.clone();
            d.swap(i - 1, i);
            join(&d)
        })
        .collect();
    let without = each()
        .map(|i| {
            let mut d = digits.clone();
            d.remove(i);
            join(&d)
        })
        .collect();
    let with = (0..=digits.len())
        .flat_map(|i| ('0'..='9').map(move |digit| (i, digit)))
        .map(|(i, digit)| {
            let mut d = digits.clone();
            d.insert(i, digit);
            join(&d)
        })
        .collect();
    let changed = each()
        .flat_map(|i| ('0'..='9').map(move |digit| (i, digit)))
        .filter_map(|(i, digit)| {
            let mut d = digits.clone();
            *d.get_mut(i)? = digit;
            Some(join(&d))
        })
        .collect();
    vec![
        (Slip::Exchanged, exchanged),
        (Slip::DigitTooMany, without),
        (Slip::DigitMissing, with),
        (Slip::DigitWrong, changed),
    ]
}
