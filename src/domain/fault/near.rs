//! Which known word somebody meant who wrote another.

use strsim::damerau_levenshtein;

/// Most letters that are put in, taken out, exchanged or swapped: with more it is another word.
const MOST_SLIPS: usize = 2;
/// Longest word that is looked at: none of ours is near one that is longer.
const LONGEST: usize = 60;

/// The known word that is nearest to `word`, where one is near: by at most two slips, and by fewer than
/// half of the word's letters, so that a short word is not taken for just any other. Of those equally near
/// the first; capitals do not count.
///
/// ```
/// use domain::fault::near;
/// assert_eq!(near("color", ["collar", "colour"]), Some("colour"));
/// assert_eq!(near("colt", ["collar", "colour"]), None);
/// ```
pub fn near<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let length = word.chars().take(LONGEST + 1).count();
    if length > LONGEST {
        return None;
    }
    let word = word.to_lowercase();
    let slips = |known: &str| damerau_levenshtein(&word, &known.to_lowercase());
    known
        .into_iter()
        .map(|known| (slips(known), known))
        .filter(|(slips, _)| *slips <= MOST_SLIPS && 2 * slips < length)
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, known)| known)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_slips_are_near_and_three_are_not() {
        for (word, found) in [
            ("registrations", true),
            ("registration", true),
            ("registratoin", true),
            ("registrat", false),
            ("", false),
        ] {
            assert_eq!(near(word, ["registrations"]).is_some(), found, "{word}");
        }
        // Put in, taken out, exchanged, swapped: one slip each.
        for word in ["collour", "colur", "coluor", "colouk", "Color", "COLOUR"] {
            assert_eq!(near(word, ["sex", "colour"]), Some("colour"), "{word}");
        }
    }

    #[test]
    fn half_of_a_short_word_makes_another() {
        for (word, found) in
            [("se", None), ("sxe", Some("sex")), ("six", Some("sex")), ("sire", None)]
        {
            assert_eq!(near(word, ["sex"]), found, "{word}");
        }
        // Of four letters two are half, of five they are not.
        assert_eq!(near("mela", ["male"]), None);
        assert_eq!(near("femel", ["female"]), Some("female"));
        assert_eq!(near("damid", ["dog_id"]), None);
    }

    #[test]
    fn the_nearest_is_taken_and_of_equals_the_first() {
        assert_eq!(near("weight_kb", ["weight_lb", "weight_kg"]), Some("weight_lb"));
        assert_eq!(near("weight_kg", ["weight_lb", "weight_kg"]), Some("weight_kg"));
    }

    #[test]
    fn a_very_long_word_is_near_nothing() {
        let known = "x".repeat(61);
        assert_eq!(near(&known[..60], [known.as_str()]), Some(known.as_str()));
        assert_eq!(near(&known, [known.as_str()]), None);
    }
}
