//! Files that are damaged or mean harm: a clear error, in little time and memory.

use std::io::{Cursor, Write};
use std::time::{Duration, Instant};
use waterkey::exchange::import::{Map, Trouble, import};
use waterkey::exchange::musicxml;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// Far more than any of these takes, and far less than reading what they promise would.
const LONG: Duration = Duration::from_secs(20);

fn trouble(bytes: &[u8]) -> Trouble {
    let start = Instant::now();
    let why = import(bytes, &Map::default()).expect_err("it is taken in");
    assert!(start.elapsed() < LONG, "{why}");
    let said = why.to_string();
    assert!(!said.is_empty() && said.len() < 600 && !said.contains("Error"), "{said}");
    why
}

fn measure(inside: &str) -> String {
    format!(
        "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Horn in F</part-name></score-part>\
         </part-list><part id=\"P1\"><measure number=\"1\">{inside}</measure></part></score-partwise>"
    )
}

const NOTE: &str = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note>";

fn archive(name: &str, bytes: &[u8]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file(name, SimpleFileOptions::default().compression_method(CompressionMethod::Deflated))
        .unwrap();
    zip.write_all(bytes).unwrap();
    zip.finish().unwrap().into_inner()
}

#[test]
fn the_plain_measure_is_fine() {
    let whole = format!("<attributes><divisions>1</divisions></attributes>{NOTE}");
    let text = import(measure(&whole).as_bytes(), &Map::default()).unwrap().text;
    assert!(text.contains("horn in F") && text.contains("w : C4"), "{text}");
}

#[test]
fn a_zip_that_is_cut_off() {
    let whole = musicxml::compressed(&measure(NOTE)).unwrap();
    assert!(import(&whole, &Map::default()).is_ok());
    for end in [4, 30, whole.len() / 2, whole.len() - 5] {
        assert!(matches!(trouble(&whole[..end]), Trouble::Archive(_)), "{end}");
    }
}

#[test]
fn a_zip_whose_contents_are_spoiled() {
    let mut spoiled = archive("score.xml", measure(NOTE).as_bytes());
    for byte in spoiled.iter_mut().skip(45).take(40) {
        *byte ^= 0x5a;
    }
    trouble(&spoiled);
}

#[test]
fn a_zip_that_unpacks_to_more_than_is_read() {
    // A hundred megabytes of blanks are a hundred kilobytes here.
    let mut big = b"<score-partwise>".to_vec();
    big.resize(100 << 20, b' ');
    let packed = archive("score.xml", &big);
    assert!(packed.len() < 1 << 20);
    assert!(matches!(trouble(&packed), Trouble::TooLarge { .. }));
}

#[test]
fn a_zip_whose_header_promises_a_gigabyte() {
    let mut lying = archive("score.xml", measure(NOTE).as_bytes());
    // Uncompressed size: 22 bytes into the local header, 24 into the central one.
    let central = lying.windows(4).position(|w| w == b"PK\x01\x02").unwrap();
    for at in [22, central + 24] {
        lying[at..at + 4].copy_from_slice(&(1u32 << 30).to_le_bytes());
    }
    let start = Instant::now();
    // Whether it is refused or read for what it holds: nothing of that size is made room for.
    let _ = import(&lying, &Map::default());
    assert!(start.elapsed() < LONG);
}

#[test]
fn entities_are_neither_multiplied_nor_fetched() {
    let mut bomb = String::from("<?xml version=\"1.0\"?><!DOCTYPE b [<!ENTITY a0 \"lol\">");
    for n in 1..30 {
        bomb += &format!("<!ENTITY a{n} \"{}\">", format!("&a{};", n - 1).repeat(10));
    }
    bomb += "]>";
    let title = |said: &str| {
        measure(NOTE).replace("<part-list>", &format!("<movement-title>{said}</movement-title><part-list>"))
    };
    assert!(matches!(trouble((bomb + &title("&a29;")).as_bytes()), Trouble::Entity { .. }));
    let outside = "<!DOCTYPE b [<!ENTITY own SYSTEM \"file:///etc/hostname\">]>".to_owned() + &title("&own;");
    assert!(matches!(trouble(outside.as_bytes()), Trouble::Entity { .. }));
    // A document type that is elsewhere is not asked for.
    let typed = "<!DOCTYPE score-partwise PUBLIC \"-//X//Y\" \"http://192.0.2.1/partwise.dtd\">".to_owned()
        + &measure(NOTE);
    assert!(import(typed.as_bytes(), &Map::default()).is_ok());
}

