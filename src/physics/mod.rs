//! Published laws of water, drag, food and rubber. No word of the trade in here.

pub mod drag;
pub mod food;
pub mod line_drag;
pub mod rubber;
pub mod settling;
pub mod water;

/// Standard gravity, m/s2 (exact by convention, 3rd CGPM 1901).
pub const G_M_PER_S2: f64 = 9.80665;
