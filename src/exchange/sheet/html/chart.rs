//! The chart of a player: the piece from left to right, written pitch upwards on the staff of the part's clef.
//!
//! Places along the piece are per cent of the width, heights are pixels, so that a chart fits any width and its
//! words keep their size.

use super::entries::Entry;
use super::escape::{escaped, name, number, pitch, short, shortened};
use super::room::{Anchor, BOLD, OVER, PLAIN, Room};
use super::shapes::{HALF, rank, said, shape};
use super::signs::groups;
use super::strip::WIDE;
use crate::assist::playing_time::{duration, moment};
use crate::assist::sheet::{Cell, InstrumentUse, PlayerSheet, Sheet, Unit};
use crate::exchange::sheet::words;
use crate::music::{Clef, Pitch};
use std::fmt::Write as _;

/// Pixels from one letter to the next.
const STEP: f64 = 6.0;
/// Letters that are free above and below.
const MARGIN: f64 = 1.6;
/// Height of the lane of rehearsal marks and of the lane of findings.
const MARKS: f64 = 18.0;
const FINDINGS: f64 = 34.0;
/// Of the lane of mutes, and of the numbers below.
const BELLS: f64 = 18.0;
const NUMBERS: f64 = 32.0;
/// Of the lane of the load, how deep a load of 1 goes in it, and the gap above it.
const LOADS: f64 = 26.0;
const DEEP: f64 = 8.0;
const GAP: f64 = 5.0;
/// Least distance of two names at the side, in pixels.
const LINE: f64 = 12.0;

/// Everything a chart is drawn with.
struct Board<'a> {
    sheet: &'a Sheet,
    player: &'a PlayerSheet,
    /// Number of the player on the page.
    number: usize,
    /// Heights at top and bottom, in letters.
    top: f64,
    bottom: f64,
    /// Pixels above the staff.
    head: f64,
}

