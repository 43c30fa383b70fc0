//! Sharing: a link that carries the whole plan, a picture of it for another phone's camera, and a file.
//!
//! The page as a file on the phone has no address that leads anybody else to it. There the plan's own text is shared,
//! which any copy of the page opens.

use crate::page::Page;
use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc, QrSegment, Version};

/// The widest picture, CSS pixels: about 9 cm.
const WIDEST: i32 = 352;

/// The markup of the share panel.
#[must_use]
pub fn panel(page: &Page) -> String {
    let (hosted, can_send, text) = (page.place.address.is_some(), page.place.share_sheet, page.share_text());
    let (name, copy) =
        if hosted { ("Link", "Copy the link") } else { ("The plan’s text", "Copy the text") };
    html! {
        h2 id="share-title" { "Share “" (page.plan.name) "”" }
        @if hosted {
            p { "The link carries the whole plan. Nothing else leaves this phone, and nothing is kept on any server." }
        } @else {
            p { "This page is a file on your phone, so no link leads others to it. Send them the file, or this text if they have Dotdown: they open it under Share. It carries the whole plan." }
        }
        label for="share-link" { (name) }
        input id="share-link" data-share-link readonly type="text" value=(text);
        p class="actions" {
            @if can_send { button type="button" class="main" data-act="send" { "Send" } }
            button type="button" data-act="copy" class=(if can_send { "" } else { "main" }) { (copy) }
            button type="button" data-act="save" { "Save as a file" }
        }
        p role="status" data-share-said {}
        @if let Some(code) = code(&text) { (code) } @else { p class="hint" { "This plan is too long for a picture that a camera could read." } }
        details class="fold" {
            summary { h2 { "Open another plan" } }
            label for="share-paste" { "A link or a plan’s text" }
            input id="share-paste" data-paste type="text" autocomplete="off" autocapitalize="off" spellcheck="false";
            p class="actions" {
                button type="button" data-act="paste" { "Open it" }
                label class="button" { "Open a file" input type="file" data-open="plan" accept=".txt,text/plain" class="visually-hidden"; }
            }
        }
        button type="button" data-act="close-share" { "Close" }
    }
    .into_string()
}

/// How wide a picture of so many modules a side is shown where there is so much room, CSS pixels. Each module is a whole
/// number of pixels, so that all come out alike on every screen; at least two, so that a camera tells them apart. It is
/// never under 25 mm (95 pixels) in print.
#[must_use]
pub fn code_width(side: i32, room: i32) -> i32 {
    let side = side.max(1);
    (room.min(WIDEST) / side).max(2) * side
}

/// The text as a QR code, black on white whatever the theme, with four modules of quiet zone.
pub(super) fn code(text: &str) -> Option<Markup> {
    let segments = QrSegment::make_segments(text);
    let code = QrCode::encode_segments_advanced(
        &segments,
        QrCodeEcc::Medium,
        Version::MIN,
        Version::new(25),
        None,
        true,
    )
    .ok()?;
    let size = code.size();
    let mut path = String::new();
    for y in 0..size {
        let mut x = 0;
        while x < size {
            let start = x;
            while x < size && code.get_module(x, y) {
                x += 1;
            }
            if x > start {
                let run = (x - start).to_string();
                path.push_str(
                    &["M", &(start + 4).to_string(), " ", &(y + 4).to_string(), "h", &run, "v1h-", &run, "z"]
                        .concat(),
                );
            }
            x += 1;
        }
    }
    let side = (size + 8).to_string();
    Some(html! {
        svg class="code" viewBox={ "0 0 " (side) " " (side) } data-side=(side) role="img" aria-label="QR code of what is shared" shape-rendering="crispEdges" {
            rect class="white" width=(side) height=(side) {}
            path class="black" d=(path) {}
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::settings::Surroundings;

    #[test]
    fn a_code_is_whole_pixels_wide_and_never_under_25_mm() {
        for side in (29..=125).step_by(4) {
            for room in [0, 100, 248, 286, 322, 352, 2000] {
                let wide = code_width(side, room);
                assert!(wide % side == 0 && wide / side >= 2, "{side} in {room}: {wide}");
                assert!(wide <= room.min(WIDEST).max(2 * side), "{side} in {room}: {wide}");
            }
            assert!(f64::from(code_width(side, WIDEST)) >= 25.0 / 25.4 * 96.0);
        }
    }

    #[test]
    fn a_text_that_no_camera_could_read_gets_no_code() {
        assert!(code(&"x".repeat(997)).is_some());
        assert!(code(&"x".repeat(998)).is_none());
    }

    #[test]
    fn a_page_that_is_a_file_offers_text_and_no_link() {
        let mut page = Page::new();
        page.place.share_sheet = true;
        let file = panel(&page);
        page.place = Surroundings {
            address: Some("https://lake.invalid/".to_owned()),
            share_sheet: false,
            ..Surroundings::default()
        };
        let host = panel(&page);
        assert!(
            file.contains("no link leads others") && file.contains("Copy the text") && file.contains("Send")
        );
        assert!(host.contains("Copy the link") && !host.contains("data-act=\"send\""));
    }
}