#[test]
fn encodings_that_are_not_what_they_say() {
    let declared = |name: &str| format!("<?xml version=\"1.0\" encoding=\"{name}\"?>{}", measure(NOTE));
    assert!(matches!(trouble(declared("EBCDIC-US").as_bytes()), Trouble::Encoding(_)));
    let mut bytes = declared("UTF-8").replace("Horn in F", "H?rner").into_bytes();
    let at = bytes.iter().position(|b| *b == b'?').unwrap();
    let at = bytes.iter().skip(at + 1).position(|b| *b == b'?').map_or(at, |n| n + at + 1);
    let at = bytes.windows(6).position(|w| w == b"H?rner").map_or(at, |n| n + 1);
    bytes[at] = 0xf6;
    assert!(matches!(trouble(&bytes), Trouble::Encoding(_)));
    // The same bytes in the encoding they are in.
    let latin = String::from_utf8_lossy(&bytes[..40]).replace("UTF-8", "ISO-8859-1");
    let whole = [latin.as_bytes(), &bytes[40..]].concat();
    assert!(import(&whole, &Map::default()).unwrap().text.contains("Hörner"));
    let sixteen: Vec<u8> =
        [0xfeffu16].into_iter().chain(measure(NOTE).encode_utf16()).flat_map(u16::to_le_bytes).collect();
    assert!(import(&sixteen, &Map::default()).is_ok());
    let half: Vec<u8> = [0xff, 0xfe, 0x00, 0xd8, b'<', 0].to_vec();
    assert!(matches!(trouble(&half), Trouble::Encoding(_)));
}

#[test]
fn numbers_that_no_music_has() {
    for inside in [
        format!("<attributes><divisions>0</divisions></attributes>{NOTE}"),
        format!("<attributes><divisions>-4</divisions></attributes>{NOTE}"),
        NOTE.replace(">4</duration>", ">-4</duration>"),
        NOTE.replace(">4</duration>", ">99999999999</duration>"),
        NOTE.replace(">4</duration>", ">four</duration>"),
        NOTE.replace("<duration>4</duration>", ""),
        NOTE.replace(">4</octave>", ">400</octave>"),
        format!("<attributes><time><beats>0</beats><beat-type>4</beat-type></time></attributes>{NOTE}"),
        format!("<attributes><time><beats>4</beats><beat-type>5</beat-type></time></attributes>{NOTE}"),
    ] {
        assert!(matches!(trouble(measure(&inside).as_bytes()), Trouble::Number { .. }), "{inside}");
    }
}

#[test]
fn xml_that_is_none() {
    for text in [
        "<score-partwise>",
        "<score-partwise><part></score-partwise>",
        "<a",
        "<a b=c>",
        "<html></html>",
        "<>",
    ] {
        trouble(text.as_bytes());
    }
    trouble(&b"<a>".repeat(300_000));
    assert!(matches!(trouble(b""), Trouble::UnknownForm));
    assert!(matches!(trouble(b"brass 1\n"), Trouble::UnknownForm));
}

fn midi(track: &[u8]) -> Vec<u8> {
    let head = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0MTrk".to_vec();
    [&head, &(track.len() as u32).to_be_bytes()[..], track].concat()
}

#[test]
fn midi_that_is_damaged() {
    let name = b"\x00\xff\x03\x04Horn";
    let notes = b"\x00\x90\x3c\x50\x83\x60\x80\x3c\x40";
    let end = b"\x00\xff\x2f\x00";
    let whole = midi(&[&name[..], notes, end].concat());
    assert!(
        import(&whole, &Map::default()).unwrap().text.contains("q h.- : mf C4"),
        "the plain file is fine"
    );
    let endless = midi(&[&name[..], notes].concat());
    assert!(trouble(&endless).to_string().contains("no end"));
    for cut in 4..whole.len() {
        assert!(matches!(trouble(&whole[..cut]), Trouble::Midi(_)), "{cut}");
    }
    let mut frames = whole.clone();
    frames[12..14].copy_from_slice(&[0xe7, 0x28]);
    assert!(trouble(&frames).to_string().contains("frames"));
    let mut timeless = whole.clone();
    timeless[12..14].copy_from_slice(&[0, 0]);
    trouble(&timeless);
    // Notes that are hundreds of millions of quarters apart.
    let far = midi(&[&name[..], &b"\xff\xff\xff\x7f\x90\x3c\x50"[..], &notes[1..], end].concat());
    let start = Instant::now();
    let _ = import(&far, &Map::default());
    assert!(start.elapsed() < LONG);
}

mod garbage {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

        #[test]
        fn whatever_the_bytes_nothing_breaks(at in any::<prop::sample::Index>(), with in any::<u8>(), kind in 0usize..3) {
            let whole = format!("<attributes><divisions>1</divisions></attributes>{NOTE}<backup><duration>2</duration></backup>{NOTE}");
            let mut bytes = match kind {
                0 => measure(&whole).into_bytes(),
                1 => musicxml::compressed(&measure(&whole)).unwrap(),
                _ => midi(b"\x00\xff\x03\x04Horn\x00\x90\x3c\x50\x83\x60\x80\x3c\x40\x00\x90\x40\x50\x10\x80\x40\x40\x00\xff\x2f\x00"),
            };
            let at = at.index(bytes.len());
            bytes[at] = with;
            let _ = import(&bytes, &Map::default());
        }
    }
}
