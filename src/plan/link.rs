//! A plan as text: for a link, a file and the phone's own storage.
//!
//! The text is `p2-LENGTH-CHECKSUM-PAYLOAD`: the version first, so that an older page can say that a newer one wrote
//! it; then the count of payload characters and a CRC-32 of what they stand for, so that a cut or altered link is
//! told apart from a bad plan. The payload is the plan in postcard's compact form, packed by LZ4 against a frozen
//! dictionary (the worked days of its version, which most plans resemble), in base 58: letters and digits only, with
//! a dash every 40 characters, since messengers break or cut long unbroken runs.
//!
//! Nothing in here trusts the text: its length is capped before decoding, sizes are bounded, every number is held
//! against [`crate::limits`] afterwards, and left-over bytes are refused.

use super::Plan;
use crate::error::Fault;
use crate::limits::LimitError;
use core::fmt;
use serde::de::DeserializeOwned;

/// The version that this code writes.
pub const VERSION: u32 = 2;
/// Longest text that is looked at, characters. The longest plan that the limits allow, every text of it in letters of
/// four bytes, takes 39,000: what is kept must be readable, however odd.
pub const MOST_TEXT: usize = 50_000;
/// Most bytes that a payload may unpack to; the same plan has some 30,000.
const MOST_BYTES: usize = 40_000;
/// Characters between dashes.
const RUN: usize = 40;

/// The packing dictionary of version 1. Frozen: links in the world depend on its every byte.
const DICTIONARY_1: &[u8] = include_bytes!("dictionary_1.bin");
/// The packing dictionary of version 2. Frozen likewise.
const DICTIONARY_2: &[u8] = include_bytes!("dictionary_2.bin");

/// Why a text is not a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum LinkError {
    /// It does not look like a plan at all.
    NotALink,
    /// It is longer than any plan.
    TooLong,
    /// Written by a newer version.
    Newer(u32),
    /// Fewer or more characters than it says of itself.
    Cut {
        /// Characters that came.
        came: usize,
        /// Characters that it says it has.
        wanted: usize,
    },
    /// Its checksum does not fit.
    Altered,
    /// It unpacks to something that is not a plan.
    NotAPlan,
    /// A plan with a value outside its limits.
    Limit(LimitError),
}

impl fmt::Display for LinkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotALink => {
                f.write_str("This is not a plan’s link. Copy the whole link and open it again.")
            }
            Self::TooLong => {
                f.write_str("This link is far too long for a plan. Ask for it to be sent again.")
            }
            Self::Newer(version) => {
                f.write_str("This link was made by a newer version of the page (")?;
                version.fmt(f)?;
                f.write_str("). Update this page, then open the link again.")
            }
            Self::Cut { came, wanted } => {
                f.write_str("This link was cut or added to on its way: ")?;
                came.fmt(f)?;
                f.write_str(" characters came of ")?;
                wanted.fmt(f)?;
                f.write_str(". Ask for it to be sent again.")
            }
            Self::Altered => {
                f.write_str("This link was altered on its way: its checksum does not fit. Ask for it again.")
            }
            Self::NotAPlan => {
                f.write_str("This link does not hold a plan that can be read. Ask for it again.")
            }
            Self::Limit(e) => {
                f.write_str("The plan in this link was refused at ")?;
                f.write_str(&e.field())?;
                f.write_str(". ")?;
                e.fmt(f)
            }
        }
    }
}

impl Fault for LinkError {
    fn code(&self) -> &'static str {
        match self {
            Self::NotALink => "not_a_link",
            Self::TooLong => "too_long",
            Self::Newer(_) => "newer_version",
            Self::Cut { .. } => "cut",
            Self::Altered => "altered",
            Self::NotAPlan => "not_a_plan",
            Self::Limit(e) => e.code(),
        }
    }

    fn field(&self) -> String {
        if let Self::Limit(e) = self { e.field() } else { "link".to_owned() }
    }
}

/// CRC-32 as in ISO-HDLC (the one of zip and PNG).
pub(crate) fn checksum(bytes: &[u8]) -> u32 {
    crc::Crc::<u32, crc::NoTable>::new(&crc::CRC_32_ISO_HDLC).checksum(bytes)
}

