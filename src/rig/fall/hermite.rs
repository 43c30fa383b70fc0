//! Places between two steps, from the places and speeds at both.

/// A vector (x, z) in the plane of the fall.
pub(super) type Vec2 = [f64; 2];

/// Cubic through two points with their slopes, at the share `u` of the step `h`.
pub(super) fn hermite(z: [f64; 2], v: [f64; 2], h: f64, u: f64) -> f64 {
    let w = 1.0 - u;
    w * w * (1.0 + 2.0 * u) * z[0] + u * u * (1.0 + 2.0 * w) * z[1] + h * u * w * (w * v[0] - u * v[1])
}
