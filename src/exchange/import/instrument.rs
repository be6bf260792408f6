//! Which instrument of the catalogue a part is for: by its names, by the standard's sound identifier, by how it
//! transposes.

use super::trouble::Trouble;
use crate::brass::Kind;
use crate::brass::catalogue::{self, Entry};
use crate::brass::names::is_not_brass;
use crate::brass::register::Register;
use crate::music::{Clef, Interval, Pitch};

/// What a file tells about the instrument of a part.
#[derive(Debug, Default)]
pub struct Told<'a> {
    /// The most telling first.
    pub names: Vec<&'a str>,
    /// `brass.trumpet.bflat`.
    pub sound: Option<&'a str>,
    /// General MIDI, from 1.
    pub program: Option<u32>,
    /// From written to sounding, where it is known.
    pub reads: Option<Interval>,
}

/// An instrument that was recognised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recognised {
    /// As a score names it: `horn in F`.
    pub name: String,
    /// What had to be taken for it, in words.
    pub compromise: Option<String>,
}

/// Words in names of parts, without accents and in small letters, and the catalogue's name for what they mean;
/// nothing where it is no brass. Of several the first counts. Words of the trade in English, German, French,
/// Italian and Spanish (common practice).
const WORDS: [(&str, &str); 96] = [
    ("english horn", ""),
    ("englisch horn", ""),
    ("englischhorn", ""),
    ("cor anglais", ""),
    ("corno inglese", ""),
    ("corno ingles", ""),
    ("basset horn", ""),
    ("bassetthorn", ""),
    ("corno di bassetto", ""),
    ("horn section", "horn"),
    ("bass trumpet", "bass trumpet"),
    ("basstrompete", "bass trumpet"),
    ("tromba bassa", "bass trumpet"),
    ("piccolo trumpet", "piccolo trumpet"),
    ("trumpet piccolo", "piccolo trumpet"),
    ("natural trumpet", "natural trumpet"),
    ("baroque trumpet", "natural trumpet"),
    ("naturtrompete", "natural trumpet"),
    ("clarino", "natural trumpet"),
    ("soprano cornet", "soprano cornet"),
    ("flugelhorn", "flugelhorn"),
    ("fluegelhorn", "flugelhorn"),
    ("flugel horn", "flugelhorn"),
    ("flugel", "flugelhorn"),
    ("flghn", "flugelhorn"),
    ("flicorno", "flugelhorn"),
    ("cornet", "cornet"),
    ("cornets", "cornet"),
    ("kornett", "cornet"),
    ("cornetta", "cornet"),
    ("trumpet", "trumpet"),
    ("trumpets", "trumpet"),
    ("trompete", "trumpet"),
    ("trompeten", "trumpet"),
    ("trompette", "trumpet"),
    ("trompettes", "trumpet"),
    ("trompeta", "trumpet"),
    ("tromba", "trumpet"),
    ("trombe", "trumpet"),
    ("tpt", "trumpet"),
    ("trp", "trumpet"),
    ("trpt", "trumpet"),
    ("tenor horn", "tenor horn"),
    ("tenorhorn", "tenor horn"),
    ("alto horn", "tenor horn"),
    ("althorn", "tenor horn"),
    ("baritone horn", "baritone horn"),
    ("euphonium", "euphonium"),
    ("euphoniums", "euphonium"),
    ("euph", "euphonium"),
    ("bombardino", "euphonium"),
    ("tenor tuba", "euphonium"),
    ("wagner tuba", "Wagner tuba"),
    ("wagnertuba", "Wagner tuba"),
    ("mellophone", "mellophone"),
    ("natural horn", "natural horn"),
    ("naturhorn", "natural horn"),
    ("hand horn", "natural horn"),
    ("alphorn", "alphorn"),
    ("single horn", "single horn"),
    ("horn", "horn"),
    ("horns", "horn"),
    ("horner", "horn"),
    ("waldhorn", "horn"),
    ("corno", "horn"),
    ("corni", "horn"),
    ("cor", "horn"),
    ("cors", "horn"),
    ("trompa", "horn"),
    ("hn", "horn"),
    ("hrn", "horn"),
    ("contrabass trombone", "contrabass trombone"),
    ("kontrabassposaune", "contrabass trombone"),
    ("bass trombone", "bass trombone"),
    ("bassposaune", "bass trombone"),
    ("trombone basso", "bass trombone"),
    ("trombone bass", "bass trombone"),
    ("alto trombone", "alto trombone"),
    ("altposaune", "alto trombone"),
    ("straight trombone", "straight trombone"),
    ("trombone", "trombone"),
    ("trombones", "trombone"),
    ("tromboni", "trombone"),
    ("posaune", "trombone"),
    ("posaunen", "trombone"),
    ("tbn", "trombone"),
    ("cimbasso", "cimbasso"),
    ("sousaphone", "sousaphone"),
    ("kontrabasstuba", "BBb tuba"),
    ("contrabass tuba", "BBb tuba"),
    ("e flat tuba", "Eb tuba"),
    ("cc tuba", "CC tuba"),
    ("bbb tuba", "BBb tuba"),
    ("tuba", "F tuba"),
    ("tubas", "F tuba"),
    ("bugle", "bugle"),
];

