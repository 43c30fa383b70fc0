//! A plan as text: for a link, a file and the phone's own storage.
//!
//! The text is `p1-LENGTH-CHECKSUM-PAYLOAD`: the version first, so that an older page can say that a newer one wrote
//! it; then the count of payload characters and a CRC-32 of what they stand for, so that a cut or altered link is
//! told apart from a bad plan. The payload is the plan in postcard's compact form, packed by LZ4 against a frozen
//! dictionary ([`super::past_versions`]), in base 58: letters and digits only, with
//! a dash every 40 characters, since messengers break or cut long unbroken runs.
//!
//! Nothing in here trusts the text: its length is capped before decoding, sizes are bounded, every number is held
//! against the table of [`super::fields`] afterwards, and left-over bytes are refused.

use super::Plan;
use super::base58;
use super::past_versions::{FORMS, Form};
use crate::checksum::crc32;
use crate::refusal::Refusal;
use std::borrow::Cow;

/// Longest text that is looked at, characters. The longest plan that the limits allow, every text of it in letters of
/// four bytes, takes 39,000: what is kept must be readable, however odd.
pub const MAX_TEXT: usize = 50_000;
/// Most bytes that a payload may unpack to; the same plan has some 30,000.
const MAX_BYTES: usize = 40_000;
/// Characters between dashes.
const RUN: usize = 40;

/// Why a text is not a plan.
fn refused(code: &'static str, sentence: impl Into<Cow<'static, str>>) -> Refusal {
    Refusal::new(code, "link", sentence)
}

/// It does not look like a plan at all.
fn not_a_link() -> Refusal {
    refused("not_a_link", "This is not a plan’s link. Copy the whole link and open it again.")
}

/// Its checksum does not fit.
fn altered() -> Refusal {
    let sentence = "This link was altered on its way: its checksum does not fit. Ask for it again.";
    refused("altered", sentence)
}

/// It unpacks to something that is not a plan.
fn not_a_plan() -> Refusal {
    refused("not_a_plan", "This link does not hold a plan that can be read. Ask for it again.")
}

/// The plan as text. The form is described at the head of this module.
///
/// # Panics
/// Never: a plan always has a postcard form.
#[must_use]
pub fn write(plan: &Plan) -> String {
    let plain = postcard::to_allocvec(plan).unwrap_or_default();
    FORMS.last().map_or_else(String::new, |form| pack(&plain, form))
}

/// The bytes of a plan as the text of a form.
#[must_use]
pub fn pack(plain: &[u8], form: &Form) -> String {
    let mut packed = plain.len().to_le_bytes().get(..2).unwrap_or(&[0, 0]).to_vec();
    let mut body = vec![0; lz4_flex::block::get_maximum_output_size(plain.len())];
    let length = lz4_flex::block::compress_into_with_dict(plain, &mut body, form.dictionary).unwrap_or(0);
    packed.extend_from_slice(body.get(..length).unwrap_or(&[]));
    let payload = base58::encode(&packed);
    let mut text = format!("p{}-{}-{:08x}", form.version, payload.len(), crc32(&packed));
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
/// A sentence for each way in which a text can fail to be a plan.
pub fn read(text: &str) -> Result<Plan, Refusal> {
    read_forms(text, FORMS)
}

/// The same, of these forms.
///
/// # Errors
/// As [`read`].
pub fn read_forms(text: &str, forms: &[Form]) -> Result<Plan, Refusal> {
    if text.len() > MAX_TEXT {
        let sentence = format!(
            "This link is far too long for a plan: at most {MAX_TEXT} characters are read. Ask for it to be sent again."
        );
        return Err(refused("too_long", sentence));
    }
    let text = text.rsplit_once('#').map_or(text, |(_, fragment)| fragment).trim();
    let body = text.strip_prefix('p').ok_or_else(not_a_link)?;
    let mut parts = body.splitn(4, '-');
    let mut part = || parts.next().ok_or_else(not_a_link);
    let version = part()?;
    if version.is_empty() || version.len() > 6 || !version.bytes().all(|b| b.is_ascii_digit()) {
        return Err(not_a_link());
    }
    let version: u32 = version.parse().map_err(|_| not_a_link())?;
    if forms.iter().all(|form| form.version < version) {
        let sentence = format!(
            "This link was made by a newer version of the page ({version}). Update this page, then open the link again."
        );
        return Err(refused("newer_version", sentence));
    }
    let wanted: usize = part()?.parse().map_err(|_| not_a_link())?;
    let sum = u32::from_str_radix(part()?, 16).map_err(|_| not_a_link())?;
    let payload: String = part()?.chars().filter(|c| *c != '-' && !c.is_whitespace()).collect();
    if payload.len() != wanted {
        let sentence = format!(
            "This link was cut or added to on its way: {} characters came of {wanted}. Ask for it to be sent again.",
            payload.len()
        );
        return Err(refused("cut", sentence));
    }
    let packed = base58::decode(&payload).ok_or_else(altered)?;
    if crc32(&packed) != sum {
        return Err(altered());
    }
    let form = forms.iter().find(|form| form.version == version).ok_or_else(not_a_link)?;
    let mut plan = unpack(&packed, form)?;
    plan.check().map_err(|why| {
        let sentence = format!("The plan in this link was refused at {}. {why}", why.field());
        Refusal::new(why.code(), why.field().to_owned(), sentence)
    })?;
    Ok(plan)
}

/// Unpacks the bytes of a payload.
fn unpack(packed: &[u8], form: &Form) -> Result<Plan, Refusal> {
    let (&[low, high], rest) = packed.split_first_chunk::<2>().ok_or_else(not_a_plan)?;
    let size = usize::from(u16::from_le_bytes([low, high]));
    if size > MAX_BYTES {
        let sentence =
            format!("This link unpacks to {size} bytes; a plan has at most {MAX_BYTES}. Ask for it again.");
        return Err(refused("too_long", sentence));
    }
    let mut plain = vec![0; size];
    let length = lz4_flex::block::decompress_into_with_dict(rest, &mut plain, form.dictionary).ok();
    length.filter(|length| *length == size).and_then(|_| (form.plan)(&plain)).ok_or_else(not_a_plan)
}
