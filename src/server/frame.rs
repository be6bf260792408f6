//! Frames of the base protocol, taken out of whatever bytes arrive.
//!
//! Headers may be written in any case and there may be any number of them. What is no header is passed
//! over until the next `Content-Length`, wherever in a line it stands.

use std::io::{self, Read};

/// The longest body that is taken, in bytes: four times the largest score.
pub const LONGEST_BODY: usize = 256 << 20;

/// The longest line among the headers; of more only the end is kept, which may begin a header.
const LONGEST_HEADER: usize = 4096;

const LENGTH: &[u8] = b"content-length:";

/// What was read.
#[derive(Debug, PartialEq, Eq)]
pub enum Frame {
    /// A body of the announced length.
    Body(Vec<u8>),
    /// A length that is no number or too large; such a body is passed over.
    BadLength,
    /// No more will come.
    End,
}

/// Takes frames out of a stream.
pub struct Frames<R> {
    input: R,
    buffer: Vec<u8>,
    /// What of the buffer has been used.
    used: usize,
}

impl<R: Read> Frames<R> {
    pub fn new(input: R) -> Frames<R> {
        Frames { input, buffer: Vec::new(), used: 0 }
    }

    /// The next frame; waits for it.
    pub fn next(&mut self) -> io::Result<Frame> {
        let mut length = None;
        loop {
            let Some(line) = self.line()? else { return Ok(Frame::End) };
            match length_in(&line) {
                Some(Some(announced)) if announced <= LONGEST_BODY => length = Some(announced),
                Some(announced) => {
                    if let Some(announced) = announced {
                        self.pass_over(announced)?;
                    }
                    return Ok(Frame::BadLength);
                }
                None if line.is_empty() => {
                    if let Some(length) = length {
                        return Ok(self.body(length)?.map_or(Frame::End, Frame::Body));
                    }
                }
                None => {}
            }
        }
    }

    /// Gives back a body that turned out to be no message, from where another header begins in it: its
    /// announced length may have been too large.
    pub fn give_back(&mut self, body: &[u8]) {
        let begins = |at: usize| {
            let rest = body.get(at..).unwrap_or_default();
            let common = rest.len().min(LENGTH.len());
            common > 0
                && rest
                    .get(..common)
                    .zip(LENGTH.get(..common))
                    .is_some_and(|(a, b)| a.eq_ignore_ascii_case(b))
        };
        if let Some(at) = (0..body.len()).find(|at| begins(*at)) {
            let rest = body.get(at..).unwrap_or_default().to_vec();
            self.buffer.splice(..self.used, rest);
            self.used = 0;
        }
    }

    /// A line without its end; `None` at the end of the stream.
    fn line(&mut self) -> io::Result<Option<Vec<u8>>> {
        let mut from = self.used;
        loop {
            let fresh = self.buffer.get(from..).unwrap_or_default();
            if let Some(at) = fresh.iter().position(|b| *b == b'\n') {
                let line = self.buffer.get(self.used..from + at).unwrap_or_default();
                let line = line.strip_suffix(b"\r").unwrap_or(line).to_vec();
                self.used = from + at + 1;
                return Ok(Some(line));
            }
            if self.buffer.len() - self.used > LONGEST_HEADER {
                self.used = self.buffer.len() - LENGTH.len();
            }
            if !self.more()? {
                return Ok(None);
            }
            from = self.used;
        }
    }

    fn body(&mut self, length: usize) -> io::Result<Option<Vec<u8>>> {
        while self.buffer.len() - self.used < length {
            if !self.more()? {
                return Ok(None);
            }
        }
        let body = self.buffer.get(self.used..self.used + length).unwrap_or_default().to_vec();
        self.used += length;
        Ok(Some(body))
    }

    /// Reads on past a body that is too long to keep, and past the blank line before it.
    fn pass_over(&mut self, length: usize) -> io::Result<()> {
        while self.line()?.is_some_and(|line| !line.is_empty()) {}
        let mut rest = length;
        loop {
            let here = rest.min(self.buffer.len() - self.used);
            self.used += here;
            rest -= here;
            if rest == 0 || !self.more()? {
                return Ok(());
            }
        }
    }

