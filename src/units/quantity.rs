//! What a whole number in the plan stands for, and how it is written in the reader's units.

use super::date::{clock_words, date_of};
use super::number::{decimal, fixed, tenth_mm};
use serde::{Deserialize, Serialize};

/// A mass in tenths of a milligram, the grain in which shot is counted exactly.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct TenthMg(pub u32);

impl TenthMg {
    /// The mass in kilograms.
    #[must_use]
    pub fn kg(self) -> f64 {
        f64::from(self.0) * 1e-7
    }

    /// The mass in grams.
    #[must_use]
    pub fn g(self) -> f64 {
        f64::from(self.0) * 1e-4
    }
}

/// Tenths of a millimetre in an inch: exact by definition (1959).
pub const INCH_TENTH_MM: i32 = 254;
pub(super) const FOOT_TENTH_MM: i32 = 12 * INCH_TENTH_MM;

/// How lengths are written and bare numbers are read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum LengthUnits {
    /// Feet and inches.
    #[default]
    Imperial,
    /// Metres and centimetres.
    Metric,
}

/// The decimal sign that is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum DecimalSign {
    /// 6.1
    #[default]
    Point,
    /// 6,1
    Comma,
}

/// The user's choice of units: lengths in feet and inches or metric, and the decimal sign.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(default, deny_unknown_fields)]
pub struct Units {
    /// How lengths are written.
    pub lengths: LengthUnits,
    /// The decimal sign that is written.
    pub sign: DecimalSign,
}

/// What a whole number in the plan means, and so how it is written and read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// A depth of water or a pole's reach, tenths of a millimetre; written in metres or feet and inches.
    Reach,
    /// A depth of a rig or a distance from the hook, tenths of a millimetre; written in cm or (feet and) inches.
    Depth,
    /// A size of bait or block, tenths of a millimetre; always written in mm.
    Size,
    /// A line's diameter, micrometres; written in mm with three decimals.
    Diameter,
    /// Tenths of a degree Celsius.
    Temperature,
    /// Tenths of a gram in 100 g.
    PerHundred,
    /// Tenths of a percent.
    Percent,
    /// Whole grams.
    Grams,
    /// Tenths of a milligram; written in grams with three decimals, or four where they are needed.
    ShotMass,
    /// Whole minutes of duration.
    Minutes,
    /// Minutes since midnight; written 09:30.
    Clock,
    /// Days since 1 January 1970; written 2026-07-11.
    Date,
    /// Whole seconds.
    Seconds,
    /// A bare count.
    Count,
    /// Hectopascals.
    Pressure,
    /// Kilograms per cubic metre.
    Density,
    /// Thousandths of a second; written in seconds.
    Milliseconds,
    /// Millilitres.
    Millilitres,
}

impl Quantity {
    /// The unit's sign as it is written behind a number, and how many decimals the whole number carries.
    #[must_use]
    pub fn unit(self) -> (&'static str, u8) {
        match self {
            Self::Size => ("mm", 1),
            Self::Diameter => ("mm", 3),
            Self::Temperature => ("°C", 1),
            Self::PerHundred => ("g", 1),
            Self::Percent => ("%", 1),
            Self::Grams => ("g", 0),
            Self::ShotMass => ("g", 4),
            Self::Minutes => ("min", 0),
            Self::Seconds => ("s", 0),
            Self::Pressure => ("hPa", 0),
            Self::Density => ("kg/m3", 0),
            Self::Milliseconds => ("s", 3),
            Self::Millilitres => ("ml", 0),
            Self::Reach | Self::Depth | Self::Clock | Self::Date | Self::Count => ("", 0),
        }
    }

    /// The words that may stand behind a number of this kind.
    pub(super) fn accepts(self, unit: &str) -> bool {
        let (own, _) = self.unit();
        unit == own
            || match self {
                Self::Temperature => matches!(unit, "C" | "c" | "°" | "°c"),
                Self::Minutes => matches!(unit, "m" | "mins" | "minutes"),
                Self::Seconds | Self::Milliseconds => matches!(unit, "sec" | "secs" | "seconds"),
                Self::Pressure => matches!(unit, "hpa" | "mb" | "mbar"),
                _ => false,
            }
    }
}

impl Units {
    /// Puts the decimal sign of this choice into a text written with a point.
    pub(crate) fn signed(self, text: String) -> String {
        if self.sign == DecimalSign::Comma { text.replace('.', ",") } else { text }
    }

    /// A written text with this choice's decimal sign between its digits.
    #[must_use]
    pub(crate) fn prose(self, text: &str) -> String {
        if self.sign == DecimalSign::Point {
            return text.to_owned();
        }
        let mut out = String::with_capacity(text.len());
        let mut last = ' ';
        let mut letters = text.chars().peekable();
        while let Some(c) = letters.next() {
            let decimal =
                c == '.' && last.is_ascii_digit() && letters.peek().is_some_and(char::is_ascii_digit);
            out.push(if decimal { ',' } else { c });
            last = c;
        }
        out
    }

    /// A number with fixed decimals and this choice's decimal sign.
    #[must_use]
    pub fn number(self, value: f64, decimals: u8) -> String {
        self.signed(fixed(value, decimals))
    }

