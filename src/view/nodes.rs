//! Markup of ours cut into its nodes, so that a browser need read only what has changed.

/// Elements without an end.
const VOID: [&str; 6] = ["br", "hr", "img", "input", "link", "meta"];

/// The top nodes of markup: whole elements, and the texts between them. Nothing where its elements do not end as they should.
#[must_use]
pub fn nodes(markup: &str) -> Option<Vec<&str>> {
    let mut nodes = Vec::new();
    let (mut depth, mut from, mut at) = (0_usize, 0, 0);
    while let Some(tag) = markup.get(at..)?.find('<').map(|found| at + found) {
        if depth == 0 && tag > from {
            nodes.push(markup.get(from..tag)?);
            from = tag;
        }
        at = tag + tag_of(markup.get(tag..)?)?.len();
        let closes = markup.get(tag + 1..)?.starts_with('/');
        if closes {
            depth = depth.checked_sub(1)?;
        } else if !VOID.contains(&name_of(markup.get(tag..at)?)) {
            depth += 1;
        }
        if depth == 0 {
            nodes.push(markup.get(from..at)?);
            from = at;
        }
    }
    nodes.extend(markup.get(from..).filter(|text| !text.is_empty()));
    (depth == 0).then_some(nodes)
}

/// An element's start, and the markup inside it; nothing of a text and of an element without an end.
#[must_use]
pub fn opened(node: &str) -> Option<(&str, &str)> {
    let start = node.starts_with('<').then(|| tag_of(node)).flatten()?;
    let inside = node.get(start.len()..node.rfind("</")?)?;
    Some((start, inside))
}

/// The name in an element's start.
#[must_use]
pub fn name_of(start: &str) -> &str {
    let name = start.strip_prefix('<').unwrap_or(start);
    name.split([' ', '>']).next().unwrap_or(name)
}

/// The attributes in an element's start, with their values as they are written there.
#[must_use]
pub fn attributes_of(start: &str) -> Vec<(&str, &str)> {
    let mut attributes = Vec::new();
    let mut rest =
        start.strip_suffix('>').and_then(|inner| inner.split_once(' ')).map_or("", |(_, rest)| rest);
    while !rest.is_empty() {
        let name = rest.split([' ', '=']).next().unwrap_or(rest);
        rest = rest.get(name.len()..).unwrap_or("");
        let mut value = "";
        if let Some((inner, after)) = rest.strip_prefix("=\"").and_then(|quoted| quoted.split_once('"')) {
            (value, rest) = (inner, after);
        }
        attributes.push((name, value));
        rest = rest.trim_start_matches([' ', '=']);
    }
    attributes
}

/// The text that is written as `markup`, where it is one that the markup library escaped.
#[must_use]
pub fn text_of(markup: &str) -> String {
    let plain = markup.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
    plain.replace("&amp;", "&")
}

/// Whether two nodes may be the same part of the page: texts, or elements of one name and of one class.
#[must_use]
pub fn alike(one: &str, other: &str) -> bool {
    let class = |node| tag_of(node).and_then(|start| start.split_once(" class=\"")?.1.split('"').next());
    let texts = (!one.starts_with('<'), !other.starts_with('<'));
    texts == (true, true)
        || texts == (false, false) && name_of(one) == name_of(other) && class(one) == class(other)
}

/// The tag that a text begins with. A `>` in quotes does not end it.
fn tag_of(text: &str) -> Option<&str> {
    let mut quoted = false;
    let end = text.bytes().position(|byte| {
        quoted ^= byte == b'"';
        byte == b'>' && !quoted
    });
    text.get(..=end?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::event::Event;
    use crate::page::{Opening, Page};

    #[test]
    fn markup_is_cut_at_its_top() {
        assert_eq!(
            nodes("a<b title=\"x > y\">c<i>d</i></b><br>e"),
            Some(vec!["a", "<b title=\"x > y\">c<i>d</i></b>", "<br>", "e"])
        );
        assert_eq!(nodes(""), Some(vec![]));
        assert_eq!(nodes("<b>"), None);
        assert_eq!(nodes("</b>"), None);
        assert_eq!(nodes("<b"), None);
        assert_eq!(opened("<b class=\"x\">c<i>d</i></b>"), Some(("<b class=\"x\">", "c<i>d</i>")));
        assert_eq!(opened("text"), None);
        assert_eq!(opened("<br>"), None);
        assert!(alike("<p class=\"a\" id=\"1\">x</p>", "<p id=\"2\" class=\"a\"></p>"));
        assert!(!alike("<p class=\"a\"></p>", "<p></p>"));
        assert!(!alike("<p></p>", "<b></b>"));
        assert!(alike("x", "y") && !alike("x", "<b></b>"));
        assert_eq!(
            attributes_of("<input type=\"text\" value=\"a = &quot;b&quot;\" hidden>"),
            [("type", "text"), ("value", "a = &quot;b&quot;"), ("hidden", "")]
        );
        assert_eq!(attributes_of("<br>"), []);
        let text = "\"5\" < 6 & 7 > &lt;";
        assert_eq!(text_of(&maud::html! { (text) }.into_string()), text);
    }

    /// Put together again, the nodes of every screen are its markup, down to the texts.
    #[test]
    fn every_screen_is_cut_and_put_together() {
        fn together(markup: &str) -> String {
            let nodes = nodes(markup).unwrap_or_else(|| panic!("not whole: {markup}"));
            let whole = |node: &&str| match opened(node) {
                Some((start, inside)) => format!("{start}{}</{}>", together(inside), name_of(start)),
                None => (*node).to_owned(),
            };
            nodes.iter().map(whole).collect()
        }
        let (mut page, _) = Page::open(Opening::default());
        for screen in [
            "day",
            "day.water",
            "bait",
            "bait.cube",
            "rigs",
            "rigs.float",
            "kit",
            "bank",
            "days",
            "settings",
            "about",
        ] {
            page.update(Event::Followed(screen.to_owned()));
            let markup = crate::view::screen(&page);
            assert_eq!(together(&markup), markup, "{screen}");
        }
    }
}
