"""What `waterkey export` writes against the schema of MusicXML 4.0, music21 and mido.

Every sample, and a hundred four-part chorales from music21's corpus dealt to brass (read from the package, never
kept), are written as MusicXML (as the parts are read, at concert pitch, compressed, and a file for each player) and as
MIDI. Every document is valid against the schema, and what the libraries read back is what `--to json` says: part
names, the number of bars and where each begins, transpositions, and for every note its sounding pitch, onset and
length.

Usage: exported.py PATH-OF-WATERKEY
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import zipfile
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction

import chorales
import mido
import music21
import musicxml
import xmlschema
from heard_midi import check_midi

# What the samples do not have: instruments of other transpositions in turn, people of one part who part, tuplets in
# tuplets, graces in chords, keys beyond six accidentals, a pickup, silent bars between blocks, and more players than a
# port has channels. Instruments change at barlines, since music21 lets a transposition hold for whole bars only.
QUAY = """
title "Quay & <Mole>"
player Tp = trumpet in Bb, mutes cup, doubles piccolo trumpet in A, doubles flugelhorn in Bb
player Cor = cornet in Bb, seats 3, name "Solo Cornet"
player Hn = horn in F, signature none
player Eu = euphonium in Bb, seats 2
player Bs = bass in Bb
player Tb = trombone
""" + "".join(f"player Deck{n} = {name}\n" for n, name in enumerate(["trumpet in Bb", "bass in Eb"] * 7)) + """
bar 0  meter 4/4  key F# major  tempo q. = 61  pickup q
Tp  | e e : C#5_ D#5 |
Bs  | q : F#2 |
bar 1
Tp  | {3:2 e*3} {3:2 q {5:4 ss*5}} h : E5 /F#5 G5 A5 B5 A5_ G5_ F#5_ E5_ D5 C#5 | q h. : [switch piccolo trumpet] p cresc E6 = | {7:4 e*7} h : f D6. C6-. B5-. A5 G5 F#5 E5, D5 |
Cor | h q q : (C4 E4 G4) (= F4 =) (D4 - =) | w : (= B3 G4) | h h : /(B3 D4) (C4 E4) G4 |
Eu  | h h : (C3 E3) (= F3) | w : = | q*4 : (C3 G3)*2 C3 (= E3) |
Hn  | w : F#4 | =:fermata | h.. e : C#4 B3 |
Tb  | h h : F3:gliss Bb3:gliss | w : F3 | {3:2 h*3} : B2 C#3_ B2 |
bar 7  meter 3+2/8 6/8  key Gb major  repeat 2
Tp  | q. q : [switch flugelhorn] Cb5 Gb4 | e e e q. : Ab4 Bb4 = Db5,, |
Deck3 | h+e : Eb2 | q.*2 : Db3 = |
bar 9  ending 1
Tp  | [switch trumpet] [mute cup] - |
bar 10  ending 2
Tp  | q.*2 : Db5 = |
""".lstrip()
# A silence of three, as they read each in a transposition of their own; the horn is heard last.
WAIT = """
player Tp = trumpet in Bb
player Eb = tenor horn in Eb
player Bar = baritone horn in Bb
player Hn = horn in F
player Tu = Eb tuba
bar 1  meter 4/4  key Eb major  tempo q = 96
Tp  | w : Eb5 | rest 17 | w : F5 |
Eb  | w : Bb3 | rest 17 | w : C4 |
Bar | w : G3  | rest 17 | w : Ab3 |
Hn  | rest 14 | {3:2 q*3} h : F4 G4 Ab4 Bb4_ | w : = | h q e e : Ab4 - F#4 G4 | w : - | w : F4 |
Tu  | w : Eb2 | rest 18 |
""".lstrip()
SAMPLES = pathlib.Path(__file__).parents[2] / "samples"
CHORALES = 100


def schema() -> xmlschema.XMLSchema:
    path = pathlib.Path(musicxml.__file__).parent / "generate_classes" / "musicxml_4_0.xsd"
    return xmlschema.XMLSchema(str(path), allow="local")


def export(waterkey: str, score: pathlib.Path, *arguments: str) -> tuple[str, bool]:
    """What is printed, and whether the score has no faults of reading; one sample has them on purpose."""
    command = [waterkey, "export", str(score), *arguments]
    done = subprocess.run(command, capture_output=True, text=True, stdin=subprocess.DEVNULL)
    assert done.returncode == 0 or done.returncode == 1 and "mistakes" in score.name, (score, arguments, done.stderr)
    return done.stdout, done.returncode == 0


def exact(number) -> Fraction:
    return Fraction(number).limit_denominator(1 << 20)


def told(player: dict, starts: list[Fraction]) -> tuple[list, list]:
    """Notes and graces of a player: (onset, length, pitch) in quarters, and (onset, pitch). Where several read one
    part, a pitch that somebody strikes is struck for all who have it."""
    sounds, graces = defaultdict(list), []
    for number, seat in enumerate(player["seats"]):
        for note in seat["notes"]:
            onset = starts[note["bar"]] + 4 * Fraction(note["onset"])
            sounds[note["sounding"]].append((onset, onset + 4 * Fraction(note["length"])))
            graces += [(onset, pitch, at, number) for at, pitch in enumerate(note["graces"])]
    out = []
    for pitch, spans in sounds.items():
        strikes = sorted({start for start, _ in spans})
        for strike, following in zip(strikes, [*strikes[1:], None]):
            ends = [end for start, end in spans if start <= strike < end]
            end = max(ends) if following is None else min(max(ends), following)
            out.append((strike, end - strike, pitch))
    together = sorted({(onset, pitch, at) for onset, pitch, at, _ in graces})
    return sorted(out), [(onset, pitch) for onset, pitch, _ in sorted(together)]


def is_cue(element) -> bool:
    first = element.notes[0] if isinstance(element, music21.chord.Chord) else element
    return first.style.noteSize == "cue"


def read(part: music21.stream.Part) -> tuple[list, list]:
    """The same as music21 has it, ties put together."""
    notes, graces, open_ = [], [], {}
    for element in part.flatten().notes:
        if isinstance(element, music21.harmony.Harmony) or is_cue(element):
            continue
        onset, length = exact(element.offset), exact(element.duration.quarterLength)
        for note in element.notes if isinstance(element, music21.chord.Chord) else [element]:
            pitch = round(note.pitch.ps)
            if element.duration.isGrace:
                graces.append((onset, pitch))
                continue
            held = open_.get(pitch)
            if note.tie and note.tie.type in ("stop", "continue"):
                assert held is not None and notes[held][0] + notes[held][1] == onset, ("tied to nothing", onset, pitch)
                notes[held] = (notes[held][0], notes[held][1] + length, pitch)
            else:
                open_[pitch] = len(notes)
                notes.append((onset, length, pitch))
    return sorted(notes), sorted(graces)


def starts_of(ours: dict) -> list[Fraction]:
    starts, now = [], Fraction(0)
    for bar in ours["bars"]:
        starts.append(now)
        now += 4 * Fraction(bar["length"])
    return starts


def stated(part: music21.stream.Part) -> music21.interval.Interval | None:
    """The transposition at the beginning. One is guessed from the instrument's name; the last is the file's."""
    beginning = [i for i in part.recurse().getElementsByClass("Instrument") if i.offset == 0]
    return beginning[-1].transposition


def first_difference(a: list, b: list):
    return next(((x, y) for x, y in zip(a, b) if x != y), (len(a), len(b), a[len(b):][:2], b[len(a):][:2]))


def check_part(ours: dict, player: dict, part: music21.stream.Part, written: bool, where: str) -> int:
    starts = starts_of(ours)
    assert part.partName == player["name"], (where, part.partName)
    measures = list(part.getElementsByClass(music21.stream.Measure))
    assert len(measures) == len(ours["bars"]), (where, len(measures))
    for measure, bar, start in zip(measures, ours["bars"], starts):
        assert exact(measure.offset) == start, (where, bar, measure.offset, start)
        assert str(measure.measureNumber) + (measure.numberSuffix or "") == str(bar["number"]), (where, bar)
    if written and player["instruments"] and any(seat["notes"] for seat in player["seats"]):
        first = player["instruments"][0]
        shift = stated(part)
        assert (shift.semitones if shift else 0) == first["semitones"], (where, first, shift)
    sounding = part.toSoundingPitch() if written else part
    notes, graces = read(sounding)
    wanted, before = told(player, starts)
    assert notes == wanted, (where, first_difference(notes, wanted))
    assert graces == sorted(before), (where, first_difference(graces, sorted(before)))
    return len(notes)


def check_score(waterkey: str, score: pathlib.Path, valid: xmlschema.XMLSchema) -> tuple[int, int]:
    documents = notes = 0
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        data, sound = export(waterkey, score, "--to", "json")
        ours = json.loads(data)
        names = {"written.musicxml": [], "concert.mxl": ["--concert"], "written.mxl": [], "played.mid": []}
        for file, more in names.items():
            export(waterkey, score, "-o", str(folder / file), *more)
        export(waterkey, score, "--to", "musicxml", "--parts", str(folder / "parts"))
        with zipfile.ZipFile(folder / "written.mxl") as packed:
            assert packed.testzip() is None
            assert packed.namelist()[0] == "mimetype"
            assert packed.read("score.musicxml") == (folder / "written.musicxml").read_bytes()
        for file in ["written.musicxml", "concert.mxl"]:
            path = folder / file
            source = path
            if path.suffix == ".mxl":
                with zipfile.ZipFile(path) as packed:
                    source = folder / "concert.musicxml"
                    source.write_bytes(packed.read("score.musicxml"))
            valid.validate(str(source))
            documents += 1
            parts = music21.converter.parse(path, forceSource=True).parts
            if not sound:
                continue
            assert len(parts) == len(ours["players"]), (score, file)
            for part, player in zip(parts, ours["players"]):
                notes += check_part(ours, player, part, file != "concert.mxl", f"{score.stem} {file} {player['id']}")
        files = sorted((folder / "parts").iterdir())
        assert len(files) == len(ours["players"])
        for player in ours["players"]:
            path = folder / "parts" / f"{score.stem}-{player['id']}.musicxml"
            valid.validate(str(path))
            documents += 1
            if not sound:
                continue
            (part,) = music21.converter.parse(path, forceSource=True).parts
            notes += check_part(ours, player, part, True, path.name)
        midi = mido.MidiFile(folder / "played.mid", charset="utf-8")
        if sound:
            notes += check_midi(ours, midi, score.stem)
    return documents, notes


def check_cues(waterkey: str, valid: xmlschema.XMLSchema) -> int:
    """Cues are small, sound as what is cued, and are not the player's notes; `--no-cues` leaves them out."""
    cued = {"Tp": "Hn", "Eb": "Hn", "Bar": "Hn"}
    count = 0
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        score = folder / "wait.brass"
        score.write_text(WAIT)
        ours = json.loads(export(waterkey, score, "--to", "json")[0])
        starts = starts_of(ours)
        players = {player["id"]: player for player in ours["players"]}
        window = [start for start, bar in zip(starts, ours["bars"]) if bar["number"] in range(15, 19)]
        begin, end = window[0], window[-1] + 4
        for more in [[], ["--no-cues"]]:
            export(waterkey, score, "--to", "musicxml", "--parts", str(folder / "parts"), *more)
            for player, other in cued.items():
                path = folder / "parts" / f"wait-{player}.musicxml"
                valid.validate(str(path))
                (part,) = music21.converter.parse(path, forceSource=True).parts
                check_part(ours, players[player], part, True, path.name)
                sounding = part.toSoundingPitch().flatten().notes
                small = [(exact(n.offset), exact(n.duration.quarterLength), round(n.pitch.ps)) for n in sounding if is_cue(n)]
                if more:
                    assert not small, small
                    continue
                notes, _ = told(players[other], starts)
                wanted = [note for note in notes if begin <= note[0] < end]
                # A note tied over a barline is two notes to a cue, which has no sounding ties.
                onsets = [note for note in small if any(note[0] == onset for onset, _, _ in wanted)]
                assert [(o, p) for o, _, p in onsets] == [(o, p) for o, _, p in wanted], (player, small, wanted)
                assert sum(length for _, length, _ in small) == sum(length for _, length, _ in wanted), (small, wanted)
                count += len(small)
    return count


def work(given: tuple[str, list[pathlib.Path]]) -> tuple[int, int]:
    waterkey, scores = given
    valid = schema()
    done = [check_score(waterkey, score, valid) for score in scores]
    return sum(d for d, _ in done), sum(n for _, n in done)


def main(waterkey: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        scores = [p for p in sorted(SAMPLES.glob("*.brass")) if "\nbar" in p.read_text()]
        dealt = list(chorales.deal(pathlib.Path(folder), CHORALES))
        assert len(dealt) == CHORALES, len(dealt)
        quay = pathlib.Path(folder, "quay.brass")
        quay.write_text(QUAY)
        everything = [quay, *scores, *dealt]
        small = check_cues(waterkey, schema())
        jobs = [(waterkey, everything[at::8]) for at in range(8)]
        with ProcessPoolExecutor() as pool:
            done = list(pool.map(work, jobs))
    documents, notes = sum(d for d, _ in done), sum(n for _, n in done)
    print(f"   {len(scores)} samples and {len(dealt)} chorales: {documents} documents valid, {notes} notes and {small} of cues read back")


if __name__ == "__main__":
    main(sys.argv[1])
