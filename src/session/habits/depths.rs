//! Shares by depth carried from water of one depth to water of another.

/// How far below the surface, and above the bottom, depths are kept as they are, m.
const KEPT_M: f64 = 1.0;

/// The depth in water `to_m` deep that answers a depth in water `from_m` deep, all in metres.
pub(super) fn place(depth_m: f64, from_m: f64, to_m: f64) -> f64 {
    let kept_m = KEPT_M.min(0.45 * from_m.min(to_m));
    if depth_m <= kept_m {
        depth_m
    } else if depth_m >= from_m - kept_m {
        to_m - (from_m - depth_m)
    } else {
        kept_m + (depth_m - kept_m) * (to_m - 2.0 * kept_m) / (from_m - 2.0 * kept_m)
    }
}

/// Lays shares of equal cells of water `from_m` deep on `cells` equal cells of water `to_m` deep. The sum is kept.
///
/// What is near the surface keeps its depth, what is near the bottom its height above it, and what lies between is
/// stretched: fish that feed shallow do so in any water.
pub(super) fn carried(shares: &[f64], from_m: f64, to_m: f64, cells: usize) -> Vec<f64> {
    if from_m.total_cmp(&to_m).is_eq() && shares.len() == cells {
        return shares.to_vec();
    }
    let (from_cell_m, to_cell_m) = (from_m / shares.len() as f64, to_m / cells as f64);
    let mut out = vec![0.0; cells];
    for (at, share) in shares.iter().enumerate() {
        let top_m = place(from_cell_m * at as f64, from_m, to_m).max(0.0);
        let height_m = (place(from_cell_m * (at + 1) as f64, from_m, to_m).min(to_m) - top_m).max(1e-9);
        let mut left = *share;
        for (cell, out) in out.iter_mut().enumerate() {
            let here_m = ((to_cell_m * (cell + 1) as f64).min(top_m + height_m)
                - (to_cell_m * cell as f64).max(top_m))
            .max(0.0);
            let here = (share * here_m / height_m).min(left);
            *out += here;
            left -= here;
        }
        if let Some(last) = out.last_mut() {
            *last += left.max(0.0);
        }
    }
    out
}
