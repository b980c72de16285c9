//! One item or a batch, answered as it is read.
//!
//! Only one item is held at a time, so a batch of any length runs in the same memory.

use std::io::{self, BufRead, BufWriter, Write};

use serde::Serialize;

use crate::json::{self, ParseError};
use crate::model::{Fault, Model};
use crate::text;

/// Most bytes of one item.
pub const ITEM_BYTES_MAX: usize = 8 * 1024 * 1024;

/// How a stream went.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Outcome {
    /// Items read, faulty ones included.
    pub items: u64,
    /// Answers that are errors, a malformed document among them.
    pub faults: u64,
}

/// Answers one object with one object, or an array of objects with an array in the same order.
///
/// A bad item answers an error in its place. Where the document itself is malformed, one error with an empty field and
/// the line and column takes the place of the rest; what is written stays valid JSON.
///
/// # Errors
/// Only what reading or writing itself fails with.
pub fn run_stream(model: &Model, input: impl BufRead, output: impl Write) -> io::Result<Outcome> {
    let mut writer = Writer {
        output: BufWriter::with_capacity(64 * 1024, output),
        outcome: Outcome::default(),
        text: text::Writer::new(),
        item: Vec::new(),
    };
    let mut framer = Framer { input, at: Place::default(), item: Vec::new() };
    framer.byte_order_mark()?;
    if framer.peek()? == Some(b'[') {
        batch(model, &mut framer, &mut writer)?;
    } else {
        single(model, &mut framer, &mut writer)?;
    }
    writer.output.write_all(b"\n")?;
    writer.output.flush()?;
    Ok(writer.outcome)
}

fn single<R: BufRead, W: Write>(model: &Model, framer: &mut Framer<R>, writer: &mut Writer<W>) -> io::Result<()> {
    if framer.peek()?.is_none() {
        return writer.fault(&framer.at.fault("nothing to read; expected an object or an array of objects"));
    }
    let framed = framer.frame()?;
    let end = framer.peek()?.map(|_| framer.at);
    match framer.answer(model, framed) {
        Ok(answer) => match end {
            None => writer.answer(answer),
            Some(at) => writer.fault(&at.fault("more text after the end of the object; send several as an array")),
        },
        Err(malformed) => writer.fault(&malformed),
    }
}

fn batch<R: BufRead, W: Write>(model: &Model, framer: &mut Framer<R>, writer: &mut Writer<W>) -> io::Result<()> {
    framer.step()?;
    let mut open = false;
    let malformed = 'array: {
        if framer.peek()? == Some(b']') {
            framer.step()?;
            open = true;
            writer.output.write_all(b"[")?;
        } else {
            loop {
                let framed = match framer.peek()? {
                    None => break 'array Some(framer.at.fault("the text ends inside the array")),
                    Some(b',' | b']' | b'}' | b':') => {
                        break 'array Some(framer.at.fault("expected a value"));
                    }
                    Some(_) => framer.frame()?,
                };
                match framer.answer(model, framed) {
                    Ok(answer) => {
                        writer.output.write_all(if open { b",\n" } else { b"[" })?;
                        open = true;
                        writer.answer(answer)?;
                    }
                    Err(malformed) => break 'array Some(malformed),
                }
                match framer.peek()? {
                    Some(b',') => framer.step()?,
                    Some(b']') => {
                        framer.step()?;
                        break;
                    }
                    None => break 'array Some(framer.at.fault("the text ends inside the array")),
                    Some(_) => break 'array Some(framer.at.fault("expected ',' or ']'")),
                }
            }
        }
        framer.peek()?.map(|_| framer.at.fault("more text after the end of the array"))
    };
    match (malformed, open) {
        (None, _) => writer.output.write_all(b"]"),
        (Some(fault), false) => writer.fault(&fault),
        (Some(fault), true) => {
            // After an empty array there is no item to part from.
            writer.output.write_all(if writer.outcome.items > 0 { b",\n" } else { b"" })?;
            writer.fault(&fault)?;
            writer.output.write_all(b"]")
        }
    }
}

#[derive(Serialize)]
struct Refused<'a> {
    error: &'a Fault,
}

struct Writer<W: Write> {
    output: BufWriter<W>,
    outcome: Outcome,
    text: text::Writer,
    /// The answer at hand as text.
    item: Vec<u8>,
}

impl<W: Write> Writer<W> {
    fn answer(&mut self, answer: Result<crate::model::Answer, Fault>) -> io::Result<()> {
        self.outcome.items += 1;
        match answer {
            Ok(answer) => {
                self.item.clear();
                self.text.answer(&mut self.item, &answer);
                self.output.write_all(&self.item)
            }
            Err(fault) => self.fault(&fault),
        }
    }

    fn fault(&mut self, fault: &Fault) -> io::Result<()> {
        self.outcome.faults += 1;
        Ok(serde_json::to_writer(&mut self.output, &Refused { error: fault })?)
    }
}

