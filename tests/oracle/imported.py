"""What comes in is what stood there, as music21 has it: real scores of its corpus (read from the package, never kept).

Each MusicXML file is taken in (parts that are not for brass are given to some brass instrument), checked, and written
again at concert pitch. music21 reads both files, and every note must begin in the same bar at the same place, last as
long and sound the same, part by part. What differs must stand in the list of what was not carried over; the list is
printed as a table.

Usage: imported.py PATH-OF-WATERKEY [HOW-MANY]
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import warnings
import zipfile
from collections import Counter, defaultdict
from concurrent.futures import ProcessPoolExecutor, as_completed
from fractions import Fraction

import music21

warnings.filterwarnings("ignore")
# Losses after which a bar may sound otherwise than it stood.
AUDIBLE = ["a rhythm that no figure says", "a note without pitch", "a quarter tone", "notes beyond the end", "a cue note",
           "notes of a chord beyond", "a duration that is rounded", "an accidental that is not the note's"]  # fmt: skip
# Grace notes that stand at another place than in the file.
GRACES = ["grace notes b"]
# Ties that cannot be followed are struck anew: the same sound, in two pieces.
TIES = ["a tie to a note"]


def files() -> list[pathlib.Path]:
    corpus = pathlib.Path(music21.__file__).parent / "corpus"
    found = [p for ending in ("*.mxl", "*.musicxml", "*.xml") for p in corpus.rglob(ending)]
    return sorted(p for p in found if "demos" not in p.parts and "leadSheet" not in p.parts)


# What takes minutes to be read is left to the whole run.
LARGE = 2_500_000


def size(path: pathlib.Path) -> int:
    """Of the text, in bytes: what it takes to read it."""
    if path.suffix != ".mxl":
        return path.stat().st_size
    with zipfile.ZipFile(path) as packed:
        return sum(one.file_size for one in packed.infolist())


def exact(number) -> Fraction:
    return Fraction(number).limit_denominator(1 << 16)


def read(parts) -> dict:
    """By name of part: (bar, onset in it, length, pitch) of each note, ties put together."""
    out = defaultdict(set)
    for part in parts:
        notes, open_, graces = [], {}, set()
        # Counted here: music21 moves a measure back by a dynamic that hangs over the end of the one before.
        start = Fraction(0)
        for at, measure in enumerate(part.getElementsByClass(music21.stream.Measure)):
            flat = measure.flatten()
            ends = [exact(e.offset) + exact(e.duration.quarterLength) for e in flat.notesAndRests]
            before, start = start, start + max(ends, default=exact(measure.barDuration.quarterLength))
            for element in sorted(flat.notes, key=lambda e: e.offset):
                if isinstance(element, (music21.harmony.Harmony, music21.note.Unpitched)):
                    continue
                if not isinstance(element, (music21.note.Note, music21.chord.Chord)):
                    continue
                onset, length = exact(element.offset), exact(element.duration.quarterLength)
                place = before + onset
                for note in element.notes if isinstance(element, music21.chord.Chord) else [element]:
                    pitch = int(note.pitch.ps + 1e-6) if note.pitch.ps >= 0 else int(note.pitch.ps)
                    if element.duration.isGrace:
                        graces.add((at, onset, "grace", pitch))
                        continue
                    tied = note.tie is not None and note.tie.type in ("stop", "continue")
                    held = open_.get(pitch)
                    if tied and held is not None and held[1] == place:
                        notes[held[0]][2] += length
                        open_[pitch] = (held[0], place + length)
                    else:
                        open_[pitch] = (len(notes), place + length)
                        notes.append([at, onset, length, pitch])
        out[name_of(part)] |= {tuple(n) for n in notes} | graces
    return {name: longest(notes) for name, notes in out.items()}


def longest(notes: set) -> set:
    """Of a note that several play, each for as long as it has it, what is heard."""
    last = {}
    for bar, onset, length, pitch in notes:
        key = bar, onset, length == "grace", pitch
        last[key] = length if length == "grace" else max(length, last.get(key, length))
    return {(bar, onset, length, pitch) for (bar, onset, _, pitch), length in last.items()}


def name_of(part) -> str:
    name = " ".join((part.partName or "").split()).replace('"', "'")
    return name


def stem(name: str) -> str:
    """The part that a player shares with others: `Horn (2)` is of `Horn`."""
    head, _, tail = name.rpartition(" (")
    return head if tail.rstrip(")").isdigit() and head else name


def work(given: tuple[str, pathlib.Path]) -> tuple[str, list, str, int]:
    waterkey, source = given
    label = "/".join(source.parts[-2:])
    with tempfile.TemporaryDirectory() as folder:
        score, again = pathlib.Path(folder, "in.brass"), pathlib.Path(folder, "out.musicxml")
        command = [waterkey, "import", str(source), "-o", str(score), "--map", "*=trumpet in Bb", "--json"]
        done = subprocess.run(command, capture_output=True, text=True, timeout=120)
        if done.returncode != 0:
            return label, [], f"not taken in: {done.stderr.strip()[:200]}", 0
        losses = json.loads(done.stderr)["losses"]
        checked = subprocess.run([waterkey, "check", "--format", "json", str(score)], capture_output=True, text=True)
        if checked.returncode not in (0, 1):
            return label, losses, f"not checked: {checked.stderr[:200]}", 0
        findings = json.loads(checked.stdout)["files"][0]["findings"]
        for finding in findings:
            reading = ["place-count", "bar-length", "unreadable", "missing-value", "block-order", "two-at-once",
                       "unknown-player", "unknown-name", "bad-number", "too-many-entries", "nothing-to-hold",
                       "unclosed", "bad-pitch", "unknown-instrument", "effect-contradiction"]  # fmt: skip
            if finding["rule"] in reading and finding["severity"] == "error":
                return label, losses, f"a fault of reading: {finding['rule']} bar {finding['bar']} {finding['message'][:120]}", 0
        written = subprocess.run([waterkey, "export", str(score), "--concert", "-o", str(again)], capture_output=True, text=True)
        if written.returncode != 0:
            return label, losses, f"not written: {written.stderr[:200]}", 0
        try:
            original = music21.converter.parse(source, forceSource=True)
        except Exception as why:  # its own trouble with its own file
            return label, losses, f"music21: {why}", 0
        theirs = read(original.toSoundingPitch().parts)
        ours = defaultdict(set)
        for name, notes in read(music21.converter.parse(again, forceSource=True).parts).items():
            ours[stem(name)] |= notes
        ours = {name: longest(notes) for name, notes in ours.items()}
        return label, losses, compare(theirs, ours, losses), sum(map(len, theirs.values()))


def compare(theirs: dict, ours: dict, losses: list) -> str:
    excused = {loss["part"] for loss in losses if any(loss["kind"].startswith(kind) for kind in AUDIBLE)}
    ties = {loss["part"] for loss in losses if any(loss["kind"].startswith(kind) for kind in TIES)}
    graces = any(loss["kind"].startswith(kind) for loss in losses for kind in GRACES)
    if graces:
        theirs, ours = ({k: {n for n in v if n[2] != "grace"} for k, v in all_.items()} for all_ in (theirs, ours))
    if set(theirs) != set(ours):
        # Names that the notation cannot have: all parts together.
        theirs = {"all": longest(set().union(*theirs.values()))}
        ours = {"all": longest(set().union(*ours.values()))}
        excused = {"all"} if excused else set()
        ties = {"all"} if ties else set()
    for name in theirs:
        if name in excused:
            continue
        a, b = theirs[name], ours[name]
        if name in ties:
            a, b = {n[:2] + n[3:] for n in a}, {n[:2] + n[3:] for n in b}
            if a <= b:
                continue
        if a != b:
            return f"{name}: missing {sorted(a - b, key=str)[:3]}, too much {sorted(b - a, key=str)[:3]}"
    return ""


def main(waterkey: str, most: int) -> None:
    every = files()
    if most < len(every):
        fair = [path for path in every if size(path) < LARGE]
        chosen = fair[:: max(1, len(fair) // most)][:most]
    else:
        chosen = every
    # The largest first, so that none is waited for at the end.
    chosen = sorted(chosen, key=size, reverse=True)
    kinds, scores, wrong, notes = Counter(), Counter(), [], 0
    with ProcessPoolExecutor() as pool:
        for done in as_completed([pool.submit(work, (waterkey, path)) for path in chosen]):
            label, losses, why, count = done.result()
            notes += count
            for kind in {loss["kind"] for loss in losses}:
                scores[kind] += 1
            for loss in losses:
                kinds[loss["kind"]] += loss["count"]
            if why:
                wrong.append((label, why))
    for kind, count in kinds.most_common():
        print(f"   {scores[kind]:4} scores {count:6} times  {kind}")
    print(f"   {len(chosen)} scores, {notes} notes compared, {len(wrong)} differ")
    for label, why in wrong:
        print(f"   {label}: {why}")
    assert not wrong


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 10_000)
