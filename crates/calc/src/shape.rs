//! What a field may hold: written once, used by the reader, the messages and the schema.

use std::borrow::Cow;

use reckon::working::Value;
use reckon::{Bound, ReckonError};

use crate::json::{Node, number, short};

/// Longest name (`id`) of a part.
pub const NAME_LENGTH_MAX: usize = 64;

/// What a field may hold.
#[derive(Clone, Copy, Debug)]
pub enum Shape {
    /// A number within a bound.
    Number(Bound),
    /// A whole number within a bound.
    Whole(Bound),
    /// `true` or `false`, and what `true` means.
    Flag(&'static str),
    /// One of a few words, each with its meaning; and what the field is.
    Word(&'static [(&'static str, &'static str)], &'static str),
    /// The name of a part: a text or a whole number.
    Name(&'static str),
    /// A fixed row of numbers, such as a point.
    Row(&'static [Bound], &'static str),
    /// A list, with its shortest and longest length and what it is.
    List {
        /// Each element.
        of: &'static Shape,
        /// Fewest elements.
        min: usize,
        /// Most elements.
        max: usize,
        /// What the list is.
        meaning: &'static str,
    },
    /// A record of fields.
    Record(&'static Record),
    /// A figure of an answer: its unit and meaning.
    Figure(&'static str, &'static str),
    /// A whole figure of an answer: its meaning.
    Count(&'static str),
}

/// Whether a field must be given, and what stands in for it.
#[derive(Clone, Copy, Debug)]
pub enum Need {
    /// Always.
    Required,
    /// May be left out; this number is then assumed.
    Or(f64),
    /// May be left out; this word is then assumed.
    OrWord(&'static str),
    /// May be left out; what is then assumed is told in words.
    Assumed(&'static str),
    /// May be left out; nothing stands in for it.
    Optional,
}

/// One field of a record.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// Its exact name, unit last.
    pub name: &'static str,
    /// What it may hold.
    pub shape: Shape,
    /// Whether it must be given.
    pub need: Need,
}

impl Field {
    /// A field that is always there.
    pub const fn new(name: &'static str, shape: Shape) -> Self {
        Self { name, shape, need: Need::Required }
    }
}

/// The fields of an object, and the groups of which exactly one option must be given.
#[derive(Clone, Copy, Debug)]
pub struct Record {
    /// The fields, in the contract's order.
    pub fields: &'static [Field],
    /// "One of" groups: each is a list of options, each option the fields that belong together.
    pub choices: &'static [&'static [&'static [&'static str]]],
}

pub(crate) const fn list(of: &'static Shape, min: usize, max: usize, meaning: &'static str) -> Shape {
    Shape::List { of, min, max, meaning }
}

/// A bound of a row's number, or of a field that no formula checks by itself.
pub(crate) const fn bound(min: f64, max: f64, unit: &'static str, meaning: &'static str) -> Bound {
    Bound::new("", min, max, unit, meaning)
}

impl Shape {
    /// What a value must be, in words that follow "it must be".
    pub fn expected(&self) -> String {
        match self {
            Self::Number(b) => format!("between {}", range(b)),
            Self::Whole(b) => format!("a whole number between {}", range(b)),
            Self::Flag(_) => "true or false".into(),
            Self::Word(words, _) => {
                let all: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
                all.join(" or ")
            }
            Self::Name(_) => {
                format!("a text of 1 to {NAME_LENGTH_MAX} characters or a whole number")
            }
            Self::Row(bounds, _) => format!("a list of {} numbers", bounds.len()),
            Self::List { min, max, .. } => format!("a list of {min} to {max}"),
            Self::Record(_) => "an object".into(),
            Self::Figure(unit, _) => format!("a number in {unit}"),
            Self::Count(_) => "a whole number".into(),
        }
    }

    /// What the field is.
    pub fn meaning(&self) -> &'static str {
        match self {
            Self::Number(b) | Self::Whole(b) => b.meaning,
            Self::Flag(meaning)
            | Self::Word(_, meaning)
            | Self::Name(meaning)
            | Self::Row(_, meaning)
            | Self::Figure(_, meaning)
            | Self::Count(meaning)
            | Self::List { meaning, .. } => meaning,
            Self::Record(_) => "",
        }
    }

    /// The refusal of a value that is not of this shape.
    pub(crate) fn refuse<T>(&self, node: &Node) -> Result<T, Refusal> {
        Err(Refusal::new(format!(" is {}; it must be {}", node.told(), self.expected())))
    }
}

fn range(b: &Bound) -> String {
    format!("{} and {} {}", number(b.min), number(b.max), b.unit).trim_end().to_owned()
}

/// Why an item was refused: the path of the field, filled in on the way out, and what is wrong with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    path: String,
    rest: String,
}

impl Refusal {
    /// A refusal of the value at hand; `rest` follows its name.
    pub fn new(rest: String) -> Self {
        Self { path: String::new(), rest }
    }

