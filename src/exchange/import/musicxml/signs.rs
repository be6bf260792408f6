//! What stands at a note, as the notation's marks.

use crate::exchange::import::music::{Free, Signs};
use crate::exchange::import::tree::Node;
use crate::music::Dynamic;

/// Signs of a note.
#[derive(Debug, Default)]
pub struct Read {
    pub signs: Signs,
    /// Dynamics that stand at the note itself.
    pub levels: Vec<Free>,
    /// The accidental of a trill's upper note, where one stands: half steps.
    pub trill: Option<Option<i32>>,
    /// Starts of tuplets: number, and count and normal where they are said.
    pub tuplets: Vec<(u32, Option<(u32, u32)>)>,
    pub tuplet_stops: u32,
    pub tied: bool,
    /// What has no mark here, in words.
    pub lost: Vec<String>,
}

/// Reads all notations of a note.
pub fn read(note: &Node, horn: bool) -> Read {
    let mut out = Read::default();
    if note.one("notehead").is_some_and(|n| n.is("parentheses", "yes")) {
        out.mark(":ghost");
    }
    for group in note.all("notations").flat_map(|n| &n.children) {
        match &*group.name {
            "tied" => out.tied |= group.is("type", "stop") || group.is("type", "continue"),
            "slur" => match group.attribute("type") {
                Some("start") => out.signs.slur_starts += 1,
                Some("stop") => out.signs.slur_stops += 1,
                _ => {}
            },
            "tuplet" => out.tuplet(group),
            "glissando" | "slide" => out.signs.glides |= group.is("type", "start"),
            "ornaments" => out.ornaments(group),
            "technical" => out.technical(group, horn),
            "articulations" => out.articulations(group),
            "dynamics" => out.levels.extend(group.children.iter().filter_map(|d| level(&d.name))),
            "fermata" => out.mark(":fermata"),
            "accidental-mark" => {}
            other => out.lose(other),
        }
    }
    out
}

/// Half steps that an accidental says.
pub fn accidental(name: &str) -> Option<i32> {
    Some(match name {
        "flat" | "natural-flat" => -1,
        "natural" => 0,
        "sharp" | "natural-sharp" => 1,
        "flat-flat" => -2,
        "double-sharp" | "sharp-sharp" => 2,
        _ => return None,
    })
}

/// A dynamic that the notation has, or the nearest to it.
pub fn level(name: &str) -> Option<Free> {
    let near = match name {
        "ppppp" | "pppppp" => "pppp",
        "fffff" | "ffffff" => "ffff",
        "rf" => "rfz",
        "sffz" | "sfpp" => "sfz",
        "pf" | "n" => return None,
        other => other,
    };
    Dynamic::from_word(near).map(|d| Free::Level(d.word()))
}

impl Read {
    fn mark(&mut self, mark: &str) {
        if !self.signs.marks.iter().any(|m| m == mark) {
            self.signs.marks.push(mark.to_owned());
        }
    }

    fn lose(&mut self, name: &str) {
        self.lost.push(format!("the sign \"{}\"", name.replace('-', " ")));
    }

    fn tuplet(&mut self, node: &Node) {
        let number = node.attribute("number").and_then(|n| n.parse().ok()).unwrap_or(1);
        if !node.is("type", "start") {
            self.tuplet_stops += 1;
            return;
        }
        let of = |name: &str| node.one(name)?.child("tuplet-number")?.parse::<u32>().ok();
        let said = of("tuplet-actual").zip(of("tuplet-normal"));
        self.tuplets.push((number, said));
    }

    fn ornaments(&mut self, group: &Node) {
        for sign in &group.children {
            match &*sign.name {
                "trill-mark" => {
                    self.trill.get_or_insert(None);
                    self.mark(":trill");
                }
                "accidental-mark" if self.trill.is_some() => {
                    self.trill = Some(sign.said().and_then(accidental));
                }
                "accidental-mark" => {}
                "wavy-line" if self.trill.is_some() || !sign.is("type", "start") => {}
                "turn" => self.mark(":turn"),
                "shake" => self.mark(":shake"),
                "tremolo" if sign.is("type", "stop") => {}
                other => self.lose(other),
            }
        }
    }

    fn technical(&mut self, group: &Node, horn: bool) {
        let says = |word: &str| group.all("other-technical").any(|t| t.said() == Some(word));
        for sign in &group.children {
            match (&*sign.name, sign.said()) {
                ("fingering", Some(said)) => match choice(said) {
                    Some(choice) => self.mark(&choice),
                    None => self.lose("fingering"),
                },
                ("stopped", _) if horn && !says("closed") => self.mark(":stopped"),
                ("stopped", _) => self.mark(":closed"),
                ("open", _) => self.mark(":open"),
                ("half-muted", _) => self.mark(":wah"),
                ("brass-bend", _) => self.mark(":bend"),
                ("other-technical", Some("closed")) => {}
                ("other-technical", Some("growl")) => self.mark(":growl"),
                ("other-technical", Some("half-valve")) => self.mark(":halfvalve"),
                ("other-technical", Some("lip")) => self.mark(":lip"),
                ("other-technical", Some("flutter")) => {
                    self.lost.retain(|l| l != "the sign \"tremolo\"");
                    self.mark(":flutter");
                }
                (other, _) => self.lose(other),
            }
        }
    }

    fn articulations(&mut self, group: &Node) {
        for sign in &group.children {
            match (&*sign.name, sign.said()) {
                ("accent", _) => self.mark(">"),
                ("strong-accent", _) => self.mark("^"),
                ("staccato", _) => self.mark("."),
                ("tenuto", _) => self.mark("-"),
                ("detached-legato", _) => {
                    self.mark(".");
                    self.mark("-");
                }
                ("staccatissimo" | "spiccato", _) => self.mark(":wedge"),
                ("scoop", _) => self.mark(":scoop"),
                ("doit", _) => self.mark(":doit"),
                ("falloff", _) => self.mark(":fall"),
                ("breath-mark", _) => self.mark(","),
                ("caesura", _) => self.mark(",,"),
                ("other-articulation", Some("rip")) => self.mark(":rip"),
                (other, _) => self.lose(other),
            }
        }
    }
}

/// `12`, `T3`, `0` as the notation's choice.
fn choice(said: &str) -> Option<String> {
    let digits = said.trim_start_matches(['T', 'G']);
    let letters = said.len() - digits.len();
    let rising = digits.as_bytes().windows(2).all(|two| two.first() < two.get(1));
    let fine = (digits == "0" || digits.chars().all(|c| ('1'..='7').contains(&c)))
        && rising
        && matches!(said.get(..letters), Some("" | "T" | "G" | "TG"))
        && !said.is_empty()
        && said.len() <= 8;
    fine.then(|| format!("@{said}"))
}
