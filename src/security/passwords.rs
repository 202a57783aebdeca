//! Which passwords are too easy to guess.

use std::fmt;
use zxcvbn::{Score, zxcvbn};

/// Shortest password that is accepted (NIST SP 800-63B-4 asks for 15 without a second factor, 8
/// with one; OWASP's Authentication Cheat Sheet for 8 at the least).
pub const SHORTEST_PASSWORD: usize = 10;

/// Letters that must be left when one's own name and address are taken out of a password: the
/// shortest that NIST SP 800-63B-4 knows at all.
const OWN_BESIDE: usize = 8;
/// Parts of names and addresses that are shorter stand in many words by chance.
const SHORTEST_OWN: usize = 3;
/// Words of a host's name that say nothing of its person.
const NOBODYS_OWN: [&str; 6] = ["com", "org", "net", "www", "mail", "example"];

/// Why a new password is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weakness {
    /// It has fewer than [`SHORTEST_PASSWORD`] characters.
    TooShort,
    /// It is little more than the person's own name or address.
    OwnName,
    /// It is among the first that others would guess.
    SoonGuessed,
}

/// In English, for the command line.
impl fmt::Display for Weakness {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::TooShort => "is too short; take 10 characters or more",
            Self::OwnName => {
                "is little more than your own name or address; take words that say nothing of you"
            }
            Self::SoonGuessed => {
                "is among the first that others would guess; take several words that do not go together"
            }
        })
    }
}

/// Why a new password is refused; null when it is good.
///
/// NIST SP 800-63B-4 (section 3.1.1.2) asks that passwords be held against those that are common,
/// expected or known from breaches, and against the person's own name. The lists (the 30,000 most
/// common passwords, names and words of English) and the estimate are those of zxcvbn (Wheeler, USENIX
/// Security 2016): refused is what 10⁸ guesses find, its "somewhat guessable" and worse. Takes some
/// milliseconds: not on a worker.
pub fn weakness(password: &str, name: &str, email: &str) -> Option<Weakness> {
    if password.chars().count() < SHORTEST_PASSWORD {
        return Some(Weakness::TooShort);
    }
    let own = own_words(name, email);
    if letters_beside(password, &own) < OWN_BESIDE {
        return Some(Weakness::OwnName);
    }
    let words: Vec<&str> = own.iter().map(String::as_str).chain(["denwright"]).collect();
    if zxcvbn(password, &words).score() < Score::Three {
        return Some(Weakness::SoonGuessed);
    }
    None
}

/// A person's name and address, whole and in parts, in small letters; longest first.
fn own_words(name: &str, email: &str) -> Vec<String> {
    let (name, email) = (name.to_lowercase(), email.to_lowercase());
    let parts_of = |text: &str| -> Vec<String> {
        text.split(|letter: char| !letter.is_alphanumeric()).map(str::to_owned).collect()
    };
    let mut words = vec![email.clone(), name.clone(), parts_of(&name).concat()];
    words.extend(email.split_once('@').map(|(local, _)| local.to_owned()));
    words.extend(parts_of(&name));
    words.extend(parts_of(&email));
    words.retain(|word| {
        word.chars().count() >= SHORTEST_OWN && !NOBODYS_OWN.contains(&word.as_str())
    });
    words.sort_by_key(|word| std::cmp::Reverse(word.len()));
    words.dedup();
    words
}

/// How many letters and digits of a password are none of these words.
fn letters_beside(password: &str, own: &[String]) -> usize {
    let rest =
        own.iter().fold(password.to_lowercase(), |rest, word| rest.replace(word.as_str(), " "));
    rest.chars().filter(|letter| letter.is_alphanumeric()).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAME: &str = "Maren Holt";
    const EMAIL: &str = "maren.holt@larkfell.example";

    fn refused(password: &str) -> bool {
        weakness(password, NAME, EMAIL).is_some()
    }

    #[test]
    fn common_passwords_are_refused() {
        for common in [
            "1234567890",
            "qwertyuiop",
            "password123",
            "Password1234",
            "P@ssw0rd123",
            "passwordpassword",
            "iloveyou123",
            "football2024",
            "aaaaaaaaaaaa",
            "abcdefghijk",
            "letmein1234",
            "denwright1",
            "Denwright2026",
        ] {
            assert!(refused(common), "{common}");
        }
    }

    #[test]
    fn ones_own_name_and_address_are_refused() {
        for own in [
            "Maren Holt",
            "marenholt1",
            "HoltMaren2026",
            "maren.holt@larkfell.example",
            "larkfellmaren",
            "M4ren.Holt!",
            "holt-larkfell-26",
        ] {
            assert!(refused(own), "{own}");
        }
        // Somebody else's name is nobody's secret, but no name of one's own.
        assert!(weakness("maren walks seven dogs", NAME, EMAIL).is_none());
    }

    #[test]
    fn several_words_are_good_and_so_are_random_letters() {
        for good in [
            "a long pass phrase",
            "correct horse battery",
            "gebirge tinte wolke 7",
            "x7!mQpe93kWz",
            "larkspur otter 1987 bench",
        ] {
            assert!(!refused(good), "{good}");
        }
    }

    #[test]
    fn the_length_is_told_on_both_sides_of_its_limit() {
        assert_eq!(weakness("xq7!mQpe9", NAME, EMAIL), Some(Weakness::TooShort));
        assert_eq!(weakness("xq7!mQpe9z", NAME, EMAIL), None);
    }
}