    /// A refusal of a field by name; `rest` follows it.
    pub fn of(field: &str, rest: String) -> Self {
        Self { path: field.to_owned(), rest }
    }

    /// The same, one field further out.
    pub fn at(mut self, field: &str) -> Self {
        let dot = if self.path.is_empty() || self.path.starts_with('[') { "" } else { "." };
        self.path = format!("{field}{dot}{}", self.path);
        self
    }

    /// The same, one element further out.
    pub fn at_index(self, index: usize) -> Self {
        self.at(&format!("[{index}]"))
    }

    /// The path of the field, empty for the whole item.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The whole message.
    pub fn message(&self) -> String {
        let subject = if self.path.is_empty() { "the item" } else { &self.path };
        format!("{subject}{}", self.rest)
    }

    pub(crate) fn missing(name: &str, record: &Record) -> Self {
        let field = record.fields.iter().find(|field| field.name == name);
        let expected = field.map(|field| format!("; it must be {}", field.shape.expected()));
        Self::of(name, format!(" is missing{}", expected.unwrap_or_default()))
    }

    pub(crate) fn unknown(name: &str, node: &Node, record: &Record) -> Self {
        let known: Vec<&str> = record.fields.iter().map(|field| field.name).collect();
        let name = short(name);
        let rest = format!(" is {}, but there is no such field; the fields are {}", node.told(), known.join(", "));
        Self::of(&name, rest)
    }

    pub(crate) fn twice(name: &str, node: &Node) -> Self {
        Self::of(name, format!(" is given twice, the second time as {}; give it once", node.told()))
    }
}

impl From<ReckonError> for Refusal {
    fn from(error: ReckonError) -> Self {
        match error {
            ReckonError::OutOfRange { field, value, min, max, unit } => {
                let b = Bound::new(field, min, max, unit, "");
                Self::of(field, format!(" is {}; it must be between {}", number(value), range(&b)))
            }
            ReckonError::Inconsistent { field, message } => {
                // Where a formula names the place in a list, that is the path: "heads[2].profile is zero throughout".
                let deeper = message.strip_prefix(field).is_some_and(|rest| rest.starts_with(['[', '.']));
                match message.find(' ').filter(|_| deeper) {
                    Some(space) => Self::of(&message[..space], message[space..].to_owned()),
                    None => Self::of(field, format!(": {message}")),
                }
            }
        }
    }
}

/// The fields that were not given and what they are called from outside.
#[derive(Clone, Debug, Default)]
pub struct Notes {
    /// Paths of assumed fields; `[]` stands for any element of a list.
    pub assumed: Vec<Cow<'static, str>>,
}

impl Notes {
    /// Notes that the field's default is used.
    pub fn assume(&mut self, field: &'static str) {
        if !self.assumed.iter().any(|known| known == field) {
            self.assumed.push(Cow::Borrowed(field));
        }
    }

