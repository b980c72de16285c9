//! One JSON value as it was sent, read strictly and within limits.
//!
//! A general JSON reader turns `1e999` into a failure of the whole document and forgets that a field came twice. Here both
//! are kept, so that the answer can name the field and the batch can go on. The words `NaN` and `Infinity`, which some
//! programs write though JSON has no such numbers, are kept for the same reason.

use std::borrow::Cow;

use serde_json::Value;

/// Deepest nesting of lists and objects in one item.
pub const DEPTH_MAX: usize = 16;
/// Most elements kept of one list; the rest is only counted.
pub const LIST_MAX: usize = 50_000;
/// Most values in one item, those inside lists and objects included.
pub const NODES_MAX: usize = 400_000;

/// A JSON value that borrows from the text it was read from.
#[derive(Clone, Debug, PartialEq)]
pub enum Node<'a> {
    /// `null`.
    Null,
    /// `true` or `false`.
    Flag(bool),
    /// A finite number.
    Number(f64),
    /// A number that no figure can hold: `1e999`, `NaN`. The text as sent.
    Boundless(Cow<'a, str>),
    /// A text.
    Text(Cow<'a, str>),
    /// A list: its elements up to [`LIST_MAX`], and its whole length.
    List(Vec<Node<'a>>, usize),
    /// An object: its entries in the order sent, doubles included.
    Object(Vec<(Cow<'a, str>, Node<'a>)>),
}

/// Why a text is not an item.
#[derive(Clone, Debug, PartialEq)]
pub enum ParseError {
    /// Not JSON: where (bytes from the start) and why.
    Syntax(usize, &'static str),
    /// JSON, but beyond a limit.
    Limit(String),
}

/// Reads one value; nothing but white space may follow it.
///
/// # Errors
/// [`ParseError`], with the place of a syntax error.
pub fn parse(text: &str) -> Result<Node<'_>, ParseError> {
    let mut parser = Parser { text, bytes: text.as_bytes(), at: 0, nodes: 0 };
    parser.space();
    let node = parser.value(0)?;
    parser.space();
    match parser.peek() {
        None => Ok(node),
        Some(_) => Err(ParseError::Syntax(parser.at, "more text after the end of the value")),
    }
}

impl<'a> From<&'a Value> for Node<'a> {
    fn from(value: &'a Value) -> Self {
        match value {
            Value::Null => Self::Null,
            Value::Bool(flag) => Self::Flag(*flag),
            Value::Number(number) => match number.as_f64() {
                Some(n) if n.is_finite() => Self::Number(n),
                _ => Self::Boundless(Cow::Owned(number.to_string())),
            },
            Value::String(text) => Self::Text(Cow::Borrowed(text)),
            Value::Array(list) => Self::List(list.iter().take(LIST_MAX).map(Self::from).collect(), list.len()),
            Value::Object(map) => {
                Self::Object(map.iter().map(|(key, value)| (Cow::Borrowed(key.as_str()), value.into())).collect())
            }
        }
    }
}

impl Node<'_> {
    /// The value in a few words, for a message: `"warm" (a text)`, `a list of 3`.
    pub fn told(&self) -> String {
        match self {
            Self::Null => "null".into(),
            Self::Flag(flag) => flag.to_string(),
            Self::Number(n) => number(*n),
            Self::Boundless(text) => short(text),
            Self::Text(text) => format!("\"{}\" (a text)", short(text)),
            Self::List(_, length) => format!("a list of {length}"),
            Self::Object(_) => "an object".into(),
        }
    }
}

/// A number as people write it: `-90`, `0.25`, `1e300`.
pub fn number(n: f64) -> String {
    if n == 0.0 || (1e-5..1e15).contains(&n.abs()) { n.to_string() } else { format!("{n:e}") }
}

