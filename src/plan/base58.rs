//! Bytes as letters and digits, and back: base 58 with its usual alphabet, in which no two letters look alike. A number
//! is taken by 32 bits or five letters at a time: the work grows with the square of the length, and letter by letter the
//! longest plan took a second to read and three to write.

const LETTERS: &[u8; 58] = b"123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz";
/// Letters taken at a time: 58^5 is the last power below 2^32.
const AT_ONCE: usize = 5;
const BASE: u64 = 58_u64.pow(5);

/// The bytes as text. Each zero in front is a `1` of its own.
pub(super) fn encode(bytes: &[u8]) -> String {
    let zeros = bytes.iter().take_while(|byte| **byte == 0).count();
    // Digits of base 58^5, the lowest first.
    let mut digits: Vec<u32> = Vec::new();
    for group in bytes.chunks(4) {
        let more = group.iter().fold(0, |sum, byte| sum << 8 | u64::from(*byte));
        add(&mut digits, 1 << (8 * group.len()), more, |sum| (sum % BASE, sum / BASE));
    }
    let mut letters = Vec::with_capacity(zeros + AT_ONCE * digits.len());
    for mut digit in digits.into_iter().map(u64::from) {
        for _ in 0..AT_ONCE {
            letters.push(
                usize::try_from(digit % 58).ok().and_then(|at| LETTERS.get(at)).copied().unwrap_or(b'1'),
            );
            digit /= 58;
        }
    }
    trim(&mut letters, b'1', zeros);
    letters.into_iter().map(char::from).collect()
}

/// The bytes of a text; nothing for one with other letters.
pub(super) fn decode(text: &str) -> Option<Vec<u8>> {
    let zeros = text.bytes().take_while(|letter| *letter == b'1').count();
    let mut words: Vec<u32> = Vec::new();
    for group in text.as_bytes().chunks(AT_ONCE) {
        let (mut times, mut more) = (1, 0);
        for letter in group {
            let place = LETTERS.iter().position(|known| known == letter)?;
            (times, more) = (times * 58, more * 58 + place as u64);
        }
        add(&mut words, times, more, |sum| (sum & 0xffff_ffff, sum >> 32));
    }
    let mut bytes: Vec<u8> = words.iter().flat_map(|word| word.to_le_bytes()).collect();
    trim(&mut bytes, 0, zeros);
    Some(bytes)
}

/// Makes a number, its lowest digit first, so many times as large and adds; `split` gives a digit and what is carried.
fn add(digits: &mut Vec<u32>, times: u64, more: u64, split: impl Fn(u64) -> (u64, u64)) {
    // No sum is above 2^64: a digit and what is carried are below 2^32, and so is `times`, or just that.
    let mut carried = more;
    let mut put = |digit: u64| {
        let (digit, over) = split(digit * times + carried);
        carried = over;
        u32::try_from(digit).unwrap_or(u32::MAX)
    };
    for digit in digits.iter_mut() {
        *digit = put(u64::from(*digit));
    }
    while carried > 0 {
        let (digit, over) = split(carried);
        digits.push(u32::try_from(digit).unwrap_or(u32::MAX));
        carried = over;
    }
}

/// Puts the highest first, with so many zeros in front.
fn trim<T: Copy + PartialEq>(digits: &mut Vec<T>, zero: T, zeros: usize) {
    while digits.last() == Some(&zero) {
        digits.pop();
    }
    digits.resize(digits.len() + zeros, zero);
    digits.reverse();
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(crate::draw::cases(0x58, 2_000, 100_000))]

        /// Against an independent program, the crate `bs58`.
        #[test]
        fn bytes_and_letters_are_those_of_another_program(
            zeros in 0_usize..6,
            rest in prop::collection::vec(any::<u8>(), 0..80),
            text in "[1-9A-Za-z]{0,30}",
        ) {
            let bytes = [vec![0; zeros], rest].concat();
            let letters = bs58::encode(&bytes).into_string();
            prop_assert_eq!(encode(&bytes), letters.clone());
            prop_assert_eq!(decode(&letters), Some(bytes));
            prop_assert_eq!(decode(&text), bs58::decode(&text).into_vec().ok());
        }
    }

    /// No outside source but `bs58`: as many bytes as the longest plan has, the greatest that there are.
    #[test]
    fn the_longest_comes_back() {
        let bytes = vec![255; 30_000];
        let begun = std::time::Instant::now();
        let text = encode(&bytes);
        assert_eq!(decode(&text), Some(bytes));
        println!("{} letters, written and read in {:?}", text.len(), begun.elapsed());
        assert_eq!(encode(&[255; 2000]), bs58::encode([255; 2000]).into_string());
        assert_eq!(decode(&"z".repeat(2000)), bs58::decode("z".repeat(2000)).into_vec().ok());
    }
}
