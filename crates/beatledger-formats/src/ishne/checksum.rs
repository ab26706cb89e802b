//! The checksum of an ISHNE header: CRC-16 with polynomial 0x1021 that starts from 0xFFFF.

/// The checksum of `bytes`.
pub(super) fn crc16<'a>(bytes: impl IntoIterator<Item = &'a u8>) -> u16 {
    bytes.into_iter().fold(0xffff, |crc, byte| {
        (0..8).fold(
            crc ^ u16::from(*byte) << 8,
            |crc, _| {
                if crc & 0x8000 == 0 { crc << 1 } else { crc << 1 ^ 0x1021 }
            },
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    // Check values of the variant catalogued as CRC-16/IBM-3740.
    #[test]
    fn the_catalogued_check_value_comes_out() {
        assert_eq!(crc16(b"123456789"), 0x29b1);
        assert_eq!([crc16(&[]), crc16(b"A")], [0xffff, 0xb915]);
        assert_eq!(crc16(&[0; 512]), 0x1634);
    }
}
