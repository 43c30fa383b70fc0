//! What is kept of a fall while it runs: places of the hook and shapes of the line, in even steps of time.

use super::Fall;
use super::hermite::Vec2;
use super::solver::Solver;

/// How many samples `dt` apart lie within `t_end`, the one at 0 included.
pub(super) fn samples(t_end: f64, dt: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 600 000")]
    let count = (t_end / dt + 1e-9) as usize;
    count + 1
}

/// Keeps the samples and frames that fall due in the step from `before` to `now`.
pub(super) fn keep(out: &mut Fall, solver: &Solver, before: f64, now: f64, t_end: f64) {
    let due = |done: usize, dt: f64| {
        let at = done as f64 * dt;
        (at <= now + 1e-9 && at <= t_end + 1e-9).then_some(at)
    };
    let h = now - before;
    let share = |at: f64| if h > 0.0 { ((at - before) / h).min(1.0) } else { 1.0 };
    while let Some(at) = due(out.hook_z_m.len(), out.sample_dt_s) {
        let r: Vec2 = solver.hook_between(share(at), h);
        out.hook_x_m.push(r[0]);
        out.hook_z_m.push(r[1]);
    }
    if let Some(frames) = &mut out.frames {
        while let Some(at) = due(frames.xz_m.len() / (2 * frames.nodes), frames.dt_s) {
            #[expect(clippy::cast_possible_truncation, reason = "single precision is for drawing")]
            frames.xz_m.extend(solver.shape_between(share(at), h).flat_map(|r| [r[0] as f32, r[1] as f32]));
        }
    }
}
