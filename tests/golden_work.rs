//! The golden work that `./build.sh bench` times natively and as a component: that it still builds and comes to a figure.
//!
//! Source: none; what each piece should come to is held elsewhere, against sources of its own. This keeps the measure alive.

#[path = "bench/golden/src/lib.rs"]
#[allow(dead_code, unreachable_pub, missing_docs, clippy::pedantic, reason = "a crate of its own")]
mod golden;

#[test]
fn each_piece_of_work_comes_to_the_same_figure_again() {
    for (work, name) in golden::WORK.iter().enumerate() {
        let figure = golden::golden(work, 1);
        assert!(figure.is_finite() && figure > 0.0, "{name}: {figure}");
        assert_eq!(figure.to_bits(), golden::golden(work, 1).to_bits(), "{name}");
    }
}
