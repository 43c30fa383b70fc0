//! JSON (RFC 8259) as far as a book needs it: objects, lists, texts, whole numbers, yes and no, nothing.
//!
//! Read strictly and in one pass, without a tree in memory: who reads asks for what must stand next, and a refusal names
//! the line, the column and the path. Decimals are refused: the book has none, and the standard library's reading of
//! them alone would weigh as much as all of this.

use super::merge::Value;
use crate::refusal::Refusal;
use std::fmt::Write;

/// The deepest that lists and objects may lie in each other where they are passed over.
const MAX_DEPTH: usize = 32;
/// The largest number: every whole number up to it is exact in a script.
const MAX_WHOLE: i64 = 1 << 53;

/// A text in quotation marks.
pub(super) fn quoted(text: &str) -> String {
    let mut json = String::with_capacity(text.len() + 2);
    json.push('"');
    for c in text.chars() {
        match c {
            '"' => json.push_str("\\\""),
            '\\' => json.push_str("\\\\"),
            '\n' => json.push_str("\\n"),
            c if c.is_control() => {
                let mut units = [0; 2];
                for unit in c.encode_utf16(&mut units) {
                    let _ = write!(json, "\\u{unit:04x}");
                }
            }
            c => json.push(c),
        }
    }
    json.push('"');
    json
}

/// What a part holds.
pub(super) fn value(value: &Value) -> String {
    let row = |entries: Vec<String>| format!("[{}]", entries.join(","));
    match value {
        Value::Nothing => "null".to_owned(),
        Value::Flag(flag) => flag.to_string(),
        Value::Number(number) => number.to_string(),
        Value::Text(text) => quoted(text),
        Value::Numbers(numbers) => row(numbers.iter().map(ToString::to_string).collect()),
        Value::Pairs(pairs) => row(pairs.iter().map(|(name, n)| format!("[{},{n}]", quoted(name))).collect()),
    }
}

/// A text that is read from its beginning on.
pub(super) struct Reader<'a> {
    text: &'a str,
    at: usize,
    path: Vec<String>,
}