/// The first 40 characters, control characters left out.
pub fn short(text: &str) -> String {
    let mut kept: String = text.chars().filter(|c| !c.is_control()).take(40).collect();
    if text.chars().nth(40).is_some() {
        kept.push('…');
    }
    kept
}

struct Parser<'a> {
    text: &'a str,
    bytes: &'a [u8],
    at: usize,
    nodes: usize,
}

impl<'a> Parser<'a> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn fail<T>(&self, why: &'static str) -> Result<T, ParseError> {
        let why = if self.at >= self.bytes.len() { "the text ends too early" } else { why };
        Err(ParseError::Syntax(self.at, why))
    }

    fn space(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
    }

    fn value(&mut self, depth: usize) -> Result<Node<'a>, ParseError> {
        self.nodes += 1;
        if self.nodes > NODES_MAX {
            return Err(ParseError::Limit(format!("the item holds more than {NODES_MAX} values")));
        }
        match self.peek() {
            Some(b'{' | b'[') if depth == DEPTH_MAX => {
                Err(ParseError::Limit(format!("the item is nested more than {DEPTH_MAX} deep")))
            }
            Some(b'{') => self.object(depth),
            Some(b'[') => self.list(depth),
            Some(b'"') => Ok(Node::Text(self.string()?)),
            Some(b'-' | b'0'..=b'9') => self.number(),
            Some(b't') => self.word("true", Node::Flag(true)),
            Some(b'f') => self.word("false", Node::Flag(false)),
            Some(b'n') => self.word("null", Node::Null),
            Some(b'N') => self.word("NaN", Node::Boundless(Cow::Borrowed("NaN"))),
            Some(b'I') => self.word("Infinity", Node::Boundless(Cow::Borrowed("Infinity"))),
            _ => self.fail("expected a value"),
        }
    }

    fn word(&mut self, word: &'static str, node: Node<'a>) -> Result<Node<'a>, ParseError> {
        if self.bytes[self.at..].starts_with(word.as_bytes()) {
            self.at += word.len();
            Ok(node)
        } else {
            self.fail("expected a value")
        }
    }

    fn object(&mut self, depth: usize) -> Result<Node<'a>, ParseError> {
        self.at += 1;
        // Most items have between four and sixteen fields.
        let mut entries = Vec::with_capacity(8);
        self.space();
        if self.peek() == Some(b'}') {
            self.at += 1;
            return Ok(Node::Object(entries));
        }
        loop {
            self.space();
            if self.peek() != Some(b'"') {
                return self.fail("expected a field name in double quotes");
            }
            let key = self.string()?;
            self.space();
            if self.peek() != Some(b':') {
                return self.fail("expected ':' after the field name");
            }
            self.at += 1;
            self.space();
            entries.push((key, self.value(depth + 1)?));
            self.space();
            match self.peek() {
                Some(b',') => self.at += 1,
                Some(b'}') => {
                    self.at += 1;
                    return Ok(Node::Object(entries));
                }
                _ => return self.fail("expected ',' or '}'"),
            }
        }
    }

    fn list(&mut self, depth: usize) -> Result<Node<'a>, ParseError> {
        self.at += 1;
        let (mut kept, mut length) = (Vec::new(), 0);
        self.space();
        if self.peek() == Some(b']') {
            self.at += 1;
            return Ok(Node::List(kept, length));
        }
        loop {
            self.space();
            let node = self.value(depth + 1)?;
            length += 1;
            if length <= LIST_MAX {
                kept.push(node);
            }
            self.space();
            match self.peek() {
                Some(b',') => self.at += 1,
                Some(b']') => {
                    self.at += 1;
                    return Ok(Node::List(kept, length));
                }
                _ => return self.fail("expected ',' or ']'"),
            }
        }
    }

    fn digits(&mut self) -> Result<(), ParseError> {
        let start = self.at;
        while matches!(self.peek(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        if self.at == start { self.fail("expected a digit") } else { Ok(()) }
    }

    fn number(&mut self) -> Result<Node<'a>, ParseError> {
        let start = self.at;
        if self.peek() == Some(b'-') {
            self.at += 1;
            if self.peek() == Some(b'I') {
                return self.word("Infinity", Node::Boundless(Cow::Borrowed("-Infinity")));
            }
        }
        if self.peek() == Some(b'0') {
            self.at += 1;
            if matches!(self.peek(), Some(b'0'..=b'9')) {
                return self.fail("a number has no leading zero");
            }
        } else {
            self.digits()?;
        }
        if self.peek() == Some(b'.') {
            self.at += 1;
            self.digits()?;
        }
        if matches!(self.peek(), Some(b'e' | b'E')) {
            self.at += 1;
            if matches!(self.peek(), Some(b'+' | b'-')) {
                self.at += 1;
            }
            self.digits()?;
        }
        let text = &self.text[start..self.at];
        match text.parse::<f64>() {
            Ok(n) if n.is_finite() => Ok(Node::Number(n)),
            _ => Ok(Node::Boundless(Cow::Borrowed(text))),
        }
    }

    fn string(&mut self) -> Result<Cow<'a, str>, ParseError> {
        self.at += 1;
        let start = self.at;
        loop {
            match self.peek() {
                Some(b'"') => {
                    let text = &self.text[start..self.at];
                    self.at += 1;
                    return Ok(Cow::Borrowed(text));
                }
                Some(b'\\') => return self.escaped(start),
                Some(0..=0x1f) => {
                    return self.fail("a control character inside a text must be escaped");
                }
                Some(_) => self.at += 1,
                None => return self.fail(""),
            }
        }
    }

    /// The rest of a string that holds an escape; `start` is its first character.
    fn escaped(&mut self, start: usize) -> Result<Cow<'a, str>, ParseError> {
        let mut out = String::from(&self.text[start..self.at]);
        let mut from = self.at;
        loop {
            match self.peek() {
                Some(b'"') => {
                    out.push_str(&self.text[from..self.at]);
                    self.at += 1;
                    return Ok(Cow::Owned(out));
                }
                Some(b'\\') => {
                    out.push_str(&self.text[from..self.at]);
                    self.at += 1;
                    out.push(self.escape()?);
                    from = self.at;
                }
                Some(0..=0x1f) => {
                    return self.fail("a control character inside a text must be escaped");
                }
                Some(_) => self.at += 1,
                None => return self.fail(""),
            }
        }
    }

    fn escape(&mut self) -> Result<char, ParseError> {
        let letter = self.peek();
        let plain = match letter {
            Some(b'"') => '"',
            Some(b'\\') => '\\',
            Some(b'/') => '/',
            Some(b'b') => '\u{8}',
            Some(b'f') => '\u{c}',
            Some(b'n') => '\n',
            Some(b'r') => '\r',
            Some(b't') => '\t',
            Some(b'u') => {
                self.at += 1;
                let first = self.hex4()?;
                let code = if (0xd800..0xdc00).contains(&first) && self.bytes[self.at..].starts_with(b"\\u") {
                    self.at += 2;
                    let second = self.hex4()?;
                    if !(0xdc00..0xe000).contains(&second) {
                        return self.fail("half a character: a lone surrogate");
                    }
                    0x10000 + ((first - 0xd800) << 10) + (second - 0xdc00)
                } else {
                    first
                };
                return match char::from_u32(code) {
                    Some(c) => Ok(c),
                    None => self.fail("half a character: a lone surrogate"),
                };
            }
            _ => return self.fail("unknown escape"),
        };
        self.at += 1;
        Ok(plain)
    }

    fn hex4(&mut self) -> Result<u32, ParseError> {
        let mut code = 0;
        for _ in 0..4 {
            let Some(digit) = self.peek().and_then(|b| char::from(b).to_digit(16)) else {
                return self.fail("expected four hexadecimal digits");
            };
            code = code * 16 + digit;
            self.at += 1;
        }
        Ok(code)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_a_general_reader_loses_is_kept() {
        assert_eq!(parse("1e999"), Ok(Node::Boundless("1e999".into())));
        assert_eq!(parse("-Infinity"), Ok(Node::Boundless("-Infinity".into())));
        let Ok(Node::Object(entries)) = parse(r#"{"a":1,"a":2}"#) else { panic!("an object") };
        assert_eq!(entries.len(), 2);
        assert_eq!(parse(r#""a\u00e9\ud83c\udf31\n""#), Ok(Node::Text("aé🌱\n".into())));
    }

    #[test]
    fn faults_are_placed() {
        for (text, at) in [
            ("", 0),
            ("[1,]", 3),
            ("{\"a\" 1}", 5),
            ("{a:1}", 1),
            ("01", 1),
            ("1.", 2),
            ("-", 1),
            ("nul", 0),
            ("1 2", 2),
            ("\"\\ud800\"", 7),
            ("\"a", 2),
            ("\"\u{1}\"", 1),
        ] {
            match parse(text) {
                Err(ParseError::Syntax(offset, why)) => {
                    assert_eq!(offset, at, "{text}: {why}");
                    assert!(!why.is_empty());
                }
                other => panic!("{text}: {other:?}"),
            }
        }
    }

    #[test]
    fn limits_on_both_sides() {
        let nested = |n: usize| format!("{}1{}", "[".repeat(n), "]".repeat(n));
        assert!(parse(&nested(DEPTH_MAX)).is_ok());
        assert!(matches!(parse(&nested(DEPTH_MAX + 1)), Err(ParseError::Limit(_))));
        let long = |n: usize| format!("[{}1]", "1,".repeat(n - 1));
        let too_long = long(LIST_MAX + 1);
        let Ok(Node::List(kept, length)) = parse(&too_long) else { panic!("a list") };
        assert_eq!((kept.len(), length), (LIST_MAX, LIST_MAX + 1));
        assert!(parse(&long(NODES_MAX - 1)).is_ok());
        assert!(matches!(parse(&long(NODES_MAX)), Err(ParseError::Limit(_))));
    }

    fn any_json() -> impl Strategy<Value = serde_json::Value> {
        let leaf = prop_oneof![
            Just(serde_json::Value::Null),
            any::<bool>().prop_map(Into::into),
            any::<f64>().prop_filter("finite", |n| n.is_finite()).prop_map(Into::into),
            any::<String>().prop_map(Into::into),
        ];
        leaf.prop_recursive(4, 32, 6, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..6).prop_map(Into::into),
                prop::collection::btree_map(any::<String>(), inner, 0..6)
                    .prop_map(|map| serde_json::Value::Object(map.into_iter().collect())),
            ]
        })
    }

    proptest! {
        /// What a general writer wrote is read as the same value, bit for bit.
        #[test]
        fn agrees_with_a_general_reader(value in any_json(), pretty: bool) {
            let text = if pretty { serde_json::to_string_pretty(&value) } else { serde_json::to_string(&value) };
            let text = text.unwrap();
            prop_assert_eq!(parse(&text), Ok(Node::from(&value)));
        }

        /// Any text: never a panic, and never accepted where a general reader refuses, save for the numbers beyond all figures.
        #[test]
        fn any_text_is_safe(text in "[\\[\\]{}\",:0-9eE.+\\-ntfalsru \\\\]{0,24}") {
            let general = serde_json::from_str::<serde_json::Value>(&text);
            match parse(&text) {
                Ok(_) => {
                    let boundless = general.as_ref().is_err_and(|error| error.to_string().contains("out of range"));
                    prop_assert!(general.is_ok() || boundless);
                }
                Err(ParseError::Limit(_)) => {}
                Err(ParseError::Syntax(at, _)) => {
                    prop_assert!(at <= text.len());
                    prop_assert!(general.is_err());
                }
            }
        }
    }
}
