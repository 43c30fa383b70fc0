//! What every refusal carries: a code, the field, and a sentence that says what was expected, what came and what
//! to do.

use core::fmt;

/// What each room's own error enum can say of itself, so that a screen or a script can show it beside the field.
pub trait Fault: fmt::Display + fmt::Debug {
    /// A short stable word for programs, such as `too_large`.
    fn code(&self) -> &'static str;
    /// The field that was refused, as the plan or the request names it (`bait.fat`), or `""` for the whole.
    fn field(&self) -> String;
}
