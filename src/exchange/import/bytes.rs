//! Which form a file has, and its text.

use super::trouble::Trouble;
use std::io::{Cursor, Read};

/// The most that is read of a document, unpacked, in bytes.
pub const LARGEST: u64 = 64 << 20;

/// What the beginning of a file says it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    Xml,
    Archive,
    Midi,
}

/// By its first bytes; what the file is called does not count.
pub fn sort(bytes: &[u8]) -> Option<Sort> {
    if bytes.starts_with(b"PK") {
        return Some(Sort::Archive);
    }
    if bytes.starts_with(b"MThd") || bytes.starts_with(b"RIFF") {
        return Some(Sort::Midi);
    }
    let plain = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let first = plain.iter().find(|b| !b.is_ascii_whitespace() && **b != 0)?;
    let sixteen = bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff");
    (*first == b'<' || sixteen).then_some(Sort::Xml)
}

/// The text of an XML document, by its byte order mark or by the encoding it names.
pub fn text(bytes: &[u8]) -> Result<String, Trouble> {
    if bytes.len() as u64 > LARGEST {
        return Err(Trouble::TooLarge { limit: LARGEST });
    }
    let sixteen = |bytes: &[u8], read: fn([u8; 2]) -> u16| {
        let units = bytes.chunks_exact(2).filter_map(|two| two.try_into().ok().map(read));
        char::decode_utf16(units)
            .collect::<Result<String, _>>()
            .map_err(|_| Trouble::Encoding("this file says it is UTF-16, but some of it is not".into()))
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => return sixteen(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => return sixteen(rest, u16::from_be_bytes),
        [b'<', 0, ..] => return sixteen(bytes, u16::from_le_bytes),
        [0, b'<', ..] => return sixteen(bytes, u16::from_be_bytes),
        _ => {}
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match named(bytes).as_deref() {
        // One byte a character, the first 256 of Unicode.
        Some("iso-8859-1" | "latin1") => Ok(bytes.iter().map(|b| char::from(*b)).collect()),
        // A text that can be read as bytes is not in units of two, whatever it says.
        None | Some("utf-8" | "utf8" | "us-ascii" | "ascii" | "utf-16") => match std::str::from_utf8(bytes) {
            Ok(text) => Ok(text.to_owned()),
            Err(why) => {
                Err(Trouble::Encoding(format!("this file is not UTF-8 at byte {}", why.valid_up_to())))
            }
        },
        Some(other) => Err(Trouble::Encoding(format!("this file is in the encoding \"{other}\""))),
    }
}

/// The encoding that the declaration names, in small letters.
fn named(bytes: &[u8]) -> Option<String> {
    let head = bytes.get(..bytes.len().min(200))?;
    let head: String = head.iter().map(|b| char::from(*b)).collect();
    let declaration = head.strip_prefix("<?xml")?.split("?>").next()?.to_owned();
    let behind = declaration.split("encoding").nth(1)?.trim_start().strip_prefix('=')?.trim_start();
    let quote = behind.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    Some(behind.get(1..)?.split(quote).next()?.to_lowercase())
}

/// The score in a compressed file: the one its page names, else the first that could be one.
pub fn unpacked(bytes: &[u8]) -> Result<Vec<u8>, Trouble> {
    let damaged = |why: zip::result::ZipError| Trouble::Archive(why.to_string());
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    let page = match archive.by_name("META-INF/container.xml") {
        Ok(entry) => Some(taken(entry, 1 << 20)?),
        Err(_) => None,
    };
    let named = page.and_then(|page| {
        let tree = super::tree::read(&text(&page).ok()?).ok()?;
        let root = tree.one("rootfiles")?.one("rootfile")?;
        root.attribute("full-path").map(str::to_owned)
    });
    let scored =
        |name: &str| !name.starts_with("META-INF") && (name.ends_with(".musicxml") || name.ends_with(".xml"));
    let name = named.or_else(|| archive.file_names().flatten().map(|n| n.to_string()).find(|n| scored(n)));
    let Some(name) = name else {
        return Err(Trouble::Archive("there is no score in it".into()));
    };
    let entry = archive
        .by_name(&name)
        .map_err(|why| Trouble::Archive(format!("{} could not be taken out: {why}", shown(&name))))?;
    taken(entry, LARGEST)
}

fn shown(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).take(60).collect()
}

/// What a reader gives, whatever size its header promises.
fn taken(reader: impl Read, limit: u64) -> Result<Vec<u8>, Trouble> {
    let mut out = Vec::new();
    reader.take(limit + 1).read_to_end(&mut out).map_err(|why| Trouble::Archive(why.to_string()))?;
    if out.len() as u64 > limit {
        return Err(Trouble::TooLarge { limit });
    }
    Ok(out)
}
