//! A rig's mark: one colour and one shape, the same on every screen and on paper.

use super::column::px;
use crate::plan::Rig;
use maud::{Markup, html};

/// Corners of the shapes round (0, 0), in the order of the colours `--rig-0` and on; nothing for circle and ring.
const CORNERS: [&str; 9] = [
    "",
    "0,-6.5 6.5,5.5 -6.5,5.5",
    "-5.5,-5.5 5.5,-5.5 5.5,5.5 -5.5,5.5",
    "0,-7 7,0 0,7 -7,0",
    "0,6.5 6.5,-5.5 -6.5,-5.5",
    "0,-6.8 6.5,-2.1 4,5.5 -4,5.5 -6.5,-2.1",
    "0,-7.5 2,-2.7 7.1,-2.3 3.2,1 4.4,6 0,3.3 -4.4,6 -3.2,1 -7.1,-2.3 -2,-2.7",
    "-2,-6.5 2,-6.5 2,-2 6.5,-2 6.5,2 2,2 2,6.5 -2,6.5 -2,2 -6.5,2 -6.5,-2 -2,-2",
    "",
];
/// The mark of a margin rig.
const MARGIN: usize = 4;

/// Which mark the rig at a place among others has: that of the margin for a name in M, else the next in the row.
pub(in crate::view) fn mark_among<'a>(names: impl Iterator<Item = &'a str>, place: usize) -> usize {
    let mut next = 0;
    for (i, name) in names.enumerate() {
        let margin = name.trim_start().starts_with(['M', 'm']);
        if i == place {
            let mark = next % (CORNERS.len() - 1);
            return if margin { MARGIN } else { mark + usize::from(mark >= MARGIN) };
        }
        next += usize::from(!margin);
    }
    0
}

/// The same among the rigs of a plan.
pub(in crate::view) fn mark_of(rigs: &[Rig], place: usize) -> usize {
    mark_among(rigs.iter().map(|rig| rig.name.as_str()), place)
}

/// The mark at a place in a drawing.
pub(in crate::view) fn mark_at(mark: usize, x: f64, y: f64) -> Markup {
    let at = ["translate(", &px(x), " ", &px(y), ")"].concat();
    html! {
        g class={ "mark m" (mark) } transform=(at) {
            @match CORNERS.get(mark).copied().unwrap_or_default() {
                "" if mark == 0 => circle r="5.8" {},
                "" => circle class="ring" r="4.6" {},
                corners => polygon points=(corners) {},
            }
        }
    }
}

/// The mark beside words.
pub(in crate::view) fn mark(mark: usize) -> Markup {
    html! { svg class="mark-alone" viewBox="-9 -9 18 18" width="18" height="18" aria-hidden="true" { (mark_at(mark, 0.0, 0.0)) } }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::presets;

    #[test]
    fn no_two_of_eight_rigs_look_alike_and_a_margin_rig_is_known() {
        let rig = presets()[0].plan.rigs[0].clone();
        let named = |name: &str| Rig { name: name.to_owned(), ..rig.clone() };
        let rigs: Vec<Rig> = ["A", "B", "C", "Margin", "D", "E", "F", "G"].map(named).to_vec();
        let marks: Vec<usize> = (0..8).map(|place| mark_of(&rigs, place)).collect();
        assert_eq!(marks, [0, 1, 2, 4, 3, 5, 6, 7]);
        for mark in 0..CORNERS.len() {
            assert!(mark_at(mark, 1.0, 2.0).into_string().starts_with("<g class=\"mark m"), "{mark}");
        }
    }
}
