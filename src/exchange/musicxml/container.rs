//! The compressed form (`.mxl`): the score in a zip archive, with a page that says where it is.

use super::xml::{Element, document};
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// Media types and the place of the page are those of the standard's chapter on compressed files.
const ARCHIVE: &str = "application/vnd.recordare.musicxml";
const SCORE: &str = "score.musicxml";

/// The archive that holds a score.
pub fn compressed(score: &str) -> std::io::Result<Vec<u8>> {
    let rootfile = Element::new("rootfile")
        .with("full-path", SCORE)
        .with("media-type", "application/vnd.recordare.musicxml+xml");
    let page = document(&Element::new("container").and(Element::new("rootfiles").and(rootfile)));
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let deflated = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, text, options) in
        [("mimetype", ARCHIVE, stored), ("META-INF/container.xml", &page, deflated), (SCORE, score, deflated)]
    {
        zip.start_file(name, options)?;
        zip.write_all(text.as_bytes())?;
    }
    Ok(zip.finish()?.into_inner())
}
