//! What more than one screen needs: fields, rows, marks of rigs, drawings to scale, Why panels, shared words.

pub(super) mod column;
pub(super) mod field;
pub(super) mod mark;
pub(super) mod row;
pub(super) mod scene;
pub(super) mod why;
pub(super) mod words;
