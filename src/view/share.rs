//! Sharing: a link that carries the whole plan, a picture of it for another phone's camera, and a file.

use super::page::Page;
use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc, QrSegment, Version};

pub(super) fn panel(page: &Page, link: &str, can_send: bool) -> Markup {
    html! {
        h2 id="share-title" { "Share “" (page.plan.name) "”" }
        p { "The link carries the whole plan. Nothing else leaves this phone, and nothing is kept on any server." }
        label for="share-link" { "Link" }
        input id="share-link" data-share-link readonly type="text" value=(link);
        p class="acts" {
            @if can_send { button type="button" class="main" data-act="send" { "Send" } }
            button type="button" data-act="copy" class=(if can_send { "" } else { "main" }) { "Copy the link" }
            button type="button" data-act="save" { "Save as a file" }
            label class="button" { "Open a file" input type="file" data-open accept=".txt,text/plain" class="unseen"; }
        }
        p role="status" data-share-said {}
        @if let Some(code) = code(link) { (code) } @else { p class="hint" { "This link is too long for a picture that a camera could read." } }
        button type="button" data-act="close-share" { "Close" }
    }
}

/// The link as a QR code, black on white whatever the theme, with four modules of quiet zone.
pub(super) fn code(link: &str) -> Option<Markup> {
    let segments = QrSegment::make_segments(link);
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
        svg class="code" viewBox={ "0 0 " (side) " " (side) } role="img" aria-label="QR code of the link" shape-rendering="crispEdges" {
            rect class="white" width=(side) height=(side) {}
            path class="black" d=(path) {}
        }
    })
}
