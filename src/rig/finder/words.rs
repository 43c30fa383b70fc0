//! What makes a pattern better for an aim, and the trade-off in words.

use super::{Aim, Figures};
use crate::units::fixed;

/// The score of a pattern: the lower, the better. Public so that a search can be checked by trying every pattern.
///
/// - fall with the feed: how far the last third's speed is from the free cube's, as a share, and a fiftieth of the time
///   to the bottom over the own pattern's;
/// - get down fast: seconds to 0.67 of the depth, and a tenth of those to the bottom;
/// - slow last 30 cm: seconds above them, a quarter, less seconds in them;
/// - settle soonest: seconds to rest.
#[must_use]
pub fn score(aim: Aim, figures: &Figures, own_to_bottom_s: f64) -> f64 {
    match aim {
        Aim::FallWithFeed => {
            let off = figures.last_third_of_feed.map_or(f64::INFINITY, |share| (share - 1.0).abs());
            off + 0.02 * figures.to_bottom_s / own_to_bottom_s
        }
        Aim::GetDownFast => figures.to_two_thirds_s + 0.1 * figures.to_bottom_s,
        Aim::SlowLast30Cm => 0.25 * (figures.to_bottom_s - figures.last_30_cm_s) - figures.last_30_cm_s,
        Aim::SettleSoonest => figures.settle_s,
    }
}

/// What a pattern gives and costs beside the user's own, in words.
#[must_use]
pub fn words(new: &Figures, own: &Figures) -> String {
    let mut text =
        compare(new.to_bottom_s - own.to_bottom_s, "slower to the bottom", "quicker to the bottom")
            .unwrap_or_else(|| "As long to the bottom as yours".to_owned());
    if let (Some(share), Some(yours)) = (new.last_third_of_feed, own.last_third_of_feed) {
        text.push_str(", last third ");
        text.push_str(&than_feed(share));
        text.push_str(" (yours ");
        text.push_str(&than_feed(yours));
        text.push(')');
    }
    if let Some(part) =
        compare(new.last_30_cm_s - own.last_30_cm_s, "more in the last 30 cm", "less in the last 30 cm")
    {
        text.push_str(", ");
        text.push_str(&part);
    }
    if let Some(part) = compare(
        new.to_two_thirds_s - own.to_two_thirds_s,
        "longer in the upper two thirds",
        "less in the upper two thirds",
    ) {
        text.push_str(", ");
        text.push_str(&part);
    }
    text.push('.');
    text
}

/// How a share of the feed's speed is said: `23 % slower than the feed`.
#[must_use]
pub fn than_feed(share: f64) -> String {
    let off = (share - 1.0) * 100.0;
    match off {
        _ if off.abs() < 0.5 => "with the feed".to_owned(),
        ..0.0 => fixed(-off, 0) + " % slower than the feed",
        _ => fixed(off, 0) + " % faster than the feed",
    }
}

/// Times that differ by less are told as the same, s.
pub const AS_LONG_S: f64 = 0.15;

/// "3.2 s slower", or nothing when it cannot be told apart.
fn compare(difference_s: f64, more: &str, less: &str) -> Option<String> {
    if difference_s.abs() < AS_LONG_S {
        return None;
    }
    let decimals = u8::from(difference_s.abs() < 3.0);
    let mut text = fixed(difference_s.abs(), decimals);
    text.push_str(" s ");
    text.push_str(if difference_s > 0.0 { more } else { less });
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_tell_the_trade_off() {
        let own = Figures {
            to_bottom_s: 24.8,
            to_two_thirds_s: 12.0,
            last_third_of_feed: Some(0.86),
            last_30_cm_s: 8.6,
            settle_s: 24.8,
        };
        let new = Figures { to_bottom_s: 28.0, last_third_of_feed: Some(0.95), last_30_cm_s: 7.4, ..own };
        assert_eq!(
            words(&new, &own),
            "3 s slower to the bottom, last third 5 % slower than the feed (yours 14 % slower than the feed), 1.2 s less in the last 30 cm."
        );
        assert_eq!(
            words(&own, &own),
            "As long to the bottom as yours, last third 14 % slower than the feed (yours 14 % slower than the feed)."
        );
    }
}
