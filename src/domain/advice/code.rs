//! The codes of cautions and alarms: a word that stays, so that a front end can translate by it.

use crate::record::words::words;

words! {
    /// What kind of thing a caution is about. The part before the dot is its family.
    ///
    /// A code keeps its meaning for good: words, figures and limits may change, the code does not.
    CautionCode {
        /// Two pieces of evidence about a pregnancy disagree.
        DatingDisagrees = "dating.evidence_disagrees",
        /// Only matings date the litter.
        DatingOnlyMatings = "dating.only_matings",
        /// An ultrasound so early that it dates poorly.
        DatingEarlyScan = "dating.early_scan",
        /// The last pregnancy check saw no pup.
        PregnancySeenEmpty = "pregnancy.seen_empty",
        /// A test before a mating found what it looked for.
        MatingTestPositive = "mating.test_positive",
        /// Signs of an infected womb weeks after a heat.
        HeatWombInfection = "heat.womb_infection",
        /// The pregnancy was lost.
        PregnancyLost = "pregnancy.lost",
        /// The dam is unwell before whelping.
        PregnancyUnwell = "pregnancy.unwell",
        /// The pregnancy goes on longer than it should, by whatever it is counted from.
        OverduePregnancy = "overdue.pregnancy",
        /// Every due day has long passed and nothing was recorded.
        OverdueLongPast = "overdue.long_past",
        /// Progesterone is low and labour has not begun.
        OverdueProgesteroneLow = "overdue.progesterone_low",
        /// Her temperature fell and labour has not begun.
        OverdueTemperatureFell = "overdue.temperature_fell",
        /// No fall of the temperature was seen by the end of the due window.
        OverdueNoFall = "overdue.no_fall",
        /// The fall of the temperature: labour is near.
        LabourNear = "whelping.labour_near",
        /// Her temperature has not been taken lately, near term.
        TemperatureUntaken = "whelping.temperature_untaken",
        /// A fever before whelping.
        FeverBeforeBirth = "whelping.fever",
        /// Strong straining and no pup.
        Straining = "whelping.straining",
        /// Weak contractions and no pup.
        WeakContractions = "whelping.weak_contractions",
        /// No pup since the last one.
        NoPupSince = "whelping.no_pup_since",
        /// The waters broke and no pup has come.
        Waters = "whelping.waters",
        /// Green or black discharge before the first pup.
        GreenDischarge = "whelping.green_discharge",
        /// Foul discharge before or in labour.
        FoulDischarge = "whelping.foul_discharge",
        /// Bright red discharge before or in labour.
        BrightRed = "whelping.bright_red",
        /// The first stage of labour is long.
        FirstStageLong = "whelping.first_stage_long",
        /// The second stage of labour is long.
        SecondStageLong = "whelping.second_stage_long",
        /// A pup is stuck.
        PupStuck = "whelping.pup_stuck",
        /// She has collapsed.
        Collapse = "whelping.collapse",
        /// She is in severe pain.
        SeverePain = "whelping.severe_pain",
        /// She bleeds heavily.
        HeavyBleeding = "whelping.heavy_bleeding",
        /// She has fits or is stiff.
        Fits = "whelping.fits",
        /// Labour or birth before its time.
        TooEarly = "whelping.too_early",
        /// Fewer placentas than pups were seen.
        Placentas = "whelping.placentas",
        /// Written as finished with fewer pups than were counted.
        FewerThanCounted = "whelping.fewer_than_counted",
        /// Calcium was given before the first pup.
        CalciumBeforeBirth = "whelping.calcium_before_birth",
        /// Two births that may be one pup.
        PossibleDouble = "whelping.possible_double",
        /// Stillborn pups one after another.
        StillbornInARow = "whelping.stillborn_in_a_row",
        /// The dam has a fever after whelping.
        DamFever = "dam.fever",
        /// The dam is too cold after whelping.
        DamCold = "dam.cold",
        /// Signs of low calcium.
        DamEclampsia = "dam.eclampsia_signs",
        /// Full or inflamed glands.
        DamGlands = "dam.glands",
        /// Foul discharge after whelping.
        DamFoulDischarge = "dam.foul_discharge",
        /// Fresh blood after whelping.
        DamBleeding = "dam.bleeding",
        /// Green or black discharge that goes on.
        DamGreenDischarge = "dam.green_discharge",
        /// Fever with placentas missing.
        DamRetainedPlacenta = "dam.retained_placenta",
        /// Discharge that lasts too long.
        DamDischargeLong = "dam.discharge_long",
        /// She does not eat.
        DamNotEating = "dam.not_eating",
        /// She has collapsed.
        DamCollapse = "dam.collapse",
        /// She has no milk.
        DamNoMilk = "dam.no_milk",
        /// Tissue hangs from the vulva.
        DamProlapse = "dam.prolapse",
        /// She vomits.
        DamVomiting = "dam.vomiting",
        /// Her gums are pale.
        DamPaleGums = "dam.pale_gums",
        /// She is dull.
        DamDull = "dam.dull",
        /// She neglects her pups.
        DamNeglectsPups = "dam.neglects_pups",
        /// Her pups cry and do not settle.
        DamPupsCry = "dam.pups_cry",
        /// A low score of vitality, or a newborn that was not revived.
        NewbornWeak = "newborn.weak",
        /// A pup that is too cold.
        NewbornCold = "newborn.cold",
        /// A pup that is too warm, or has a fever.
        NewbornHot = "newborn.hot",
        /// No feed was seen in the hours in which first milk counts.
        NewbornUnfed = "newborn.unfed",
        /// Signs of illness seen on a pup.
        NewbornUnwell = "newborn.unwell",
        /// What was found when a newborn was looked over.
        NewbornDefect = "newborn.defect",
        /// Newborns that were not looked over from head to tail.
        NewbornUnexamined = "newborn.unexamined",
        /// A pup that fades by all that is known of it.
        NewbornFading = "newborn.fading",
        /// A pup that fails by its weights.
        GrowthFailing = "growth.failing",
        /// Lost weight since the day before.
        GrowthLosing = "growth.losing",
        /// Did not gain since the day before.
        GrowthStandstill = "growth.standing_still",
        /// Below its birth weight in the first days.
        GrowthEarlyLoss = "growth.early_loss",
        /// Grew too little from birth to day 2.
        GrowthEarly = "growth.early_growth",
        /// A low birth weight for its breed.
        GrowthBirthWeight = "growth.birth_weight",
        /// Far lighter than its litter.
        GrowthBelowLitter = "growth.below_litter",
        /// Has not doubled or tripled its birth weight.
        GrowthNotDoubled = "growth.not_doubled",
        /// Was not weighed lately.
        GrowthUnweighed = "growth.unweighed",
        /// Most of the litter lost weight.
        GrowthLitterLosing = "growth.litter_losing",
        /// A round in which all pups weigh less, or more, and all alike: the scale.
        GrowthScaleJump = "growth.scale_jump",
        /// Milk in the airways.
        FeedingAspiration = "feeding.aspiration",
        /// Too cold to be fed.
        FeedingTooCold = "feeding.too_cold",
        /// First milk counts in these hours.
        FeedingFirstMilk = "feeding.first_milk",
        /// Begin hand feeding with less.
        FeedingBeginLow = "feeding.begin_low",
        /// It can begin with solid food.
        FeedingSolids = "feeding.solids",
        /// The stomach cannot hold what it needs.
        FeedingStomach = "feeding.stomach",
        /// Published figures of the energy it needs are far apart.
        FeedingEnergies = "feeding.energies_differ",
        /// Small and weak pups run low on sugar.
        FeedingLowSugar = "feeding.low_sugar",
        /// A feed is late.
        FeedingLate = "feeding.late",
        /// It took too little in a day.
        FeedingLittle = "feeding.little_taken",
        /// A product was past its expiry.
        HealthExpired = "health.expired_product",
        /// A dose was too early and is not counted.
        HealthNotCounted = "health.dose_not_counted",
        /// Two live vaccines of different kinds within days.
        HealthLiveVaccinesClose = "health.live_vaccines_close",
        /// The jurisdiction is not known.
        GoHomeNoLaw = "go_home.no_law_listed",
        /// A listed rule is not confirmed.
        GoHomeUnconfirmed = "go_home.rule_unconfirmed",
        /// The least age is not reached.
        GoHomeTooYoung = "go_home.too_young",
        /// A rule was set aside.
        GoHomeSetAside = "go_home.rule_set_aside",
        /// A pup that is promised and old enough lacks what must be done before it leaves.
        GoHomeHindered = "go_home.hindered",
        /// The pup goes abroad.
        GoHomeBorder = "go_home.border",
        /// A law was last read more than a year ago.
        LawDated = "law.dated",
        /// A law was looked for and not found, or not looked for.
        LawNotFound = "law.not_found",
        /// A listed limit of a law is not confirmed.
        LawUnconfirmed = "law.unconfirmed",
        /// The law has limits other than those held to.
        LawNotHeldTo = "law.not_held_to",
        /// The pup died.
        GoHomeDied = "go_home.died",
        /// The pup is not here.
        GoHomeNotHere = "go_home.not_here",
        /// Progesterone rose and fell again in a heat.
        CycleSplitHeat = "cycle.split_heat",
        /// Ovulation was before the first sample.
        CycleOvulatedBefore = "cycle.ovulated_before",
        /// She stands while progesterone is low.
        CycleStandsLow = "cycle.stands_while_low",
        /// A parent is affected by a disease.
        MarkerParentAffected = "markers.parent_affected",
        /// Pups can be affected.
        MarkerPupsAffected = "markers.pups_affected",
        /// Affected pups are not ruled out.
        MarkerNotRuledOut = "markers.not_ruled_out",
        /// Pups can carry one copy.
        MarkerCarriers = "markers.carriers",
        /// One copy harms already.
        MarkerOneCopy = "markers.one_copy",
        /// A cryptic merle.
        MarkerCrypticMerle = "markers.cryptic_merle",
        /// Both parents show a trait.
        TraitBoth = "traits.both_parents",
        /// A parent may carry a trait unseen.
        TraitHidden = "traits.hidden",
        /// What is seen and what was tested do not agree.
        TraitMismatch = "traits.mismatch",
        /// Double merle.
        MarkerDoubleMerle = "markers.double_merle",
        /// Pups with two copies die before birth.
        MarkerLethal = "markers.lethal",
    }
}

impl CautionCode {
    /// The part before the dot.
    pub(crate) fn family(self) -> &'static str {
        self.as_str().split('.').next().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// A front end keys its words by them, so each is one, and reads as `family.thing`.
    #[test]
    fn every_code_is_one_of_a_kind_and_well_formed() {
        let words: BTreeSet<&str> = CautionCode::ALL.iter().map(|code| code.as_str()).collect();
        assert_eq!(words.len(), CautionCode::ALL.len());
        for word in words {
            let parts: Vec<&str> = word.split('.').collect();
            let good = |part: &&str| {
                !part.is_empty() && part.chars().all(|c| c.is_ascii_lowercase() || c == '_')
            };
            assert!(parts.len() == 2 && parts.iter().all(good), "{word}");
        }
    }
}
