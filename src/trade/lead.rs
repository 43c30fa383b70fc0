//! The law on lead shot, in one place: warnings, kit list, rigs and shot sizes all ask [`lead_law`].
//!
//! # Source
//! Supply: SI 1986/1992 regulation 4. Use, by the byelaws: the government's angling guidance allows lead of 0.06 g or
//! less, "from size 14 to size 8", and of more than 28.35 g (one ounce); Natural Resources Wales' page on its byelaws
//! exempts "size 8 dust shot (0.06 g) and smaller" and one ounce or more. They differ at exactly 28.35 g, which counts
//! as banned here.
//!
//! Both name No. 8 as allowed, and both give it 0.06 g. The English shot table (Spencer 2001) has it at 0.98 grain,
//! 0.0635 g, so an honest No. 8 may lie over the limit in grams: it is told apart from what is plainly too heavy.

use crate::units::{TenthMg, Units};

/// Density of lead, kg/m3 (element).
pub const KG_PER_M3: i32 = 11_350;
/// The heaviest small lead shot that may be used (0.06 g).
const MAX_SMALL: TenthMg = TenthMg(600);
/// The heaviest lead that may not be used (28.35 g).
const MAX_BANNED: TenthMg = TenthMg(283_500);
/// The sizes that the guidance allows by name.
const NAMED: core::ops::RangeInclusive<u32> = 8..=14;
/// Above this a shot is nearer to No. 7, whatever it is called: half way between No. 8 (63.5 mg) and No. 7 (342 to the
/// ounce, 82.9 mg) in the same table.
const MAX_NAMED: TenthMg = TenthMg(732);
/// Densities that are taken to be lead or its alloys, kg/m3; substitutes lie apart.
const DENSITIES: core::ops::RangeInclusive<i32> = 10_800..=11_600;

/// The rule for a screen, in a sentence or two.
pub const RULE: &str = "Lead shot from over 0.06 g to 28.35 g is not for fishing in England and Wales; No. 8 and smaller is allowed as 0.06 g. Elsewhere ask.";

/// What the law in England and Wales says of a shot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeadLaw {
    /// It is not lead.
    NotLead,
    /// Lead of a mass that is allowed.
    Allowed,
    /// A size that is allowed by name, of this mass, which is over the limit in grams.
    AllowedByName(TenthMg),
    /// Lead of this mass, which is not allowed.
    Banned(TenthMg),
}

/// What the law says of a shot of this name, mass and density (kg/m3). See the module's head for its sources.
#[must_use]
pub fn lead_law(name: &str, mass: TenthMg, density_kg_per_m3: i32) -> LeadLaw {
    if !DENSITIES.contains(&density_kg_per_m3) {
        LeadLaw::NotLead
    } else if mass <= MAX_SMALL || mass > MAX_BANNED {
        LeadLaw::Allowed
    } else if mass <= MAX_NAMED && size_number(name).is_some_and(|number| NAMED.contains(&number)) {
        LeadLaw::AllowedByName(mass)
    } else {
        LeadLaw::Banned(mass)
    }
}

/// The number in a size's name: 8 in `No. 8`, `no 8`, `Size 8 (lead)` and `8`; none in `BB`, `8.5` and `4x8`.
fn size_number(name: &str) -> Option<u32> {
    let start = name.find(|c: char| c.is_ascii_digit())?;
    let (before, rest) = name.split_at(start);
    let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let (number, after) = rest.split_at(end);
    let before = before.trim().trim_end_matches('.').to_ascii_lowercase();
    let whole = !after.starts_with(|c: char| c.is_alphanumeric() || matches!(c, '.' | ',' | '/'));
    (whole && matches!(before.as_str(), "" | "no" | "size" | "#")).then(|| number.parse().ok()).flatten()
}

impl LeadLaw {
    /// Whether it may not be used.
    #[must_use]
    pub fn is_banned(self) -> bool {
        matches!(self, Self::Banned(_))
    }

    /// What there is to say of it, to stand behind “is”; nothing of what is plainly allowed.
    #[must_use]
    pub fn words(self, units: Units) -> Option<String> {
        let limit = units.number(MAX_SMALL.g(), 2);
        match self {
            Self::NotLead | Self::Allowed => None,
            Self::AllowedByName(mass) => {
                let over = mass.0.saturating_sub(MAX_SMALL.0);
                let share = f64::from(over) / f64::from(MAX_SMALL.0) * 100.0;
                let (yours, over) = (units.shot_g(mass, 3), units.shot_g(TenthMg(over), 3));
                let share = units.number(share, 1);
                Some(format!(
                    "allowed as {limit} g; yours weighs {yours} g, {over} g ({share} %) over the limit: local rules decide"
                ))
            }
            Self::Banned(mass) => {
                let yours = units.shot_g(mass, 3);
                Some(format!("lead of {yours} g, over {limit} g: not for fishing in England and Wales"))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lead_stops_at_its_edges_in_grams() {
        let law = |mass| lead_law("BB", TenthMg(mass), KG_PER_M3);
        assert_eq!(law(600), LeadLaw::Allowed);
        assert_eq!(law(601), LeadLaw::Banned(TenthMg(601)));
        assert_eq!(law(283_500), LeadLaw::Banned(TenthMg(283_500)));
        assert_eq!(law(283_501), LeadLaw::Allowed);
        for tin_tungsten_bismuth in [7_310, 19_300, 9_747] {
            assert_eq!(lead_law("BB", TenthMg(4_000), tin_tungsten_bismuth), LeadLaw::NotLead);
        }
        let limits = [MAX_SMALL, MAX_BANNED].map(|limit| Units::default().number(limit.g(), 2) + " g");
        assert!(limits.iter().all(|limit| RULE.contains(limit)), "{limits:?}");
    }

    /// The sizes that the guidance names, at Spencer's 63.5 mg for No. 8; his No. 7 has 82.9 mg.
    #[test]
    fn sizes_named_in_the_guidance_are_allowed_by_name_as_long_as_they_are_that_size() {
        let law = |name, mass| lead_law(name, TenthMg(mass), KG_PER_M3);
        for name in ["No. 8", "No. 14", "no 8", "No.8", "8", " Size 8 (lead)", "#9"] {
            assert_eq!(law(name, 635), LeadLaw::AllowedByName(TenthMg(635)), "{name}");
            assert_eq!(law(name, 600), LeadLaw::Allowed, "{name}");
            assert!(law(name, 829).is_banned(), "{name} of the mass of a No. 7");
        }
        for name in ["No. 7", "No. 15", "BB", "", "8.5", "4x8", "No. 80", "99999999999", "é8", "8/10"] {
            assert!(law(name, 635).is_banned(), "{name}");
        }
    }

    #[test]
    fn the_words_tell_how_far_over_the_limit() {
        use crate::units::DecimalSign;
        let units = Units { sign: DecimalSign::Comma, ..Units::default() };
        assert_eq!(
            lead_law("No. 8", TenthMg(640), KG_PER_M3).words(Units::default()).unwrap(),
            "allowed as 0.06 g; yours weighs 0.064 g, 0.004 g (6.7 %) over the limit: local rules decide"
        );
        assert_eq!(
            lead_law("No. 6", TenthMg(1_055), KG_PER_M3).words(units).unwrap(),
            "lead of 0,1055 g, over 0,06 g: not for fishing in England and Wales"
        );
        assert_eq!(lead_law("No. 8", TenthMg(600), KG_PER_M3).words(units), None);
        assert_eq!(lead_law("BB", TenthMg(4_000), 7_310).words(units), None);
    }
}
