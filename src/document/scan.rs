//! A light scan of RON text into nodes that know their place. The `ron` crate has the last word on the syntax.

use std::ops::Range;

use super::diagnostic::Diagnostic;
use super::path::Path;

/// A value and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Its bytes in the text.
    pub span: Range<usize>,
    /// The name in front of a struct or variant, if any: `Fit` in `Fit(tolerance: "30 mm")`.
    pub name: Option<String>,
    /// What it holds.
    pub body: Body,
}

/// One `key: value`.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The key.
    pub key: String,
    /// Where the key stands.
    pub key_span: Range<usize>,
    /// The value.
    pub value: Node,
}

/// What a node holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Body {
    /// A string.
    Text(String),
    /// A number.
    Number(f64),
    /// `true` or `false`.
    Flag(bool),
    /// A name alone, or `()`.
    Alone,
    /// `(a: 1, b: 2)`
    Fields(Vec<Entry>),
    /// `(1, 2)`
    Tuple(Vec<Node>),
    /// `[1, 2]`
    List(Vec<Node>),
    /// `{"a": 1}`
    Map(Vec<Entry>),
}

const DEEPEST: usize = 64;

/// Reads `text`.
///
/// # Errors
/// The first place at which the text is not RON.
pub fn scan(text: &str) -> Result<Node, Diagnostic> {
    if let Err(e) = ron::from_str::<serde::de::IgnoredAny>(text) {
        let at = offset(text, e.span.start.line, e.span.start.col);
        let deep = matches!(e.code, ron::Error::ExceededRecursionLimit);
        let (message, help) = if deep {
            ("nested too deeply".to_owned(), "a plan needs no more than a dozen brackets inside each other")
        } else {
            (format!("not RON: {}", e.code), "every bracket closed, a comma between entries, text in double quotes")
        };
        let mut d = Diagnostic::error(Path::root(), at..at + 1, message);
        d.help = Some(help.to_owned());
        return Err(d);
    }
    let mut s = Scanner { text, at: 0, depth: 0 };
    s.blank();
    while s.rest().starts_with("#!") {
        let end = s.rest().find(']').map_or(s.text.len(), |i| s.at + i + 1);
        s.at = end;
        s.blank();
    }
    s.node()
}

fn offset(text: &str, line: usize, column: usize) -> usize {
    let start: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    let rest = &text[start..];
    let end = rest.find('\n').unwrap_or(rest.len());
    start + rest[..end].char_indices().nth(column.saturating_sub(1)).map_or(end, |(i, _)| i)
}

struct Scanner<'a> {
    text: &'a str,
    at: usize,
    depth: usize,
}

