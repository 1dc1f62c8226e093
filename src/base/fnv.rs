//! Bytes → a number that stands for them: FNV-1a in 64 bits (Fowler, Noll, Vo; from memory).
//!
//! For telling designs and names apart. Not a guard against someone who wants two texts to have the same number.

/// The number of `bytes`: each is xored in, then all is multiplied by the prime.
#[must_use]
pub fn fnv_1a(bytes: impl IntoIterator<Item = u8>) -> u64 {
    let one = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    bytes.into_iter().fold(0xcbf2_9ce4_8422_2325, one)
}

#[cfg(test)]
mod tests {
    use super::fnv_1a;

    #[test]
    fn known_numbers_come_out() {
        // The offset basis; and two numbers of the authors' own list, from memory.
        assert_eq!(fnv_1a([]), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv_1a(*b"a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(fnv_1a(*b"foobar"), 0x8594_4171_f739_67e8);
    }
}