/// Identifiers of the MusicXML 4.0 standard's list of sounds, the longer before what it begins with; those of bass
/// trumpet, mellophone, Wagner tuba, cimbasso, natural horn, bugle and alphorn are from memory.
const SOUNDS: [(&str, &str); 22] = [
    ("brass.trumpet.piccolo", "piccolo trumpet"),
    ("brass.trumpet.bass", "bass trumpet"),
    ("brass.trumpet", "trumpet"),
    ("brass.cornet.soprano", "soprano cornet"),
    ("brass.cornet", "cornet"),
    ("brass.flugelhorn", "flugelhorn"),
    ("brass.french-horn", "horn"),
    ("brass.alto-horn", "tenor horn"),
    ("brass.mellophone", "mellophone"),
    ("brass.baritone-horn", "baritone horn"),
    ("brass.euphonium", "euphonium"),
    ("brass.trombone.alto", "alto trombone"),
    ("brass.trombone.contrabass", "contrabass trombone"),
    ("brass.trombone.bass", "bass trombone"),
    ("brass.trombone", "trombone"),
    ("brass.sousaphone", "sousaphone"),
    ("brass.tuba.subcontrabass", "BBb tuba"),
    ("brass.tuba", "F tuba"),
    ("brass.wagner-tuba", "Wagner tuba"),
    ("brass.cimbasso", "cimbasso"),
    ("brass.natural-horn", "natural horn"),
    ("brass.bugle", "bugle"),
];

/// The instrument; `None` where nothing says that it is brass.
pub fn recognised(told: &Told<'_>) -> Option<Recognised> {
    // A name that is the catalogue's own says it all.
    if let Some(name) = told.names.iter().find_map(|name| exact(name)) {
        return Some(Recognised { name, compromise: None });
    }
    let by_name = told.names.iter().find_map(|name| by_words(name).map(|meant| (meant, *name)));
    let (family, said) = match by_name {
        Some(("", _)) => return None,
        Some((family, name)) => (family, name),
        None if told.names.iter().any(|name| is_not_brass(&plain(name))) => return None,
        None => {
            let sound = told.sound.and_then(|s| SOUNDS.iter().find(|(id, _)| s.starts_with(id)));
            let program = match told.program {
                Some(57 | 60) => Some("trumpet"),
                Some(58) => Some("trombone"),
                Some(59) => Some("F tuba"),
                Some(61) => Some("horn"),
                _ => None,
            };
            let group = told.sound.is_some_and(|s| s.starts_with("brass."));
            let guess = group.then(|| match told.reads.map_or(0, |r| r.semitones) {
                -7 => "horn",
                -2 | 2 | 3 | 5 => "trumpet",
                _ => "trombone",
            });
            let family = sound.map(|(_, family)| *family).or(program.filter(|_| told.sound.is_none()));
            let said = told.names.first().copied().unwrap_or_default();
            let Some(family) = family else {
                let found = in_key(guess?, said, told);
                let compromise =
                    format!("some brass instrument: taken for {} (`--map` says otherwise)", found.name);
                return Some(Recognised { compromise: Some(compromise), ..found });
            };
            (family, said)
        }
    };
    Some(in_key(family, said, told))
}

