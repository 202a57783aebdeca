//! Codes of a second factor that change with time: TOTP (RFC 6238) on HOTP (RFC 4226).

use hmac::{Hmac, Mac as _};
use sha1::Sha1;

/// Seconds in a time step (RFC 6238, section 5.2, recommends 30).
pub(crate) const STEP_SECONDS: i64 = 30;
/// Digits of a code, as authenticator apps expect.
const DIGITS: u32 = 6;
/// Bytes of a new secret (RFC 4226, section 4, recommends 160 bits).
pub const SECRET_BYTES: usize = 20;
/// Steps by which the two clocks may differ (RFC 6238, section 5.2, recommends one at most).
const DRIFT_STEPS: i64 = 1;

/// The time step of a Unix time.
fn step_at(unix_seconds: i64) -> i64 {
    unix_seconds.div_euclid(STEP_SECONDS)
}

/// HOTP value of a counter, with so many digits (RFC 4226, section 5.3).
fn hotp(secret: &[u8], counter: i64, digits: u32) -> u32 {
    // HMAC takes keys of any length.
    let Ok(mut mac) = Hmac::<Sha1>::new_from_slice(secret) else { return 0 };
    mac.update(&counter.to_be_bytes());
    let hash = mac.finalize().into_bytes();
    let offset = usize::from(hash[19] & 0xf);
    let word = hash[offset..offset + 4].iter().fold(0, |word, byte| (word << 8) | u32::from(*byte));
    (word & 0x7fff_ffff) % 10_u32.pow(digits)
}

/// The code of a Unix time.
pub fn code_at(secret: &[u8], unix_seconds: i64) -> String {
    let width = DIGITS as usize;
    format!("{:0width$}", hotp(secret, step_at(unix_seconds), DIGITS))
}

/// The time step whose code this is, later than the last one taken; a code is good once.
pub fn step_of(secret: &[u8], code: &str, unix_seconds: i64, last_step: i64) -> Option<i64> {
    let typed: String = code.chars().filter(char::is_ascii_digit).collect();
    let now = step_at(unix_seconds);
    (now - DRIFT_STEPS..=now + DRIFT_STEPS)
        .filter(|step| *step > last_step)
        .find(|step| same(&code_at(secret, step * STEP_SECONDS), &typed))
}

/// Whether two texts are equal, in a time that does not tell where they differ.
fn same(one: &str, other: &str) -> bool {
    let differing = one.bytes().zip(other.bytes()).fold(0, |sum, (a, b)| sum | (a ^ b));
    one.len() == other.len() && differing == 0
}

/// A secret in base 32 (RFC 4648, section 6) without padding, as apps take it.
pub fn base32(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 32] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";
    let mut text = String::new();
    let (mut held, mut bits) = (0_u32, 0);
    for byte in bytes {
        held = (held << 8) | u32::from(*byte);
        bits += 8;
        while bits >= 5 {
            bits -= 5;
            text.push(char::from(LETTERS[(held >> bits) as usize & 31]));
        }
        held &= (1 << bits) - 1;
    }
    if bits > 0 {
        text.push(char::from(LETTERS[(held << (5 - bits)) as usize & 31]));
    }
    text
}

/// The address that apps read from a QR code, in the form that they agree on.
pub fn address(secret: &[u8], email: &str) -> String {
    let account: String = form_urlencoded::byte_serialize(email.as_bytes()).collect();
    let secret = base32(secret);
    format!(
        "otpauth://totp/denwright:{account}?secret={secret}&issuer=denwright&algorithm=SHA1\
         &digits={DIGITS}&period={STEP_SECONDS}"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECRET: &[u8] = b"12345678901234567890";

    /// RFC 4226, appendix D.
    #[test]
    fn hotp_gives_the_values_of_its_rfc() {
        let expected = [
            755_224, 287_082, 359_152, 969_429, 338_314, 254_676, 287_922, 162_583, 399_871,
            520_489,
        ];
        for (counter, value) in (0..).zip(expected) {
            assert_eq!(hotp(SECRET, counter, 6), value, "counter {counter}");
        }
    }

    /// RFC 6238, appendix B, the lines for SHA-1.
    #[test]
    fn totp_gives_the_values_of_its_rfc() {
        for (time, value) in [
            (59, 94_287_082),
            (1_111_111_109, 7_081_804),
            (1_111_111_111, 14_050_471),
            (1_234_567_890, 89_005_924),
            (2_000_000_000, 69_279_037),
            (20_000_000_000, 65_353_130),
        ] {
            assert_eq!(hotp(SECRET, step_at(time), 8), value, "time {time}");
            assert_eq!(code_at(SECRET, time), format!("{:06}", value % 1_000_000));
        }
    }

    #[test]
    fn a_code_is_good_for_a_step_around_its_own_and_once() {
        let code = code_at(SECRET, 1_000);
        let step = step_of(SECRET, &code, 1_000, 0).unwrap();
        assert_eq!(step, 33);
        assert_eq!(step_of(SECRET, &format!("{} {}", &code[..3], &code[3..]), 1_030, 0), Some(33));
        assert_eq!(step_of(SECRET, &code, 970, 0), Some(33));
        assert_eq!(step_of(SECRET, &code, 1_080, 0), None);
        assert_eq!(step_of(SECRET, &code, 1_000, step), None);
        assert_eq!(step_of(SECRET, "", 1_000, 0), None);
    }

    /// RFC 4648, section 10, without the padding.
    #[test]
    fn base32_gives_the_values_of_its_rfc() {
        for (text, expected) in [
            ("", ""),
            ("f", "MY"),
            ("fo", "MZXQ"),
            ("foo", "MZXW6"),
            ("foob", "MZXW6YQ"),
            ("fooba", "MZXW6YTB"),
            ("foobar", "MZXW6YTBOI"),
        ] {
            assert_eq!(base32(text.as_bytes()), expected);
        }
    }
}