    /// Reads a field's value and puts its name before whatever was assumed inside.
    pub fn inside<T: Read>(&mut self, field: &'static str, node: &Node, shape: &'static Shape) -> Result<T, Refusal> {
        let before = self.assumed.len();
        let value = T::read(node, shape, self).map_err(|refusal| refusal.at(field))?;
        let link = if matches!(shape, Shape::List { .. }) { "[]." } else { "." };
        for inner in self.assumed.split_off(before) {
            let path = format!("{field}{link}{inner}");
            if !self.assumed.iter().any(|known| *known == path) {
                self.assumed.push(Cow::Owned(path));
            }
        }
        Ok(value)
    }
}

/// A type that can be read from a node of a given shape.
pub trait Read: Sized {
    /// Reads and checks the value.
    ///
    /// # Errors
    /// [`Refusal`] with the path below this value, what it is and what it must be.
    fn read(node: &Node, shape: &'static Shape, notes: &mut Notes) -> Result<Self, Refusal>;
}

impl Read for f64 {
    fn read(node: &Node, shape: &'static Shape, _: &mut Notes) -> Result<Self, Refusal> {
        match (node, shape) {
            (Node::Number(n), Shape::Number(b)) if *n >= b.min && *n <= b.max => Ok(*n),
            _ => shape.refuse(node),
        }
    }
}

/// A number that may be left out: the one given, or the one assumed in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Given {
    /// The number.
    pub value: f64,
    /// True when nobody gave it.
    pub assumed: bool,
}

impl Given {
    /// The number as it is shown in a step; an assumed one tells what would replace it.
    pub fn shown(&self, name: &'static str, unit: &'static str, replaced_by: &'static str) -> Value {
        let value = Value::number(name, self.value, unit);
        if self.assumed { value.assumed(replaced_by) } else { value }
    }
}

impl Read for Given {
    fn read(node: &Node, shape: &'static Shape, notes: &mut Notes) -> Result<Self, Refusal> {
        Ok(Self { value: f64::read(node, shape, notes)?, assumed: false })
    }
}

impl Read for u32 {
    fn read(node: &Node, shape: &'static Shape, _: &mut Notes) -> Result<Self, Refusal> {
        match (node, shape) {
            (Node::Number(n), Shape::Whole(b)) if *n >= b.min && *n <= b.max && n.fract() == 0.0 => Ok(*n as u32),
            _ => shape.refuse(node),
        }
    }
}

impl Read for bool {
    fn read(node: &Node, shape: &'static Shape, _: &mut Notes) -> Result<Self, Refusal> {
        match node {
            Node::Flag(flag) => Ok(*flag),
            _ => shape.refuse(node),
        }
    }
}

impl<const N: usize> Read for [f64; N] {
    fn read(node: &Node, shape: &'static Shape, _: &mut Notes) -> Result<Self, Refusal> {
        let (Node::List(kept, _), Shape::Row(bounds, _)) = (node, shape) else {
            return shape.refuse(node);
        };
        if kept.len() != N || bounds.len() != N {
            return shape.refuse(node);
        }
        let mut row = [0.0; N];
        for (i, (element, b)) in kept.iter().zip(*bounds).enumerate() {
            row[i] = match element {
                Node::Number(n) if *n >= b.min && *n <= b.max => *n,
                _ => {
                    return Shape::Number(*b).refuse(element).map_err(|refusal: Refusal| refusal.at_index(i));
                }
            };
        }
        Ok(row)
    }
}

impl<T: Read> Read for Option<T> {
    fn read(node: &Node, shape: &'static Shape, notes: &mut Notes) -> Result<Self, Refusal> {
        T::read(node, shape, notes).map(Some)
    }
}

impl<T: Read> Read for Vec<T> {
    fn read(node: &Node, shape: &'static Shape, notes: &mut Notes) -> Result<Self, Refusal> {
        let (Node::List(kept, length), Shape::List { of, min, max, .. }) = (node, shape) else {
            return shape.refuse(node);
        };
        if length < min || length > max || kept.len() != *length {
            return shape.refuse(node);
        }
        let each = |(i, element)| T::read(element, of, notes).map_err(|refusal| refusal.at_index(i));
        kept.iter().enumerate().map(each).collect()
    }
}

/// The name of a part: a text, or a whole number that comes back as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Name {
    /// The name as text.
    pub text: String,
    whole: bool,
}

impl Read for Name {
    fn read(node: &Node, shape: &'static Shape, _: &mut Notes) -> Result<Self, Refusal> {
        match node {
            Node::Text(text) if !text.is_empty() && text.chars().count() <= NAME_LENGTH_MAX => {
                Ok(Self { text: text.clone().into_owned(), whole: false })
            }
            Node::Number(n) if n.fract() == 0.0 && (0.0..1e15).contains(n) => {
                Ok(Self { text: n.to_string(), whole: true })
            }
            _ => shape.refuse(node),
        }
    }
}

impl From<&Name> for crate::figure::Figure {
    fn from(name: &Name) -> Self {
        match name.text.parse::<u64>() {
            Ok(n) if name.whole => Self::Count(n),
            _ => Self::Text(Cow::Owned(name.text.clone())),
        }
    }
}

/// Reads an object field by field: used by [`record!`] only.
pub(crate) fn entries<'n, 'a>(
    node: &'n Node<'a>,
    shape: &'static Shape,
) -> Result<&'n [(Cow<'a, str>, Node<'a>)], Refusal> {
    match node {
        Node::Object(entries) => Ok(entries),
        _ => shape.refuse(node),
    }
}

/// Checks the "one of" groups of a record; `given` tells whether a field was sent.
pub(crate) fn choose(record: &Record, given: impl Fn(&str) -> bool) -> Result<(), Refusal> {
    for options in record.choices {
        let mut begun = options.iter().filter(|option| option.iter().any(|field| given(field)));
        let told = || options.iter().map(|option| option.join(" + ")).collect::<Vec<_>>().join(", ");
        let Some(first) = begun.next() else {
            let field = options.first().and_then(|option| option.first()).copied().unwrap_or_default();
            return Err(Refusal::of(field, format!(" is missing; exactly one of these must be given: {}", told())));
        };
        if let Some(second) = begun.next() {
            let field = second.iter().find(|field| given(field)).copied().unwrap_or_default();
            let rest =
                format!(" is given beside {}; exactly one of these must be given: {}", first.join(" + "), told());
            return Err(Refusal::of(field, rest));
        }
        if let Some(field) = first.iter().find(|field| !given(field)) {
            let rest = format!(" is missing; these belong together: {}", first.join(" + "));
            return Err(Refusal::of(field, rest));
        }
    }
    Ok(())
}