impl<'a> Reader<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Self { text, at: 0, path: Vec::new() }
    }

    /// Refuses what stands here: `what` says what had to.
    pub(super) fn refuse(&self, what: &str) -> Refusal {
        let before = self.text.get(..self.at).unwrap_or(self.text);
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
        let sentence =
            format!("Line {line}, column {column} of this file cannot be read: {what}. Nothing was changed.");
        Refusal::new("unreadable", self.path.join("."), sentence)
    }

    /// Passes the refusal of something that was read on, with its place.
    pub(super) fn explain(&self, why: &Refusal) -> Refusal {
        self.refuse(why.to_string().trim_end_matches('.'))
    }

    fn skip_space(&mut self) {
        let rest = self.text.get(self.at..).unwrap_or_default();
        self.at += rest.len() - rest.trim_start_matches([' ', '\n', '\r', '\t']).len();
    }

    fn peek(&mut self) -> Option<u8> {
        self.skip_space();
        self.text.as_bytes().get(self.at).copied()
    }

    fn take(&mut self, byte: u8) -> bool {
        let found = self.peek() == Some(byte);
        self.at += usize::from(found);
        found
    }

    fn wants(&mut self, byte: u8, what: &str) -> Result<(), Refusal> {
        if self.take(byte) { Ok(()) } else { Err(self.refuse(what)) }
    }

    /// Nothing may follow.
    pub(super) fn end(&mut self) -> Result<(), Refusal> {
        if self.peek().is_none() {
            Ok(())
        } else {
            Err(self.refuse("nothing belongs behind its last bracket"))
        }
    }

    /// Reads what lies in brackets, and says where.
    fn inside(
        &mut self,
        place: String,
        read: &mut dyn FnMut(&mut Self) -> Result<(), Refusal>,
    ) -> Result<(), Refusal> {
        self.path.push(place);
        read(self)?;
        self.path.pop();
        Ok(())
    }

    /// An object; `each` reads the value of one member.
    pub(super) fn object(
        &mut self,
        each: &mut dyn FnMut(&mut Self, &str) -> Result<(), Refusal>,
    ) -> Result<(), Refusal> {
        self.wants(b'{', "an object in { } must stand here")?;
        if self.take(b'}') {
            return Ok(());
        }
        loop {
            let key = self.text()?;
            self.wants(b':', "a colon must stand behind a name")?;
            self.inside(key.clone(), &mut |reader| each(reader, &key))?;
            if !self.take(b',') {
                return self.wants(b'}', "a comma or } must stand here");
            }
        }
    }

    /// A list; `each` reads one entry.
    pub(super) fn list(
        &mut self,
        each: &mut dyn FnMut(&mut Self) -> Result<(), Refusal>,
    ) -> Result<(), Refusal> {
        self.wants(b'[', "a list in [ ] must stand here")?;
        if self.take(b']') {
            return Ok(());
        }
        for place in 0_usize.. {
            self.inside(place.to_string(), each)?;
            if !self.take(b',') {
                break;
            }
        }
        self.wants(b']', "a comma or ] must stand here")
    }

    /// A text.
    pub(super) fn text(&mut self) -> Result<String, Refusal> {
        self.wants(b'"', "a text in quotation marks must stand here")?;
        let mut text = String::new();
        loop {
            let rest = self.text.get(self.at..).unwrap_or_default();
            let plain = rest.find(|c: char| c == '"' || c == '\\' || c < ' ').unwrap_or(rest.len());
            let (before, from) = rest.split_at(plain);
            text.push_str(before);
            self.at += plain;
            let mut next = from.chars();
            match next.next() {
                Some('"') => {
                    self.at += 1;
                    return Ok(text);
                }
                Some('\\') => {
                    self.at += 1;
                    text.push(self.escaped()?);
                }
                _ => return Err(self.refuse("a text has no end")),
            }
        }
    }

    /// What a backslash stands for.
    fn escaped(&mut self) -> Result<char, Refusal> {
        let sign = self.text.as_bytes().get(self.at).copied();
        let letter = match sign {
            Some(b @ (b'"' | b'\\' | b'/')) => char::from(b),
            Some(b'n') => '\n',
            Some(b'r') => '\r',
            Some(b't') => '\t',
            Some(b'b') => '\u{8}',
            Some(b'f') => '\u{c}',
            Some(b'u') => {
                let first = self.unit(1);
                let more = self.text.get(self.at + 5..self.at + 7) == Some("\\u");
                let pair = [first.unwrap_or(0), if more { self.unit(7).unwrap_or(0) } else { 0 }];
                let high = (0xd800..0xdc00).contains(&pair[0]);
                let units = pair.get(..if high { 2 } else { 1 }).unwrap_or(&[]);
                let letter = first.and_then(|_| char::decode_utf16(units.iter().copied()).next()?.ok());
                let letter = letter.ok_or_else(|| self.refuse("\\u stands before no letter"))?;
                self.at += if high { 10 } else { 4 };
                letter
            }
            _ => return Err(self.refuse("a backslash stands before a letter that it cannot")),
        };
        self.at += 1;
        Ok(letter)
    }

    /// Four hexadecimal digits.
    fn unit(&self, from: usize) -> Option<u16> {
        let digits = self.text.get(self.at + from..self.at + from + 4)?;
        if !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return None;
        }
        u16::from_str_radix(digits, 16).ok()
    }

    /// A whole number.
    pub(super) fn whole(&mut self) -> Result<i64, Refusal> {
        self.skip_space();
        let rest = self.text.get(self.at..).unwrap_or_default();
        let length = rest.find([',', ']', '}', ' ', '\n', '\r', '\t']).unwrap_or(rest.len());
        let word = rest.get(..length).unwrap_or_default();
        let digits = word.strip_prefix('-').unwrap_or(word);
        let plain = digits.bytes().all(|b| b.is_ascii_digit()) && (digits == "0" || !digits.starts_with('0'));
        let number = word.parse().ok().filter(|n: &i64| plain && word != "-0" && n.abs() <= MAX_WHOLE);
        let number = number.ok_or_else(|| self.refuse("a whole number must stand here"))?;
        self.at += length;
        Ok(number)
    }

    /// What a part holds.
    pub(super) fn value(&mut self) -> Result<Value, Refusal> {
        for (word, value) in
            [("null", Value::Nothing), ("true", Value::Flag(true)), ("false", Value::Flag(false))]
        {
            self.skip_space();
            if self.text.get(self.at..).is_some_and(|rest| rest.starts_with(word)) {
                self.at += word.len();
                return Ok(value);
            }
        }
        match self.peek() {
            Some(b'"') => self.text().map(Value::Text),
            Some(b'[') => {
                let (mut numbers, mut pairs) = (Vec::new(), Vec::new());
                self.list(&mut |reader| {
                    if reader.peek() == Some(b'[') {
                        pairs.push(reader.pair()?);
                    } else {
                        numbers.push(reader.whole()?);
                    }
                    Ok(())
                })?;
                match (numbers.is_empty(), pairs.is_empty()) {
                    (true, true) => Ok(Value::Nothing),
                    (false, true) => Ok(Value::Numbers(numbers)),
                    (true, false) => Ok(Value::Pairs(pairs)),
                    _ => Err(self.refuse("numbers and pairs stand in one list")),
                }
            }
            _ => self.whole().map(Value::Number),
        }
    }

    /// A name with a number.
    pub(super) fn pair(&mut self) -> Result<(String, i64), Refusal> {
        let (mut name, mut number) = (None, None);
        self.list(&mut |reader| {
            match (&name, &number) {
                (None, _) => name = Some(reader.text()?),
                (_, None) => number = Some(reader.whole()?),
                _ => return Err(reader.refuse("a pair has two entries")),
            }
            Ok(())
        })?;
        name.zip(number).ok_or_else(|| self.refuse("a pair has two entries"))
    }

    /// Passes over whatever stands here.
    pub(super) fn skip(&mut self) -> Result<(), Refusal> {
        match self.peek() {
            Some(b'{' | b'[') if self.path.len() > MAX_DEPTH => {
                let what =
                    format!("lists and objects may lie in each other {MAX_DEPTH} deep, and this lies deeper");
                Err(self.refuse(&what))
            }
            Some(b'{') => self.object(&mut |reader, _| reader.skip()),
            Some(b'[') => self.list(&mut Self::skip),
            Some(b'-' | b'0'..=b'9') => {
                let rest = self.text.get(self.at..).unwrap_or_default();
                let number = |c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | 'e' | 'E');
                self.at += rest.find(|c| !number(c)).unwrap_or(rest.len());
                Ok(())
            }
            _ => self.value().map(drop),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_value() -> impl Strategy<Value = Value> {
        let whole = -MAX_WHOLE..=MAX_WHOLE;
        prop_oneof![
            Just(Value::Nothing),
            any::<bool>().prop_map(Value::Flag),
            whole.clone().prop_map(Value::Number),
            any::<String>().prop_map(Value::Text),
            prop::collection::vec(whole.clone(), 1..5).prop_map(Value::Numbers),
            prop::collection::vec((any::<String>(), whole), 1..5).prop_map(Value::Pairs),
        ]
    }

    proptest! {
        #![proptest_config(crate::draw::cases(0x15, 400, 20_000))]

        /// Against an independent reader and writer of JSON.
        #[test]
        fn what_is_written_is_json_and_reads_the_same(held in any_value()) {
            let text = value(&held);
            let json: serde_json::Value = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(Reader::new(&text).value().unwrap(), held.clone());
            let theirs = serde_json::to_string_pretty(&json).unwrap();
            prop_assert_eq!(Reader::new(&theirs).value().unwrap(), held);
        }

        /// What an independent reader refuses is refused here too, and where this one takes it the other does.
        #[test]
        fn nothing_is_taken_that_is_no_json(text in "[\\[\\]{}:, \"\\\\u0-9a-fA-Fntrue.+-]{0,24}") {
            let mut reader = Reader::new(&text);
            if reader.skip().and_then(|()| reader.end()).is_ok() && !text.contains(['.', '+', '-', 'e', 'E']) {
                let read = serde_json::from_str::<serde_json::Value>(&text);
                // Leading zeros are passed over where the number is not asked for.
                let zeros = read.as_ref().is_err_and(|e| e.to_string().contains("number"));
                prop_assert!(read.is_ok() || zeros, "{text}: {read:?}");
            }
        }
    }

    #[test]
    fn a_refusal_names_its_place() {
        let mut reader = Reader::new("{\n \"a\": [1, 2.5]}");
        let why = reader.object(&mut |r, _| r.list(&mut |r| r.whole().map(drop))).unwrap_err();
        assert_eq!(why.field(), "a.1");
        assert_eq!(
            why.to_string(),
            "Line 2, column 11 of this file cannot be read: a whole number must stand here. Nothing was changed."
        );
        for bad in [
            "",
            "[1",
            "\"",
            "\"\\x\"",
            "\"\\ud800\"",
            "\"\n\"",
            "[1,]",
            "01",
            "-",
            "1e3",
            "[[\"a\"]]",
            "[1,[\"a\",2]]",
        ] {
            assert!(Reader::new(bad).value().is_err(), "{bad}");
        }
        let deep = "[".repeat(100_000);
        assert!(Reader::new(&deep).skip().is_err());
    }
}
