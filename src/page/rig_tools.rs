//! The small tools of the rigs screen, as state.

use super::settings::CardSize;

/// Many shot of one size on a scale, as far as they are entered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weighing {
    /// Place of the size in the shot box.
    pub size: i32,
    /// How many.
    pub count: Option<i32>,
    /// What the scale showed, tenths of a milligram.
    pub shown_tenth_mg: Option<i32>,
    /// Its step, tenths of a milligram.
    pub step_tenth_mg: i32,
}

impl Default for Weighing {
    fn default() -> Self {
        Self { size: 0, count: None, shown_tenth_mg: None, step_tenth_mg: 100 }
    }
}

/// The tools.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RigTools {
    /// A ladder's count, first depth and step, tenths of a millimetre.
    pub ladder: [i32; 3],
    /// A weighing of shot.
    pub weighing: Weighing,
    /// The size of the rig cards that are printed.
    pub card: CardSize,
}

impl Default for RigTools {
    fn default() -> Self {
        Self { ladder: [3, 3_048, 1_143], weighing: Weighing::default(), card: CardSize::default() }
    }
}
