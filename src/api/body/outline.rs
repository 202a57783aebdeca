//! The outline of a JSON text, before it becomes values: how deep it nests, of how many parts it is.
//!
//! A byte of text can become a hundred bytes of values, and each level a call. What no operation could
//! mean is refused while it is text.

use crate::problem::{Kind, Problem};
use catalogue::said;

/// Deepest nesting of lists and objects; the deepest body there is, a health plan in an archive, has 8.
pub(crate) const DEEPEST: usize = 32;
/// Most values of a body.
pub(crate) const MOST_PARTS: usize = 50_000;
/// Most values of a batch: ten thousand rows of thirty.
pub(crate) const MOST_PARTS_OF_BATCH: usize = 300_000;

/// Checks the outline of a text, whether it is JSON or not.
///
/// # Errors
/// 400 when it nests too deep, 413 when it is of too many parts.
pub fn check(text: &[u8], most_parts: usize) -> Result<(), Problem> {
    let (mut depth, mut parts) = (0_usize, 1_usize);
    let (mut in_text, mut escaped) = (false, false);
    for byte in text {
        if in_text {
            match byte {
                _ if escaped => escaped = false,
                b'\\' => escaped = true,
                b'"' => in_text = false,
                _ => {}
            }
            continue;
        }
        match byte {
            b'"' => in_text = true,
            b'[' | b'{' => {
                depth += 1;
                parts += 1;
                if depth > DEEPEST {
                    let detail = said!("problem-too-deep", most = DEEPEST);
                    return Err(Problem::new(Kind::Unreadable, detail));
                }
            }
            b']' | b'}' => depth = depth.saturating_sub(1),
            b',' => parts += 1,
            _ => {}
        }
    }
    if parts > most_parts {
        let detail = said!("problem-too-many-parts", most = most_parts);
        return Err(Problem::new(Kind::TooLarge, detail));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn status(text: &str, most_parts: usize) -> Option<u16> {
        check(text.as_bytes(), most_parts).err().map(|problem| problem.kind().status().as_u16())
    }

    #[test]
    fn nesting_is_counted_outside_of_texts() {
        let nested = |levels: usize| "[".repeat(levels) + &"]".repeat(levels);
        assert_eq!(status(&nested(DEEPEST), 100), None);
        assert_eq!(status(&nested(DEEPEST + 1), 100), Some(400));
        assert_eq!(status(&"{\"a\":".repeat(DEEPEST + 1), 100), Some(400));
        assert_eq!(status(&"[".repeat(DEEPEST + 1), 100), Some(400), "also when it never closes");
        let text = format!("\"{}\\\"{}\"", "[".repeat(100), "{".repeat(100));
        assert_eq!(status(&text, 1), None);
        assert_eq!(status(&"[],".repeat(40), 100), None, "side by side is not deep");
    }

    #[test]
    fn parts_are_values() {
        assert_eq!(status("[1,2,3]", 4), None);
        assert_eq!(status("[1,2,3]", 3), Some(413));
        assert_eq!(status("{\"a\":1,\"b\":\",,,\"}", 3), None);
    }
}