/// A number as eight hexadecimal digits.
fn hex8(n: u32) -> String {
    (0..8).rev().filter_map(|i| char::from_digit(n >> (4 * i) & 15, 16)).collect()
}

/// The plan as text. The form is described at the head of this module.
///
/// # Panics
/// Never: a plan always has a postcard form.
#[must_use]
pub fn write(plan: &Plan) -> String {
    let plain = postcard::to_allocvec(plan).unwrap_or_default();
    let mut packed = plain.len().to_le_bytes().get(..2).unwrap_or(&[0, 0]).to_vec();
    let mut body = vec![0; lz4_flex::block::get_maximum_output_size(plain.len())];
    let length = lz4_flex::block::compress_into_with_dict(&plain, &mut body, DICTIONARY_2).unwrap_or(0);
    packed.extend_from_slice(body.get(..length).unwrap_or(&[]));
    let payload = bs58::encode(&packed).into_string();
    let mut text =
        ["p", &VERSION.to_string(), "-", &payload.len().to_string(), "-", &hex8(checksum(&packed))].concat();
    for (i, c) in payload.chars().enumerate() {
        if i % RUN == 0 {
            text.push('-');
        }
        text.push(c);
    }
    text
}

/// The plan that a text holds. A leading `#`, or a whole address with a `#` in it, is passed over.
///
/// # Errors
/// [`LinkError`], a sentence for each way in which a text can fail to be a plan.
pub fn read(text: &str) -> Result<Plan, LinkError> {
    if text.len() > MOST_TEXT {
        return Err(LinkError::TooLong);
    }
    let text = text.rsplit_once('#').map_or(text, |(_, fragment)| fragment).trim();
    let body = text.strip_prefix('p').ok_or(LinkError::NotALink)?;
    let mut parts = body.splitn(4, '-');
    let mut part = || parts.next().ok_or(LinkError::NotALink);
    let version = part()?;
    if version.is_empty() || version.len() > 6 || !version.bytes().all(|b| b.is_ascii_digit()) {
        return Err(LinkError::NotALink);
    }
    let version: u32 = version.parse().map_err(|_| LinkError::NotALink)?;
    if version > VERSION {
        return Err(LinkError::Newer(version));
    }
    let wanted: usize = part()?.parse().map_err(|_| LinkError::NotALink)?;
    let sum = u32::from_str_radix(part()?, 16).map_err(|_| LinkError::NotALink)?;
    let payload: String = part()?.chars().filter(|c| *c != '-' && !c.is_whitespace()).collect();
    if payload.len() != wanted {
        return Err(LinkError::Cut { came: payload.len(), wanted });
    }
    let packed = bs58::decode(&payload).into_vec().map_err(|_| LinkError::Altered)?;
    if checksum(&packed) != sum {
        return Err(LinkError::Altered);
    }
    let plan = match version {
        1 => unpack::<super::past_versions::Plan1>(&packed, DICTIONARY_1)?,
        2 => unpack::<Plan>(&packed, DICTIONARY_2)?,
        _ => return Err(LinkError::NotALink),
    };
    Ok(plan)
}

/// Unpacks and checks the bytes of a payload.
fn unpack<T: DeserializeOwned + Into<Plan>>(packed: &[u8], dictionary: &[u8]) -> Result<Plan, LinkError> {
    let (&[low, high], rest) = packed.split_first_chunk::<2>().ok_or(LinkError::NotAPlan)?;
    let size = usize::from(u16::from_le_bytes([low, high]));
    if size > MOST_BYTES {
        return Err(LinkError::NotAPlan);
    }
    let mut plain = vec![0; size];
    let length = lz4_flex::block::decompress_into_with_dict(rest, &mut plain, dictionary)
        .map_err(|_| LinkError::NotAPlan)?;
    let (plan, left) = postcard::take_from_bytes::<T>(&plain).map_err(|_| LinkError::NotAPlan)?;
    if !left.is_empty() || length != size {
        return Err(LinkError::NotAPlan);
    }
    let mut plan: Plan = plan.into();
    plan.check().map_err(LinkError::Limit)?;
    Ok(plan)
}