    /// Reads some more; false at the end of the stream.
    fn more(&mut self) -> io::Result<bool> {
        self.buffer.drain(..self.used);
        self.used = 0;
        let mut piece = [0; 16 << 10];
        loop {
            match self.input.read(&mut piece) {
                Ok(0) => return Ok(false),
                Ok(n) => {
                    self.buffer.extend_from_slice(piece.get(..n).unwrap_or_default());
                    return Ok(true);
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }
}

/// `Some` for a line with a length; `Some(None)` if that is no number.
fn length_in(line: &[u8]) -> Option<Option<usize>> {
    let at = line.windows(LENGTH.len()).rposition(|w| w.eq_ignore_ascii_case(LENGTH))?;
    let value = line.get(at + LENGTH.len()..)?;
    Some(std::str::from_utf8(value).ok().and_then(|v| v.trim().parse().ok()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Gives one byte at a time.
    struct Drip<'a>(&'a [u8]);

    impl Read for Drip<'_> {
        fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
            let Some((first, rest)) = self.0.split_first() else { return Ok(0) };
            out[0] = *first;
            self.0 = rest;
            Ok(1)
        }
    }

    fn all(bytes: &[u8]) -> Vec<Frame> {
        let mut frames = Frames::new(Drip(bytes));
        let mut out = Vec::new();
        loop {
            match frames.next().unwrap() {
                Frame::End => return out,
                frame => out.push(frame),
            }
        }
    }

    fn body(text: &str) -> Frame {
        Frame::Body(text.as_bytes().to_vec())
    }

    #[test]
    fn headers_in_any_case_and_number() {
        assert_eq!(all(b"content-length: 2\r\n\r\n{}"), [body("{}")]);
        assert_eq!(all(b"A: b\r\nCONTENT-LENGTH:2\r\nC: d\r\nE: f\r\n\r\n{}"), [body("{}")]);
        assert_eq!(all(b"Content-Length: 2\n\n{}\r\nContent-Length: 2\r\n\r\n[]"), [body("{}"), body("[]")]);
    }

    #[test]
    fn garbage_is_passed_over() {
        assert_eq!(all(b"hello\r\n\r\nworldContent-Length: 2\r\n\r\n{}"), [body("{}")]);
        let long = [vec![b'x'; 3 * LONGEST_HEADER], b"Content-Length: 2\r\n\r\n{}".to_vec()].concat();
        assert_eq!(all(&long), [body("{}")]);
    }

    #[test]
    fn bad_lengths() {
        for bad in ["many", "-1", "", "99999999999999999999999"] {
            let text = format!("Content-Length: {bad}\r\n\r\n{{}}\r\nContent-Length: 2\r\n\r\n[]");
            assert_eq!(all(text.as_bytes()), [Frame::BadLength, body("[]")], "{bad}");
        }
    }

    #[test]
    fn a_length_too_large_costs_no_other_frame() {
        let mut frames = Frames::new(&b"Content-Length: 9\r\n\r\n{}Content-Length: 2\r\n\r\n[]"[..]);
        let Frame::Body(wrong) = frames.next().unwrap() else { panic!() };
        frames.give_back(&wrong);
        assert_eq!(frames.next().unwrap(), body("[]"));
    }

    proptest! {
        #[test]
        fn any_garbage_ends_and_what_follows_is_read(garbage in proptest::collection::vec(any::<u8>(), 0..200)) {
            let mut bytes = garbage.clone();
            bytes.extend_from_slice(b"\nContent-Length: 7\r\n\r\nharbour");
            let frames = all(&bytes);
            let announced = garbage.windows(LENGTH.len()).any(|w| w.eq_ignore_ascii_case(LENGTH));
            prop_assert!(announced || frames == [body("harbour")]);
        }
    }
}