/// A place in the document, counted in lines and characters from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Place {
    line: u64,
    column: u64,
}

impl Default for Place {
    fn default() -> Self {
        Self { line: 1, column: 1 }
    }
}

impl Place {
    fn pass(&mut self, byte: u8) {
        if byte == b'\n' {
            *self = Self { line: self.line + 1, column: 1 };
        } else if byte & 0xc0 != 0x80 {
            // The later bytes of a character do not count.
            self.column += 1;
        }
    }

    fn fault(self, why: &str) -> Fault {
        let Self { line, column } = self;
        Fault { field: String::new(), message: format!("not valid JSON at line {line}, column {column}: {why}") }
    }
}

/// A value cut out of the document: where it starts and whether it fitted.
#[derive(Clone, Copy)]
struct Framed {
    start: Place,
    whole: bool,
}

/// Cuts a document into values without understanding them: it follows only brackets and quotes.
struct Framer<R> {
    input: R,
    at: Place,
    item: Vec<u8>,
}

impl<R: BufRead> Framer<R> {
    /// Skips the mark some programs put before UTF-8 text.
    fn byte_order_mark(&mut self) -> io::Result<()> {
        if self.input.fill_buf()?.starts_with(b"\xef\xbb\xbf") {
            self.input.consume(3);
        }
        Ok(())
    }

    /// The next byte that is not white space, which stays unread.
    fn peek(&mut self) -> io::Result<Option<u8>> {
        loop {
            let buffer = self.input.fill_buf()?;
            if buffer.is_empty() {
                return Ok(None);
            }
            let found = buffer.iter().position(|b| !matches!(b, b' ' | b'\t' | b'\n' | b'\r'));
            let passed = found.unwrap_or(buffer.len());
            buffer[..passed].iter().for_each(|b| self.at.pass(*b));
            let byte = found.map(|i| buffer[i]);
            self.input.consume(passed);
            if byte.is_some() {
                return Ok(byte);
            }
        }
    }

    /// Passes the byte just peeked.
    fn step(&mut self) -> io::Result<()> {
        if let Some(byte) = self.input.fill_buf()?.first() {
            self.at.pass(*byte);
            self.input.consume(1);
        }
        Ok(())
    }

    /// Reads one value into `item`: to its closing bracket or quote, or to the mark after a bare word.
    fn frame(&mut self) -> io::Result<Framed> {
        self.item.clear();
        let mut framed = Framed { start: self.at, whole: true };
        let (mut depth, mut quoted, mut escaped, mut bare) = (0_u64, false, false, false);
        loop {
            let buffer = self.input.fill_buf()?;
            if buffer.is_empty() {
                return Ok(framed);
            }
            let mut passed = 0;
            let mut done = false;
            for &byte in buffer {
                if quoted {
                    match byte {
                        _ if escaped => escaped = false,
                        b'\\' => escaped = true,
                        b'"' => {
                            quoted = false;
                            done = depth == 0;
                        }
                        _ => {}
                    }
                } else {
                    match byte {
                        b',' | b']' | b'}' | b' ' | b'\t' | b'\n' | b'\r' if depth == 0 && bare => {
                            done = true;
                            break;
                        }
                        b'"' => quoted = true,
                        b'{' | b'[' => depth += 1,
                        b'}' | b']' => {
                            depth = depth.saturating_sub(1);
                            done = depth == 0;
                        }
                        _ => bare |= depth == 0,
                    }
                }
                passed += 1;
                self.at.pass(byte);
                if done {
                    break;
                }
            }
            if self.item.len() + passed > ITEM_BYTES_MAX {
                framed.whole = false;
            } else if framed.whole {
                self.item.extend_from_slice(&buffer[..passed]);
            }
            self.input.consume(passed);
            if done {
                return Ok(framed);
            }
        }
    }

    /// Answers the framed value; a malformed one gives the fault of the document instead.
    fn answer(&self, model: &Model, framed: Framed) -> Result<Result<crate::model::Answer, Fault>, Fault> {
        let item_fault = |message: String| Ok(Err(Fault { field: String::new(), message }));
        if !framed.whole {
            return item_fault(format!("the item is longer than {ITEM_BYTES_MAX} bytes"));
        }
        let fault_at = |offset: usize, why: &str| {
            let mut place = framed.start;
            self.item[..offset].iter().for_each(|b| place.pass(*b));
            place.fault(why)
        };
        let text =
            std::str::from_utf8(&self.item).map_err(|error| fault_at(error.valid_up_to(), "the text is not UTF-8"))?;
        match json::parse(text) {
            Ok(node) => Ok(model.answer_node(&node)),
            Err(ParseError::Limit(message)) => item_fault(message),
            Err(ParseError::Syntax(offset, why)) => Err(fault_at(offset.min(text.len()), why)),
        }
    }
}