/// Declares the fields of an input once: the Rust type, the contract's record and the reader.
///
/// A field is `name: Type = shape`, and after a comma how it may be left out: `or(number)` (type [`Given`]), `or_word(Words::Variant)`,
/// `assumed("in words")` or `optional` (the last two with `Option` types). A closing `one of` line gives the options of a
/// group.
macro_rules! record {
    (
        $(#[$doc:meta])*
        $name:ident {
            $($field:ident: $type:ty = $shape:expr $(, $need:ident $(($with:expr))?)?;)*
        }
        $(one of $([$($option:ident)+])+;)*
    ) => {
        $(#[$doc])*
        #[derive(Clone, Debug)]
        pub(crate) struct $name { $(pub(crate) $field: $type),* }

        impl $name {
            pub(crate) const RECORD: $crate::shape::Record = $crate::shape::Record {
                fields: &[$($crate::shape::Field {
                    name: stringify!($field),
                    shape: $shape,
                    need: $crate::shape::record!(@need $($need $($with)?)?),
                }),*],
                choices: &[$(&[$(&[$(stringify!($option)),+]),+]),*],
            };
        }

        impl $crate::shape::Read for $name {
            fn read(
                node: &$crate::json::Node,
                shape: &'static $crate::shape::Shape,
                notes: &mut $crate::shape::Notes,
            ) -> Result<Self, $crate::shape::Refusal> {
                $(let mut $field: Option<$type> = None;)*
                for (key, node) in $crate::shape::entries(node, shape)? {
                    match &**key {
                        $(stringify!($field) => {
                            if $field.is_some() {
                                return Err($crate::shape::Refusal::twice(stringify!($field), node));
                            }
                            const SHAPE: $crate::shape::Shape = $shape;
                            $field = Some(notes.inside(stringify!($field), node, &SHAPE)?);
                        })*
                        other => return Err($crate::shape::Refusal::unknown(other, node, &Self::RECORD)),
                    }
                }
                if !Self::RECORD.choices.is_empty() {
                    $crate::shape::choose(&Self::RECORD, |field| match field {
                        $(stringify!($field) => $field.is_some(),)*
                        _ => false,
                    })?;
                }
                Ok(Self {
                    $($field: $crate::shape::record!(@take $field notes $($need $($with)?)?),)*
                })
            }
        }
    };
    (@need) => { $crate::shape::Need::Required };
    (@need or $with:expr) => { $crate::shape::Need::Or($with) };
    (@need or_word $with:expr) => { $crate::shape::Need::OrWord($with.word()) };
    (@need assumed $with:expr) => { $crate::shape::Need::Assumed($with) };
    (@need optional) => { $crate::shape::Need::Optional };
    (@take $field:ident $notes:ident) => {
        match $field {
            Some(value) => value,
            None => return Err($crate::shape::Refusal::missing(stringify!($field), &Self::RECORD)),
        }
    };
    (@take $field:ident $notes:ident optional) => { $field.flatten() };
    (@take $field:ident $notes:ident assumed $with:expr) => {
        match $field {
            Some(value) => value,
            None => { $notes.assume(stringify!($field)); None }
        }
    };
    (@take $field:ident $notes:ident or $with:expr) => {
        match $field {
            Some(given) => given,
            None => {
                $notes.assume(stringify!($field));
                $crate::shape::Given { value: $with, assumed: true }
            }
        }
    };
    (@take $field:ident $notes:ident or_word $with:expr) => {
        match $field {
            Some(value) => value,
            None => { $notes.assume(stringify!($field)); $with }
        }
    };
}
pub(crate) use record;

/// Declares the words a field may hold: the enum, its words with their meanings, and the reader.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$variant_doc:meta])* $variant:ident = $word:literal, $meaning:literal;)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(crate) enum $name { $($(#[$variant_doc])* $variant),+ }

        impl $name {
            pub(crate) const WORDS: &'static [(&'static str, &'static str)] = &[$(($word, $meaning)),+];

            #[allow(dead_code, reason = "only words that may be left out are named again")]
            pub(crate) const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }

        impl $crate::shape::Read for $name {
            fn read(
                node: &$crate::json::Node,
                shape: &'static $crate::shape::Shape,
                _: &mut $crate::shape::Notes,
            ) -> Result<Self, $crate::shape::Refusal> {
                match node {
                    $($crate::json::Node::Text(word) if word == $word => Ok(Self::$variant),)+
                    _ => shape.refuse(node),
                }
            }
        }
    };
}
pub(crate) use words;
