//! Bytes → the letters that carry them inside a page or an SVG: base64 as in RFC 4648, section 4.

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Writes bytes in base64, padded.
#[must_use]
pub fn base64(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let at = |i: usize| u32::from(three.get(i).copied().unwrap_or(0));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        for (i, shift) in [18, 12, 6, 0].into_iter().enumerate() {
            let letter = LETTERS[(bits >> shift & 63) as usize];
            text.push(if i <= three.len() { char::from(letter) } else { '=' });
        }
    }
    text
}

/// A JPEG file as an address that holds it.
#[must_use]
pub fn jpeg_address(jpeg: &[u8]) -> String {
    format!("data:image/jpeg;base64,{}", base64(jpeg))
}

#[cfg(test)]
mod tests {
    use super::base64;

    #[test]
    fn the_examples_of_the_standard_are_met() {
        let pairs = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in pairs {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
