//! Breaking text into lines.

use super::fonts::{Weight, breaks_anywhere, width};

/// The lines of a text that is at most `room` wide at `size`; its own line ends are kept.
///
/// Lines end at blanks, between letters of scripts that write none, and within a word only when
/// the word alone is wider than the room.
pub fn lines(text: &str, weight: Weight, size: f32, room: f32) -> Vec<String> {
    let mut all = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for piece in pieces(paragraph) {
            let longer = format!("{line}{piece}");
            if fits(longer.trim_end(), weight, size, room) {
                line = longer;
                continue;
            }
            if !line.trim().is_empty() {
                all.push(line.trim_end().to_owned());
            }
            line = piece.trim_start().to_owned();
            while !fits(line.trim_end(), weight, size, room) {
                let head = head_that_fits(&line, weight, size, room);
                all.push(line[..head].to_owned());
                line = line[head..].to_owned();
            }
        }
        all.push(line.trim_end().to_owned());
    }
    all
}

fn fits(text: &str, weight: Weight, size: f32, room: f32) -> bool {
    width(text, weight) * size <= room
}

/// The longest part of a word that fits: at least one letter.
fn head_that_fits(word: &str, weight: Weight, size: f32, room: f32) -> usize {
    let ends = word.char_indices().map(|(start, letter)| start + letter.len_utf8());
    let mut head = word.chars().next().map_or(word.len(), char::len_utf8);
    for end in ends {
        if !fits(&word[..end], weight, size, room) {
            break;
        }
        head = end;
    }
    head
}

/// Words with the blanks behind them, and single letters where a line may end anywhere.
fn pieces(paragraph: &str) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    let mut open = false;
    for letter in paragraph.chars() {
        let alone = breaks_anywhere(letter);
        match pieces.last_mut() {
            Some(piece) if open && !alone => piece.push(letter),
            _ => pieces.push(letter.to_string()),
        }
        open = !alone && !letter.is_whitespace();
        if letter.is_whitespace()
            && let Some(blank) = pieces.pop_if(|piece| piece.trim().is_empty())
            && let Some(before) = pieces.last_mut()
        {
            before.push_str(&blank);
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_at_blanks_and_never_run_over() {
        let text =
            "Fern of Larkfell is a bitch of the F litter, born in the small hours of a Friday.";
        let broken = lines(text, Weight::Regular, 10.0, 120.0);
        assert!(broken.len() > 2);
        assert_eq!(broken.join(" "), text);
        for line in &broken {
            assert!(width(line, Weight::Regular) * 10.0 <= 120.0, "{line}");
        }
    }

    #[test]
    fn a_word_wider_than_the_room_is_cut_and_loses_no_letter() {
        let word = "Rindfleischetikettierungsüberwachungsaufgabenübertragungsgesetz";
        let broken = lines(word, Weight::Bold, 12.0, 100.0);
        assert!(broken.len() > 3);
        assert_eq!(broken.concat(), word);
    }

    #[test]
    fn chinese_breaks_between_letters_and_own_line_ends_stay() {
        let broken = lines("云雀岭的蕨类植物幼犬\n\nFern", Weight::Regular, 10.0, 45.0);
        assert!(broken.len() >= 5, "{broken:?}");
        assert_eq!(broken.concat(), "云雀岭的蕨类植物幼犬Fern");
        assert!(broken.contains(&String::new()));
    }
}