impl Scanner<'_> {
    fn rest(&self) -> &str {
        &self.text[self.at..]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn fault<T>(&self, message: &str) -> Result<T, Diagnostic> {
        let end = self.peek().map_or(self.at, |c| self.at + c.len_utf8());
        Err(Diagnostic::error(Path::root(), self.at..end, message.to_owned()))
    }

    fn blank(&mut self) {
        loop {
            let text = self.text;
            let trimmed = text[self.at..].trim_start();
            self.at = text.len() - trimmed.len();
            if trimmed.starts_with("//") {
                self.at += trimmed.find('\n').unwrap_or(trimmed.len());
            } else if trimmed.starts_with("/*") {
                // Block comments nest.
                let (mut depth, mut i) = (0_usize, 0);
                let bytes = trimmed.as_bytes();
                while i < bytes.len() {
                    if bytes[i..].starts_with(b"/*") {
                        depth += 1;
                        i += 2;
                    } else if bytes[i..].starts_with(b"*/") {
                        depth -= 1;
                        i += 2;
                        if depth == 0 {
                            break;
                        }
                    } else {
                        i += 1;
                    }
                }
                self.at += i.min(trimmed.len());
            } else {
                return;
            }
        }
    }

    fn take(&mut self, c: char) -> bool {
        if self.peek() == Some(c) {
            self.at += c.len_utf8();
            true
        } else {
            false
        }
    }

    fn node(&mut self) -> Result<Node, Diagnostic> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return self.fault("nested too deeply");
        }
        self.blank();
        let start = self.at;
        let (name, body) = match self.peek() {
            None => return self.fault("the text ends where a value belongs"),
            Some('"') => (None, Body::Text(self.string()?)),
            Some('r') if self.rest().starts_with("r\"") || self.rest().starts_with("r#") => {
                (None, Body::Text(self.raw_string()?))
            }
            Some('(') => (None, self.parenthesis()?),
            Some('[') => (None, Body::List(self.sequence('[', ']')?)),
            Some('{') => (None, self.map()?),
            Some(c) if c.is_ascii_digit() || matches!(c, '-' | '+' | '.') => (None, Body::Number(self.number()?)),
            Some(c) if c.is_alphabetic() || c == '_' => self.named()?,
            Some(_) => return self.fault("a value cannot start like this"),
        };
        self.depth -= 1;
        Ok(Node { span: start..self.at, name, body })
    }

    fn named(&mut self) -> Result<(Option<String>, Body), Diagnostic> {
        let word = self.word();
        Ok(match word.as_str() {
            "true" => (None, Body::Flag(true)),
            "false" => (None, Body::Flag(false)),
            "inf" => (None, Body::Number(f64::INFINITY)),
            "NaN" => (None, Body::Number(f64::NAN)),
            _ => {
                let after_word = self.at;
                self.blank();
                if self.peek() == Some('(') {
                    // `Some(x)` is x.
                    if word == "Some" {
                        self.take('(');
                        let inner = self.node()?;
                        self.blank();
                        self.take(',');
                        self.blank();
                        if !self.take(')') {
                            return self.fault("a closing bracket belongs here");
                        }
                        return Ok((inner.name, inner.body));
                    }
                    (Some(word), self.parenthesis()?)
                } else {
                    self.at = after_word;
                    (Some(word), Body::Alone)
                }
            }
        })
    }

    fn word(&mut self) -> String {
        let end = self.rest().find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(self.rest().len());
        let word = self.rest()[..end].to_owned();
        self.at += end;
        word
    }

    fn number(&mut self) -> Result<f64, Diagnostic> {
        let end = self
            .rest()
            .find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '+' | '_')))
            .unwrap_or(self.rest().len());
        let text = self.rest()[..end].replace('_', "");
        let plain = text.trim_start_matches('+');
        let value = match plain.trim_start_matches('-') {
            "inf" => Some(if plain.starts_with('-') { f64::NEG_INFINITY } else { f64::INFINITY }),
            _ => plain.parse().ok(),
        };
        match value {
            Some(v) => {
                self.at += end;
                Ok(v)
            }
            None => self.fault("this is not a decimal number"),
        }
    }

    fn string(&mut self) -> Result<String, Diagnostic> {
        self.take('"');
        let mut out = String::new();
        loop {
            let Some(c) = self.peek() else {
                return self.fault("the text ends inside a string");
            };
            self.at += c.len_utf8();
            match c {
                '"' => return Ok(out),
                '\\' => {
                    let Some(e) = self.peek() else {
                        return self.fault("the text ends inside a string");
                    };
                    self.at += e.len_utf8();
                    match e {
                        'n' => out.push('\n'),
                        't' => out.push('\t'),
                        'r' => out.push('\r'),
                        '0' => out.push('\0'),
                        'x' => {
                            let code = self.rest().get(..2).and_then(|h| u32::from_str_radix(h, 16).ok());
                            let Some(c) = code.and_then(char::from_u32) else {
                                return self.fault("this escape is not a character");
                            };
                            self.at += 2;
                            out.push(c);
                        }
                        'u' => {
                            let end = self.rest().find('}').unwrap_or(0);
                            let hex = self.rest().get(1..end).unwrap_or("");
                            let Some(c) = u32::from_str_radix(hex, 16).ok().and_then(char::from_u32) else {
                                return self.fault("this escape is not a character");
                            };
                            self.at += end + 1;
                            out.push(c);
                        }
                        '\n' => {
                            let trimmed = self.rest().trim_start();
                            self.at = self.text.len() - trimmed.len();
                        }
                        other => out.push(other),
                    }
                }
                _ => out.push(c),
            }
        }
    }

    fn raw_string(&mut self) -> Result<String, Diagnostic> {
        self.take('r');
        let hashes = self.rest().chars().take_while(|c| *c == '#').count();
        let close = format!("\"{}", "#".repeat(hashes));
        self.at += hashes;
        if !self.take('"') {
            return self.fault("a raw string opens with a quote");
        }
        match self.rest().find(&close) {
            Some(end) => {
                let out = self.rest()[..end].to_owned();
                self.at += end + close.len();
                Ok(out)
            }
            None => self.fault("the text ends inside a string"),
        }
    }

    fn sequence(&mut self, open: char, close: char) -> Result<Vec<Node>, Diagnostic> {
        self.take(open);
        let mut out = Vec::new();
        loop {
            self.blank();
            if self.take(close) {
                return Ok(out);
            }
            out.push(self.node()?);
            self.blank();
            if !self.take(',') {
                return if self.take(close) {
                    Ok(out)
                } else {
                    self.fault("a comma or a closing bracket belongs here")
                };
            }
        }
    }

    /// `()`, `(1, 2)` or `(a: 1)`.
    fn parenthesis(&mut self) -> Result<Body, Diagnostic> {
        let start = self.at;
        self.take('(');
        self.blank();
        if self.take(')') {
            return Ok(Body::Alone);
        }
        let here = self.at;
        let word = self.word();
        self.blank();
        if word.is_empty() || self.peek() != Some(':') {
            self.at = start;
            return Ok(Body::Tuple(self.sequence('(', ')')?));
        }
        self.at = here;
        let mut out = Vec::new();
        loop {
            self.blank();
            if self.take(')') {
                return Ok(Body::Fields(out));
            }
            let from = self.at;
            let key = self.word();
            let key_span = from..self.at;
            self.blank();
            if key.is_empty() || !self.take(':') {
                return self.fault("a field's name and a colon belong here");
            }
            let value = self.node()?;
            out.push(Entry { key, key_span, value });
            self.blank();
            if !self.take(',') {
                self.blank();
                return if self.take(')') {
                    Ok(Body::Fields(out))
                } else {
                    self.fault("a comma or a closing bracket belongs here")
                };
            }
        }
    }

    fn map(&mut self) -> Result<Body, Diagnostic> {
        self.take('{');
        let mut out = Vec::new();
        loop {
            self.blank();
            if self.take('}') {
                return Ok(Body::Map(out));
            }
            let key = self.node()?;
            let key_text = match (key.name, key.body) {
                (None, Body::Text(t)) => t,
                (Some(n), Body::Alone) => n,
                _ => {
                    self.at = key.span.start;
                    return self.fault("a key is a name or a text");
                }
            };
            self.blank();
            if !self.take(':') {
                return self.fault("a colon belongs here");
            }
            let value = self.node()?;
            out.push(Entry { key: key_text, key_span: key.span, value });
            self.blank();
            if !self.take(',') {
                self.blank();
                return if self.take('}') {
                    Ok(Body::Map(out))
                } else {
                    self.fault("a comma or a closing brace belongs here")
                };
            }
        }
    }
}
