//! The one checksum: a link, a kept page and a stored log are told apart from cut and altered ones by it.

/// CRC-32 as zip and PNG have it (ISO-HDLC: the polynomial of IEEE 802.3, reflected).
#[must_use]
pub fn crc32(bytes: &[u8]) -> u32 {
    crc::Crc::<u32, crc::NoTable>::new(&crc::CRC_32_ISO_HDLC).checksum(bytes)
}

#[cfg(test)]
mod tests {
    #[test]
    fn check_value() {
        // The check value of CRC-32/ISO-HDLC in every catalogue of checksums.
        assert_eq!(super::crc32(b"123456789"), 0xCBF4_3926);
    }
}
