//! What more than one screen needs: fields, drawings to scale, Why panels, shared words.

pub(super) mod column;
pub(super) mod field;
pub(super) mod why;
pub(super) mod words;