/// Which of a family: in the key its name says, else as it transposes, else the usual one.
fn in_key(family: &str, said: &str, told: &Told<'_>) -> Recognised {
    let all: Vec<Entry> = catalogue::entries().filter(|e| e.name == family).collect();
    let reads = |entry: &&Entry, semitones: i32| entry.reads().is_some_and(|r| r.semitones == semitones);
    let stated = told.reads.and_then(|wanted| {
        // Brass bands and treble clef parts read low instruments up there.
        let band: &[&str] = match (family, wanted.semitones) {
            ("F tuba" | "BBb tuba" | "Eb tuba" | "CC tuba", -21 | -26) => &["bass"],
            _ => &[],
        };
        let own = all.iter().find(|e| reads(e, wanted.semitones)).map(Entry::full_name);
        own.or_else(|| {
            catalogue::entries()
                .find(|e| band.contains(&e.name) && reads(&e, wanted.semitones))
                .map(|e| e.full_name())
        })
    });
    let keyed = key_in(said).and_then(|key| {
        let wanted = format!(" in {key}");
        all.iter().map(Entry::full_name).find(|name| name.ends_with(&wanted))
    });
    // At concert pitch the key of the name is what is known; else what is written has the last word.
    let concert = told.reads.is_none_or(|r| r == Interval::UNISON);
    let exact = if concert { keyed.clone().or(stated.clone()) } else { stated.clone().or(keyed.clone()) };
    let usual = all.first().map_or_else(|| family.to_owned(), Entry::full_name);
    let name = exact.clone().unwrap_or(usual);
    let other = told.reads.filter(|r| *r != Interval::UNISON && stated.is_none());
    let compromise = other.map(|_| {
        format!("written in a transposition that this score has no such instrument for; read as {name}")
    });
    Recognised { name, compromise }
}

/// A name of the catalogue with its key, if this is one.
fn exact(said: &str) -> Option<String> {
    parse(said).ok()
}

/// Reads `horn in F`, `natural horn in C basso`, `trombone`.
pub fn parse(said: &str) -> Result<String, Trouble> {
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let (name, behind) = match said.split_once(" in ") {
        Some((name, behind)) => (name, Some(behind)),
        None => (&*said, None),
    };
    let mut words = behind.unwrap_or_default().split(' ').filter(|w| !w.is_empty());
    let key = words.next().and_then(|key| Pitch::parse(&format!("{key}4")));
    let register = words.next().and_then(Register::from_word);
    if behind.is_some() && key.is_none() {
        return Err(Trouble::Map(format!("\"{said}\" names no key; say for example `horn in F`")));
    }
    catalogue::find(name, key, register).map_err(|why| Trouble::Map(why.to_string()))?;
    Ok(said)
}

/// Small letters without accents, digits and points; words parted by one blank.
fn plain(name: &str) -> String {
    let letters = name.chars().flat_map(char::to_lowercase).map(|c| match c {
        'à' | 'á' | 'â' | 'ä' => 'a',
        'è' | 'é' | 'ê' | 'ë' => 'e',
        'ì' | 'í' | 'î' | 'ï' => 'i',
        'ò' | 'ó' | 'ô' | 'ö' => 'o',
        'ù' | 'ú' | 'û' | 'ü' => 'u',
        c if c.is_alphabetic() => c,
        '♭' => 'b',
        _ => ' ',
    });
    letters.collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn by_words(name: &str) -> Option<&'static str> {
    let name = format!(" {} ", plain(name));
    WORDS.iter().find(|(words, _)| name.contains(&format!(" {words} "))).map(|(_, meant)| *meant)
}

