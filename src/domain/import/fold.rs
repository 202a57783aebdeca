//! Words beside one another without regard to case, accents and the difference of blank, hyphen and underscore.

/// Letters with marks, and under each the letter that it is without them. Postgres compares names by the same
/// (`translate`), so each letter becomes one letter: ß is s.
pub const MARKED: &str = "ÀÁÂÃÄÅĀĂĄàáâãäåāăąÇĆČçćčĎĐďđÈÉÊËĒĖĘĚèéêëēėęěĞģğÌÍÎÏĪĮìíîïīįŁłÑŃŇñńňÒÓÔÕÖØŌŐòóôõöøōőŘřŚŠŞśšşßŤťÙÚÛÜŪŮŰùúûüūůűÝýÿŹŻŽźżž";
/// The letters of [`MARKED`] without their marks.
pub const PLAIN: &str = "aaaaaaaaaaaaaaaaaaccccccddddeeeeeeeeeeeeeeeegggiiiiiiiiiiiillnnnnnnoooooooooooooooorrsssssssttuuuuuuuuuuuuuuyyyzzzzzz";

/// A name or word in small letters without marks, blanks around it or twice within it.
///
/// ```
/// use domain::import::fold::folded;
/// assert_eq!(folded(" Hündin "), "hundin");
/// assert_eq!(folded("JUNO  of Larkfell"), "juno of larkfell");
/// ```
pub fn folded(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.trim().chars() {
        if letter.is_whitespace() {
            if !plain.ends_with(' ') {
                plain.push(' ');
            }
            continue;
        }
        if letter.is_ascii() {
            plain.push(letter.to_ascii_lowercase());
            continue;
        }
        let marked = MARKED.chars().position(|marked| marked == letter);
        match marked.and_then(|at| PLAIN.chars().nth(at)) {
            Some(without) => plain.push(without),
            None => plain.extend(letter.to_lowercase()),
        }
    }
    plain
}

/// The name of a column as it is compared: folded, and without what stands between its words.
pub(super) fn heading(text: &str) -> String {
    folded(text).replace([' ', '-', '_', '.', ':', '/', '(', ')', '*', '#'], "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_marked_letter_has_one_without() {
        assert_eq!(MARKED.chars().count(), PLAIN.chars().count());
        let pairs: Vec<(char, char)> = MARKED.chars().zip(PLAIN.chars()).collect();
        for (marked, plain) in
            [('Ä', 'a'), ('é', 'e'), ('ß', 's'), ('Ü', 'u'), ('ø', 'o'), ('ž', 'z'), ('Ł', 'l')]
        {
            assert!(pairs.contains(&(marked, plain)), "{marked}");
        }
        assert!(PLAIN.bytes().all(|letter| letter.is_ascii_lowercase()));
    }

    #[test]
    fn words_are_compared_without_case_and_marks() {
        for (one, other) in
            [("Hündin", "HUNDIN"), ("Åse", "ase"), ("Δίας", "δίας"), ("Rex\u{a0} II", "rex ii")]
        {
            assert_eq!(folded(one), folded(other), "{one}");
        }
        assert_eq!(heading("Date of-birth."), heading("date_OF_Birth"));
        assert_ne!(folded("Rex I"), folded("Rex II"));
    }
}
