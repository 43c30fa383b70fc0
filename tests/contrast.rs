//! Contrast of every pair of text and ground in the style sheet.
//!
//! Source: WCAG 2.2, relative luminance and contrast ratio (formula), success criteria 1.4.6 (text 7:1) and 1.4.11
//! (parts of drawings 3:1). The formula itself is held against values that two independent implementations gave for
//! greys on white (#595959 7.0047, #767676 4.5422, #949494 3.0335; tolerance 0.0001).

/// Relative luminance of a colour such as `#15191b`.
fn luminance(colour: &str) -> f64 {
    let channel = |i: usize| {
        let c = f64::from(u8::from_str_radix(&colour[i..i + 2], 16).expect("two hexadecimal digits")) / 255.0;
        if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
}

fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn the_formula_gives_the_known_values() {
    for (grey, ratio) in [
        ("#000000", 21.0),
        ("#595959", 7.0047),
        ("#5a5a5a", 6.8969),
        ("#767676", 4.5422),
        ("#949494", 3.0335),
    ] {
        assert!((contrast(grey, "#ffffff") - ratio).abs() < 1e-4, "{grey}");
    }
}

/// The palettes of the style sheet: each block that sets `--paper`.
fn palettes() -> Vec<std::collections::BTreeMap<String, String>> {
    let css = include_str!("../www/style.css");
    css.split('{')
        .filter(|block| block.contains("--paper: #"))
        .map(|block| {
            let body = block.split('}').next().expect("a block");
            body.lines()
                .filter_map(|l| l.trim().strip_prefix("--")?.strip_suffix(';')?.split_once(": "))
                .map(|(name, value)| (name.to_owned(), value.to_owned()))
                .collect()
        })
        .collect()
}

#[test]
fn text_has_7_to_1_and_drawings_3_to_1_in_every_palette() {
    let palettes = palettes();
    assert_eq!(palettes.len(), 4, "day, night by hand, night by the phone, paper");
    assert_eq!(palettes[1], palettes[2], "both nights are one");
    for palette in palettes {
        let ratio = |a: &str, b: &str| contrast(&palette[a], &palette[b]);
        for text in ["ink", "soft", "deep", "warning"] {
            assert!(ratio(text, "paper") >= 7.0, "{text} on paper: {:.2}", ratio(text, "paper"));
        }
        assert!(ratio("ink", "water") >= 7.0);
        assert!(ratio("on-deep", "deep") >= 7.0);
        for part in ["bait", "deep", "edge"] {
            assert!(ratio(part, "paper") >= 3.0 && ratio(part, "water") >= 3.0, "{part}");
        }
    }
}