/// The chart of the n-th player; `entries` are those of its list.
pub fn chart(sheet: &Sheet, player: &PlayerSheet, number: usize, entries: &[Entry<'_>]) -> String {
    let heights = || {
        let limits =
            player.instruments.iter().flat_map(|i| [i.low_written, i.usual_written, i.comfortable_written]);
        let used = [player.used.lowest, player.used.highest].into_iter().flatten().map(|note| note.written);
        let cells = player.chart.cells.iter().flat_map(|c| [c.lowest_written, c.highest_written]).flatten();
        let staff = staff(clef(player)).into_iter().map(f64::from);
        limits.chain(used).chain(cells).map(height).chain(staff)
    };
    let top = heights().fold(f64::MIN, f64::max) + MARGIN;
    let bottom = heights().fold(f64::MAX, f64::min) - MARGIN;
    let has_marks = !sheet.marks.is_empty();
    let has_findings = entries.iter().any(|entry| entry.all().any(|found| found.at.is_some()));
    let head = 4.0 + if has_marks { MARKS } else { 0.0 } + if has_findings { FINDINGS } else { 0.0 };
    Board { sheet, player, number, top, bottom, head }.drawn(entries)
}

impl Board<'_> {
    fn drawn(&self, entries: &[Entry<'_>]) -> String {
        let bells = if self.player.chart.bells.is_empty() { 0.0 } else { BELLS };
        let base = self.base();
        let loads = if self.timed() { LOADS + GAP } else { 0.0 };
        let below = base + bells + loads;
        let tall = below + NUMBERS;
        let mut out = String::from(r#"<div class="plot">"#);
        let _ = write!(out, r#"<svg class="side" width="44" height="{}" aria-hidden="true">"#, number(tall));
        self.side(&mut out);
        if self.timed() {
            let _ =
                write!(out, r#"<text class="far" x="36" y="{}">load</text>"#, number(below - LOADS + 12.0));
        }
        let label = format!("Chart of {}: {}", words::called(self.player), self.summary());
        let _ = write!(
            out,
            r#"</svg><svg class="chart" role="group" aria-label="{}" width="100%" height="{}">"#,
            escaped(&label),
            number(tall)
        );
        out.push_str(r#"<g aria-hidden="true">"#);
        self.bands(&mut out);
        self.lines(&mut out);
        self.music(&mut out);
        self.bells(&mut out, base);
        if self.timed() {
            self.loads(&mut out, below - LOADS);
        }
        self.numbers(&mut out, base, below);
        self.marks(&mut out, base);
        if self.player.chart.cells.is_empty() {
            let _ = write!(
                out,
                r#"<text class="silent" x="50%" y="{}">does not play</text>"#,
                number(self.middle() + 5.0)
            );
        }
        self.cells(&mut out, below);
        out.push_str("</g>");
        self.findings(&mut out, entries);
        out.push_str("</svg></div>");
        out
    }

    /// Pixels from the top to below the staff.
    fn base(&self) -> f64 {
        self.head + (self.top - self.bottom) * STEP
    }

    fn timed(&self) -> bool {
        self.sheet.axis.unit == Unit::Seconds
    }

    fn y(&self, height: f64) -> f64 {
        self.head + (self.top - height) * STEP
    }

    /// Per cent of the width.
    fn x(&self, at: f64) -> f64 {
        let length = self.sheet.axis.length;
        if length > 0.0 { (100.0 * at / length).clamp(0.0, 100.0) } else { 0.0 }
    }

    fn instrument(&self, index: u8) -> Option<&InstrumentUse> {
        self.player.instruments.get(usize::from(index))
    }

    fn summary(&self) -> String {
        let span = self.player.used.lowest.zip(self.player.used.highest);
        match span {
            Some((low, high)) => format!("written {} to {}", pitch(low.written), pitch(high.written)),
            None => "does not play".to_owned(),
        }
    }

    /// Names at the side: what matters most first, and what there is room for.
    fn side(&self, out: &mut String) {
        let first = self.instrument(0);
        let used = &self.player.used;
        let wanted = [
            (first.map(|i| i.comfortable_written), "edge"),
            (first.map(|i| i.low_written), "edge"),
            (used.highest.map(|note| note.written), "used"),
            (used.lowest.map(|note| note.written), "used"),
            (first.map(|i| i.usual_written), "far"),
        ];
        let mut taken: Vec<f64> = Vec::new();
        for (written, class) in wanted {
            let Some(written) = written else { continue };
            let y = self.y(height(written));
            if taken.iter().any(|other| (other - y).abs() < LINE) {
                continue;
            }
            taken.push(y);
            let _ = write!(
                out,
                r#"<text class="{class}" x="36" y="{}">{}</text><path class="{class}" d="M39 {y:.1}h5"/>"#,
                number(y + 4.0),
                pitch(written)
            );
        }
    }

    fn bands(&self, out: &mut String) {
        let mut room = Room::chart();
        for hand in &self.player.chart.hands {
            let Some(held) = self.instrument(hand.what) else { continue };
            let (x, wide) = (self.x(hand.from), self.x(hand.to) - self.x(hand.from));
            let (top, low) = (self.y(height(held.comfortable_written)), self.y(height(held.low_written)));
            let usual = self.y(height(held.usual_written));
            let _ = write!(
                out,
                r#"<rect class="band" x="{0}%" y="{1}" width="{2}%" height="{3}"/><line class="edge" x1="{0}%" x2="{4}%" y1="{1}" y2="{1}"/><line class="edge" x1="{0}%" x2="{4}%" y1="{5}" y2="{5}"/><line class="usual" x1="{0}%" x2="{4}%" y1="{6}" y2="{6}"/>"#,
                number(x),
                number(top),
                number(wide),
                number((low - top).max(0.0)),
                number(x + wide),
                number(low),
                number(usual)
            );
            let label = shortened(&held.label, 22);
            if self.player.chart.hands.len() > 1
                && let Some(class) = room.take(x + 1.0, Anchor::Start, PLAIN, &label, x + wide)
            {
                let _ = write!(
                    out,
                    r#"<text class="hand start{class}" x="{}%" y="{}">{}</text>"#,
                    number(x + 0.5),
                    number(low - 4.0),
                    escaped(&label)
                );
            }
        }
    }

    fn lines(&self, out: &mut String) {
        for line in staff(clef(self.player)) {
            let y = number(self.y(f64::from(line)));
            let _ = write!(out, r#"<line class="staff" x1="0" x2="100%" y1="{y}" y2="{y}"/>"#);
        }
    }

    /// The notes, or where there are too many what each cell spans.
    fn music(&self, out: &mut String) {
        let (tall, base) = (self.base(), self.head);
        let _ = write!(
            out,
            r#"<svg x="0" y="0" width="100%" height="{0}" viewBox="0 0 {WIDE} {0}" preserveAspectRatio="none">"#,
            number(tall.max(base))
        );
        let wide = |at: f64| self.x(at) * WIDE / 100.0;
        let mut paths = [String::new(), String::new(), String::new()];
        let [plain, high, improvised] = &mut paths;
        match &self.player.chart.notes {
            Some(notes) => {
                let middle = self.middle();
                for note in notes {
                    let (from, to) = (wide(note.from), wide(note.to));
                    // A hair between two notes, as far as they are long enough.
                    let long = (to - from - 0.9).max((to - from) * 0.7).max(1.4);
                    let (path, y) = match note.written {
                        Some(written) if note.high => (&mut *high, self.y(height(written))),
                        Some(written) => (&mut *plain, self.y(height(written))),
                        None => (&mut *improvised, middle),
                    };
                    let _ = write!(path, "M{} {}h{}", short(from), short(y), short(long));
                }
                let classes = ["notes", "notes high", "notes improvised"];
                for (path, class) in paths.iter().zip(classes).filter(|(path, _)| !path.is_empty()) {
                    let _ = write!(out, r#"<path class="{class}" d="{path}"/>"#);
                }
            }
            None => {
                for cell in &self.player.chart.cells {
                    let Some((low, top)) = cell.lowest_written.zip(cell.highest_written) else { continue };
                    let (from, to) = (wide(cell.from), wide(cell.to));
                    let (y, low) = (self.y(height(top) + 0.4), self.y(height(low) - 0.4));
                    let gap = ((to - from) * 0.12).min(1.2);
                    let (from, long) = (short(from + gap), short(to - from - 2.0 * gap));
                    let _ = write!(plain, "M{from} {}h{long}V{}h-{long}Z", short(y), short(low));
                    let mean = cell.mean_staff.map(|mean| self.y(mean)).unwrap_or(y);
                    let path = if 2.0 * cell.high > cell.playing { &mut *high } else { &mut *improvised };
                    let _ = write!(path, "M{from} {}h{long}", short(mean));
                }
                let _ = write!(out, r#"<path class="spans" d="{}"/>"#, paths[0]);
                let _ = write!(out, r#"<path class="notes" d="{}"/>"#, paths[2]);
                let _ = write!(out, r#"<path class="notes high" d="{}"/>"#, paths[1]);
            }
        }
        out.push_str("</svg>");
    }

    /// How much is to be done, downwards.
    fn loads(&self, out: &mut String, from: f64) {
        let mut path = String::new();
        for cell in &self.player.chart.cells {
            let (x, to) = (self.x(cell.from) * WIDE / 100.0, self.x(cell.to) * WIDE / 100.0);
            let deep = (cell.load().points() * DEEP).clamp(1.0, LOADS);
            let _ = write!(path, "M{} 0v{}h{}V0Z", short(x), short(deep), short(to - x));
        }
        let _ = write!(
            out,
            r#"<line class="edge" x1="0" x2="100%" y1="{0}" y2="{0}"/><svg x="0" y="{0}" width="100%" height="{LOADS}" viewBox="0 0 {WIDE} {LOADS}" preserveAspectRatio="none"><path class="load" d="{path}"/></svg>"#,
            number(from)
        );
    }

    /// Where improvisation is drawn.
    fn middle(&self) -> f64 {
        self.instrument(0).map_or(self.base() / 2.0, |held| {
            self.y((height(held.low_written) + height(held.comfortable_written)) / 2.0)
        })
    }

    fn bells(&self, out: &mut String, base: f64) {
        let bells = &self.player.chart.bells;
        let mut room = Room::chart();
        for (at, bell) in bells.iter().enumerate() {
            let (from, to) = (self.x(bell.from), self.x(bell.to));
            let word = escaped(&bell.what);
            let _ = write!(
                out,
                r#"<g><title>{word}</title><rect class="bell" x="{}%" y="{}" width="{}%" height="4"/>"#,
                number(from),
                number(base + 2.0),
                number((to - from).max(0.3))
            );
            // Words that would run into the next are left to be pointed at; the last may run leftwards.
            let next = bells.get(at + 1).map_or(OVER, |next| self.x(next.from));
            let placed = match room.take(from, Anchor::Start, PLAIN, &bell.what, next) {
                Some(class) => Some((from, Anchor::Start, class)),
                None => {
                    room.take(to, Anchor::End, PLAIN, &bell.what, next).map(|class| (to, Anchor::End, class))
                }
            };
            if let Some((x, anchor, class)) = placed {
                let (x, y, anchor) = (number(x), number(base + 16.0), anchor.word());
                let _ = write!(out, r#"<text class="word {anchor}{class}" x="{x}%" y="{y}">{word}</text>"#);
            }
            out.push_str("</g>");
        }
    }

    fn numbers(&self, out: &mut String, base: f64, below: f64) {
        let mut room = Room::chart();
        for (at, bar) in &self.sheet.ticks {
            let x = self.x(*at);
            let (bar, time) = (bar.to_string(), moment(*at));
            let longer = if self.timed() && time.len() > bar.len() { &time } else { &bar };
            let anchor = Anchor::at(x);
            let Some(class) = room.take(x, anchor, PLAIN, longer, OVER) else { continue };
            let (x, y, anchor) = (number(x), number(below + 14.0), anchor.word());
            let _ = write!(
                out,
                r#"<line class="tick" x1="{x}%" x2="{x}%" y1="{}" y2="{}"/><text class="bar {anchor}{class}" x="{x}%" y="{y}">{bar}</text>"#,
                number(self.head),
                number(base + 4.0)
            );
            if self.timed() {
                let y = number(below + 27.0);
                let _ = write!(out, r#"<text class="time {anchor}{class}" x="{x}%" y="{y}">{time}</text>"#);
            }
        }
    }

    fn marks(&self, out: &mut String, base: f64) {
        let mut room = Room::chart();
        for mark in &self.sheet.marks {
            let x = self.x(mark.at);
            let word = shortened(&mark.name, 10);
            let anchor = Anchor::at(x);
            let Some(class) = room.take(x, anchor, BOLD, &word, OVER) else { continue };
            let (at, anchor) = (number(x), anchor.word());
            let _ = write!(
                out,
                r#"<line class="mark" x1="{at}%" x2="{at}%" y1="16" y2="{}"/><text class="mark {anchor}{class}" x="{at}%" y="12"><title>{}, bar {}</title>{}</text>"#,
                number(base),
                escaped(&mark.name),
                mark.bar,
                escaped(&word)
            );
        }
    }

    /// What is told on pointing at a bar.
    fn cells(&self, out: &mut String, below: f64) {
        let (y, tall) = (number(self.head), number(below - self.head));
        for cell in &self.player.chart.cells {
            let (x, to) = (self.x(cell.from), self.x(cell.to));
            let _ = write!(
                out,
                r#"<rect class="cell" x="{}%" y="{y}" width="{}%" height="{tall}"><title>{}</title></rect>"#,
                number(x),
                number((to - x).max(0.1)),
                self.cell(cell)
            );
        }
    }

    fn cell(&self, cell: &Cell) -> String {
        let mut parts = vec![words::bars(cell.first_bar, cell.last_bar)];
        let timed = self.timed();
        if timed {
            parts.push(format!("at {}", moment(cell.from)));
        }
        match cell.lowest_written.zip(cell.highest_written) {
            Some((low, high)) if low == high => parts.push(format!("written {}", pitch(low))),
            Some((low, high)) => parts.push(format!("written {} to {}", pitch(low), pitch(high))),
            None => {}
        }
        if cell.improvised {
            parts.push("improvised".to_owned());
        }
        if timed {
            parts.push(format!("plays {} of {}", duration(cell.playing), duration(cell.to - cell.from)));
        }
        if timed {
            parts.push(format!("load {:.1}", cell.load().points()));
        }
        if timed && cell.high > 0.0 {
            parts.push(format!("{} up high", duration(cell.high)));
        }
        parts.join(", ")
    }

    fn findings(&self, out: &mut String, entries: &[Entry<'_>]) {
        let lane = self.head - FINDINGS;
        let mut room = Room::chart();
        for group in groups(entries, |at| self.x(at)) {
            let Some((first, one)) = group.all.first() else { continue };
            let worst = group.all.iter().map(|(_, found)| *found).min_by_key(|found| rank(&found.finding));
            let worst = worst.unwrap_or(one);
            let label = group.label();
            let more = match group.all.len().saturating_sub(3) {
                0 => String::new(),
                rest => format!("; and {rest} more"),
            };
            let told =
                group.all.iter().take(3).map(|(n, found)| format!("{}: {}", n + 1, said(&found.finding)));
            let told = escaped(&(told.collect::<Vec<_>>().join("; ") + &more));
            let (x, player) = (number(group.x), self.number);
            let stem = one.written.map(|written| {
                let (from, y) = (number(lane + 30.0), number(self.y(height(written))));
                format!(
                    r#"<line class="stem" x1="{x}%" x2="{x}%" y1="{from}" y2="{y}"/><circle class="foot" cx="{x}%" cy="{y}" r="5"/>"#
                )
            });
            let anchor = Anchor::at(group.x);
            // The sign stays even where there is no room for its number.
            let class = room.take(group.x, anchor, BOLD, &label, OVER).unwrap_or(" off");
            let anchor = anchor.word();
            let _ = write!(
                out,
                r##"<a href="#p{player}f{0}" aria-label="Findings {label} of {1}: {told}"><title>{told}</title>{2}<svg x="{x}%" y="{3}" class="over"><rect class="pad" x="-{HALF}" width="{4}" height="30"/><use href="#{5}" x="-{HALF}" width="{4}" height="{4}"/></svg><text class="finding {anchor}{class}" x="{x}%" y="{6}">{label}</text></a>"##,
                first + 1,
                escaped(&self.player.id),
                stem.unwrap_or_default(),
                number(lane + 1.0),
                2 * HALF,
                shape(&worst.finding),
                number(lane + 26.0)
            );
        }
    }
}

/// What stands below a chart.
pub fn caption(player: &PlayerSheet) -> String {
    let told = |held: &InstrumentUse| {
        let low = pitch(held.low_written);
        format!(
            "{}: comfortable {low} to {} (shaded), usual to {} (dashed), high above {} (thick)",
            name(&held.label),
            pitch(held.comfortable_written),
            pitch(held.usual_written),
            pitch(held.high_mark_written)
        )
    };
    player.instruments.iter().map(told).collect::<Vec<_>>().join("<br/>")
}

fn clef(player: &PlayerSheet) -> Clef {
    player.instruments.first().map_or(Clef::Treble, |held| held.clef)
}

/// The five lines of a clef, counted in letters as [`Pitch::staff`] counts.
fn staff(clef: Clef) -> [i32; 5] {
    let lowest = match clef {
        Clef::Treble => 30,
        Clef::Bass => 18,
        Clef::Tenor => 22,
        Clef::Alto => 24,
    };
    [lowest, lowest + 2, lowest + 4, lowest + 6, lowest + 8]
}

/// In letters; an accidental is half a letter.
fn height(written: Pitch) -> f64 {
    f64::from(written.staff()) + f64::from(written.alter) / 2.0
}
