//! Where loose feed lands: the mean of the patch and its spread, by drift, undertow and the throw.
//!
//! The water's drift is taken to change evenly from the surface, where it goes with the wind, to the bed, where the undertow
//! goes the other way; a piece that falls steadily from rest on meets the mean of what it passes. The throw has a spread of its
//! own by method. Pieces that float never land.
//!
//! Source: common practice, no published source, for the throws; the even profile is our simplification (in a closed lake what
//! goes out on top comes back below). Validity: still banks, no vegetation, drift up to 0.3 m/s.

use super::amount::Method;
use crate::estimate::{Estimate, Z90};
use crate::refusal::{Refusal, within};

/// What [`patch`] is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PatchRequest {
    /// How the feed gets there.
    pub method: Method,
    /// From the bank, m (0.5 to 20).
    pub distance_m: f64,
    /// Depth of the water there, m (0.1 to 30).
    pub water_m: f64,
    /// Depth at which the patch is looked at, m (0 to the water's).
    pub depth_m: f64,
    /// Time of a piece to that depth, s; its band is that of nine pieces in ten.
    pub time_s: Estimate,
    /// Drift at the surface, m/s (0 to 1), with the wind.
    pub drift_m_per_s: f64,
    /// Undertow at the bed, m/s (-1 to 1), against the wind.
    pub undertow_m_per_s: f64,
    /// Share of the pieces that float, 0 to 1.
    pub floating_share: f64,
}

/// The patch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// How far its middle lies from where the feed went in, m, with the wind; below 0 against it.
    pub drift_m: f64,
    /// Standard deviation of the pieces along the wind, m: throw and times together.
    pub along_m: f64,
    /// Standard deviation across it, m: the throw's.
    pub across_m: f64,
    /// Share of the feed that reaches the depth as long as no fish takes it, 0 to 1.
    pub reaches_share: f64,
}

impl Method {
    /// Standard deviation of where single pieces of one feed go in, as a part of the distance: by hand 0.06, by catapult 0.04;
    /// from a cup on the pole 0.15 m at any distance. Common practice, no published source.
    #[must_use]
    pub fn spread_m(self, distance_m: f64) -> f64 {
        match self {
            Self::Hand => 0.06 * distance_m,
            Self::Catapult => 0.04 * distance_m,
            Self::PoleCup => 0.15,
        }
    }
}

/// Where a feed is at a depth.
///
/// # Errors
/// A number outside its range.
pub fn patch(request: &PatchRequest) -> Result<Patch, Refusal> {
    within("distance_m", "distance", request.distance_m, (0.5, 20.0), "m")?;
    within("water_m", "depth of the water", request.water_m, (0.1, 30.0), "m")?;
    within("depth_m", "depth", request.depth_m, (0.0, request.water_m), "m")?;
    within("drift_m_per_s", "drift", request.drift_m_per_s, (0.0, 1.0), "m/s")?;
    within("undertow_m_per_s", "undertow", request.undertow_m_per_s, (-1.0, 1.0), "m/s")?;
    within("floating_share", "share that floats", request.floating_share, (0.0, 1.0), "")?;
    let Estimate { low, mid, high } = request.time_s;
    within("time_s", "time to the depth", mid, (0.0, 1e4), "s")?;
    let down = request.depth_m / request.water_m;
    let mean_m_per_s =
        request.drift_m_per_s - 0.5 * down * (request.drift_m_per_s + request.undertow_m_per_s);
    // Where the slowest piece never comes, the quick side stands for both.
    let time_sd = if high.is_finite() { (high - low) / (2.0 * Z90) } else { (mid - low) / Z90 };
    let across_m = request.method.spread_m(request.distance_m);
    Ok(Patch {
        drift_m: mean_m_per_s * mid,
        along_m: across_m.hypot(mean_m_per_s * time_sd),
        across_m,
        reaches_share: 1.0 - request.floating_share,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const FEED: PatchRequest = PatchRequest {
        method: Method::Catapult,
        distance_m: 13.0,
        water_m: 2.0,
        depth_m: 2.0,
        time_s: Estimate { low: 24.0, mid: 32.0, high: 40.0 },
        drift_m_per_s: 0.05,
        undertow_m_per_s: 0.01,
        floating_share: 0.1,
    };

    /// By hand: at the bed the mean of 0.05 and -0.01 m/s over 32 s is 0.64 m; times differ by 4.86 s as a standard deviation,
    /// 0.097 m, beside a throw of 0.52 m.
    #[test]
    fn a_feed_lands_where_the_mean_of_the_water_takes_it() {
        let bed = patch(&FEED).unwrap();
        assert!((bed.drift_m - 0.64).abs() < 1e-12 && (bed.across_m - 0.52).abs() < 1e-12);
        assert!((bed.along_m - 0.5290).abs() < 1e-3, "{bed:?}");
        assert!((bed.reaches_share - 0.9).abs() < 1e-12);
        // Up in the water it has only met the drift: 0.05 - 0.25 x 0.06 over 16 s.
        let half = patch(&PatchRequest { depth_m: 1.0, time_s: Estimate::exact(16.0), ..FEED }).unwrap();
        assert!((half.drift_m - 16.0 * 0.035).abs() < 1e-12 && (half.along_m - 0.52).abs() < 1e-12);
        let still = patch(&PatchRequest { drift_m_per_s: 0.0, undertow_m_per_s: 0.0, ..FEED }).unwrap();
        assert!(still.drift_m.abs() < 1e-12 && (still.along_m - still.across_m).abs() < 1e-12);
        let hand = patch(&PatchRequest { method: Method::Hand, ..FEED }).unwrap();
        assert!(hand.across_m > bed.across_m, "a catapult groups closer");
    }

    #[test]
    fn what_cannot_be_is_refused_and_a_piece_that_never_lands_is_no_trouble() {
        assert_eq!(patch(&PatchRequest { distance_m: f64::NAN, ..FEED }).unwrap_err().field(), "distance_m");
        assert_eq!(patch(&PatchRequest { depth_m: 2.1, ..FEED }).unwrap_err().field(), "depth_m");
        let never = Estimate { high: f64::INFINITY, ..FEED.time_s };
        assert!(patch(&PatchRequest { time_s: never, ..FEED }).unwrap().along_m.is_finite());
    }
}