/// The key that a name says: `Horn in F`, `Trumpet in B flat`, `Bb Trumpet`, `Cornet (Bb)`.
fn key_in(name: &str) -> Option<String> {
    let flat = name.replace('♭', "b").replace(" flat", "b").replace("-flat", "b").replace('♯', "#");
    let words: Vec<&str> =
        flat.split(|c: char| !(c.is_alphanumeric() || c == '#')).filter(|w| !w.is_empty()).collect();
    words.iter().find_map(|word| {
        let letter = word.chars().next().filter(|c| ('A'..='G').contains(c))?;
        match word.get(1..)? {
            "" => Some(letter.to_string()),
            "b" => Some(format!("{letter}b")),
            "#" => Some(format!("{letter}#")),
            _ => None,
        }
    })
}

/// The clef that an instrument of the catalogue is mostly written in.
pub fn usual_clef(name: &str) -> Option<&'static str> {
    built(name).map(|(_, clef)| clef.word())
}

/// What an instrument of the catalogue is, and its clef.
pub fn built(name: &str) -> Option<(Kind, Clef)> {
    let entry = catalogue::entries().find(|e| e.full_name() == name)?;
    entry.instrument().map(|i| (i.kind, i.clef))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(name: &str, semitones: Option<i32>) -> Option<String> {
        let steps = |semitones: i32| (f64::from(semitones) * 7.0 / 12.0).round() as i32;
        let reads = semitones.map(|s| Interval::new(steps(s), s));
        recognised(&Told { names: vec![name], reads, ..Told::default() }).map(|r| r.name)
    }

    #[test]
    fn names_of_many_languages_are_known() {
        let is = |name: &str, semitones, wanted: &str| {
            assert_eq!(named(name, semitones).as_deref(), Some(wanted), "{name}")
        };
        is("Trumpet in B♭ 1", Some(-2), "trumpet in Bb");
        is("Trompete (C)", Some(0), "trumpet in C");
        is("Trumpet", Some(3), "trumpet in Eb");
        is("Bb Trumpet 2", Some(-2), "trumpet in Bb");
        is("Corno I in F", Some(-7), "horn in F");
        is("Hörner", None, "horn in F");
        is("Tenor Trombone", None, "trombone");
        is("Posaune 2", Some(0), "trombone");
        is("Trombone in B flat", Some(-14), "trombone in Bb");
        is("Bass Trombone", None, "bass trombone");
        is("Euphonium (T.C.)", Some(-14), "euphonium in Bb");
        is("Tuba", Some(-26), "bass in Bb");
        is("natural horn in C basso", None, "natural horn in C basso");
        for other in ["English Horn", "Cor anglais", "Violin", "Bass", "Baritone", "Flute", "", "Soprano"] {
            assert_eq!(named(other, None), None, "{other}");
        }
    }

    #[test]
    fn a_sound_identifier_is_enough() {
        let sound = |id| recognised(&Told { names: vec!["Part 1"], sound: Some(id), ..Told::default() });
        assert_eq!(sound("brass.trombone.bass").unwrap().name, "bass trombone");
        assert_eq!(sound("wind.flutes.flute"), None);
    }

    #[test]
    fn every_word_means_an_instrument_of_the_catalogue() {
        let meant = WORDS.iter().chain(&SOUNDS).map(|(_, meant)| *meant).filter(|m| !m.is_empty());
        for name in meant {
            assert!(catalogue::entries().any(|e| e.name == name), "{name}");
        }
    }
}