    /// The grams of a mass with at least so many decimals (0 to 4) and as many more as it has: `0.062` and `0.0625`.
    #[must_use]
    pub fn shot_g(self, mass: TenthMg, least: u8) -> String {
        let exact =
            |decimals: &u8| mass.0.is_multiple_of(10_u32.pow(4_u32.saturating_sub((*decimals).into())));
        self.number(mass.g(), (least..4).find(exact).unwrap_or(4))
    }

    /// A whole number of `kind` as text, with its unit where one belongs behind it.
    ///
    /// What [`super::parse`] makes of the text is the number rounded to what is shown.
    #[must_use]
    pub fn text(self, value: i32, kind: Quantity) -> String {
        let bare = self.bare(value, kind);
        let (unit, _) = kind.unit();
        if unit.is_empty() { bare } else { bare + if unit == "%" { "" } else { " " } + unit }
    }

    /// The same without the unit, for an input field whose unit stands beside it. Lengths keep theirs.
    #[must_use]
    pub fn bare(self, value: i32, kind: Quantity) -> String {
        match kind {
            Quantity::Reach | Quantity::Depth => self.length(value, kind),
            Quantity::Clock => clock_words(value),
            Quantity::Date => {
                let (year, month, day) = date_of(value);
                format!("{year}-{month:02}-{day:02}")
            }
            _ => {
                let (_, decimals) = kind.unit();
                let sign = if self.sign == DecimalSign::Comma { ',' } else { '.' };
                let mut text = decimal(u64::from(value.unsigned_abs()), decimals, value < 0, sign);
                if matches!(kind, Quantity::Size | Quantity::Temperature | Quantity::Percent)
                    && let Some(short) = text.strip_suffix(".0").or_else(|| text.strip_suffix(",0"))
                {
                    text.truncate(short.len());
                }
                if kind == Quantity::ShotMass
                    && let Some(short) = text.strip_suffix('0')
                {
                    text.truncate(short.len());
                }
                text
            }
        }
    }

    /// A length from tenths of a millimetre.
    fn length(self, value: i32, kind: Quantity) -> String {
        match (self.lengths, kind) {
            (LengthUnits::Imperial, _) => feet_inches(value),
            (LengthUnits::Metric, Quantity::Reach) => self.number(f64::from(value) / 1e4, 2) + " m",
            (LengthUnits::Metric, _) => {
                // Whole centimetres are fine enough, as half inches are, but not for a short hooklength.
                let decimals = u8::from(value.unsigned_abs() < 1_000);
                let text = self.number(f64::from(value) / 1e2, decimals);
                let short = text.strip_suffix(".0").or_else(|| text.strip_suffix(",0")).unwrap_or(&text);
                short.to_owned() + " cm"
            }
        }
    }

    /// A speed: seconds a foot, or centimetres a second.
    #[must_use]
    pub fn speed(self, m_per_s: f64) -> String {
        match self.lengths {
            LengthUnits::Imperial => self.number(FOOT_M / m_per_s, 1) + " s a foot",
            LengthUnits::Metric => self.number(m_per_s * 100.0, 1) + " cm/s",
        }
    }

    /// A range of speeds without the unit, the smaller number first: `4.0 to 6.9`. What stands still has no end.
    #[must_use]
    pub fn speeds(self, low_m_per_s: f64, high_m_per_s: f64) -> String {
        let (from, to) = match self.lengths {
            LengthUnits::Imperial => (FOOT_M / high_m_per_s, FOOT_M / low_m_per_s),
            LengthUnits::Metric => (low_m_per_s * 100.0, high_m_per_s * 100.0),
        };
        let to = if to.is_finite() { self.number(to, 1) } else { "never".to_owned() };
        [&self.number(from, 1), " to ", &to].concat()
    }

    /// A mass of fish: pounds and ounces, or kilograms.
    #[must_use]
    pub fn weight(self, mass_kg: f64) -> String {
        if self.lengths == LengthUnits::Metric {
            return [&self.number(mass_kg, 1), " kg"].concat();
        }
        let ounces = (mass_kg / OUNCE_KG).round();
        let pounds = (ounces / 16.0).floor();
        [&fixed(pounds, 0), " lb ", &fixed(ounces - 16.0 * pounds, 0), " oz"].concat()
    }

    /// A depth given in metres, in this choice's words.
    #[must_use]
    pub fn depth_m(self, depth_m: f64) -> String {
        self.length(tenth_mm(depth_m), Quantity::Depth)
    }
}

/// An ounce, kg.
const OUNCE_KG: f64 = 0.028_349_523_125;
/// A foot, m.
const FOOT_M: f64 = 0.3048;

/// Inches under two feet, else feet and inches, to the half inch.
fn feet_inches(value: i32) -> String {
    let negative = value < 0;
    let halves = (i64::from(value).abs() * 2 + i64::from(INCH_TENTH_MM) / 2) / i64::from(INCH_TENTH_MM);
    let (whole, half) = (halves / 2, halves % 2 == 1);
    let sign = if negative && halves > 0 { "-" } else { "" };
    let (tail, feet, inches) = (if half { "½" } else { "" }, whole / 12, whole % 12);
    match whole {
        24.. if inches == 0 && !half => format!("{sign}{feet} ft"),
        24.. => format!("{sign}{feet} ft {inches}{tail}"),
        0 if half => format!("{sign}½ in"),
        _ => format!("{sign}{whole}{tail} in"),
    }
}
