"""What written notes sound and how sounding notes are written, against music21's arithmetic.

Every instrument of the catalogue, every letter with up to two accidentals, octaves 1 to 8, both ways.
music21 knows pitches and intervals; what each instrument's interval *is* stands below (common practice,
as the transposition tables among the tests name it), since its own instrument classes are not reliable
for brass. Chord symbols: roots by the same intervals.

Usage: transposition.py PATH-OF-WATERKEY
"""

import re
import subprocess
import sys

from music21 import interval, pitch

# From written to sounding.
INTERVALS = {
    "trumpet in Bb": "-M2", "trumpet in C": "P1", "trumpet in D": "M2", "trumpet in Eb": "m3",
    "trumpet in F": "P4", "piccolo trumpet in Bb": "m7", "piccolo trumpet in A": "M6",
    "cornet in Bb": "-M2", "soprano cornet in Eb": "m3", "flugelhorn in Bb": "-M2",
    "bass trumpet in Bb": "-M9", "bass trumpet in Eb": "-M6", "bass trumpet in C": "-P8",
    "horn in F": "-P5", "single horn in F": "-P5", "single horn in Bb": "-P5",
    "natural horn in C alto": "P1", "natural horn in B alto": "-m2", "natural horn in Bb alto": "-M2",
    "natural horn in A": "-m3", "natural horn in Ab": "-M3", "natural horn in G": "-P4",
    "natural horn in F#": "-d5", "natural horn in F": "-P5", "natural horn in E": "-m6",
    "natural horn in Eb": "-M6", "natural horn in D": "-m7", "natural horn in Db": "-M7",
    "natural horn in C basso": "-P8", "natural horn in B basso": "-m9",
    "natural horn in Bb basso": "-M9", "natural horn in A basso": "-m10",
    "natural horn in Ab basso": "-M10", "natural horn in G basso": "-P11",
    "natural trumpet in C": "P1", "natural trumpet in D": "M2", "natural trumpet in Eb": "m3",
    "natural trumpet in E": "M3", "natural trumpet in F": "P4", "natural trumpet in Bb": "-M2",
    "natural trumpet in A": "-m3", "natural trumpet in G": "P5",
    "bugle in Bb": "-M2", "bugle in G": "-P4", "tenor horn in Eb": "-M6",
    "baritone horn": "P1", "baritone horn in Bb": "-M9", "euphonium": "P1", "euphonium in Bb": "-M9",
    "trombone": "P1", "trombone in Bb": "-M9", "straight trombone": "P1",
    "straight trombone in Bb": "-M9", "alto trombone": "P1", "bass trombone": "P1",
    "contrabass trombone": "P1", "F tuba": "P1", "Eb tuba": "P1", "CC tuba": "P1", "BBb tuba": "P1",
    "bass in Eb": "-M13", "bass in Bb": "-M16", "sousaphone": "P1", "Wagner tuba in Bb": "-M2",
    "Wagner tuba in F": "-P5", "mellophone in F": "-P5", "cimbasso": "P1", "alphorn in F": "-P5",
}
ACCIDENTALS = {"bb": "--", "b": "-", "": "", "#": "#", "x": "##"}
OURS = {theirs: ours for ours, theirs in ACCIDENTALS.items()}
CHORDS = ["", "m7b5", "7(b9)", "maj7", "6/9"]


def theirs(name: str) -> pitch.Pitch:
    letter, accidental, octave = re.fullmatch(r"([A-G])(bb|b|#|x|)(-?\d*)", name).groups()
    note = pitch.Pitch(letter + ACCIDENTALS[accidental])
    # Set apart: a flat and a negative octave would read as a double flat.
    note.octave = int(octave) if octave else None
    return note


def ours(note: pitch.Pitch) -> str | None:
    """The name as we write it; None where it needs more than a double accidental."""
    accidental = note.accidental.modifier if note.accidental else ""
    return f"{note.step}{OURS[accidental]}{note.octave}" if accidental in OURS else None


def run(waterkey: str, *arguments: str) -> list[str]:
    return subprocess.run(
        [waterkey, *arguments], capture_output=True, check=True, text=True, timeout=60
    ).stdout.splitlines()


def notes(waterkey: str, name: str, by: interval.Interval, options: list[str]) -> int:
    asked = [f"{s}{a}{o}" for s in "CDEFGAB" for a in ACCIDENTALS for o in range(1, 9)]
    told = {}
    for line in run(waterkey, "sound", *name.split(), *options, *asked):
        found = re.fullmatch(r"(\S+) (?:sounds|is written) (\S+) \(([\d.]+) Hz\)", line)
        if found:
            told[found[1]] = (found[2], float(found[3]))
    assert set(told) == set(asked), (name, set(asked) - set(told))
    for note in asked:
        there = theirs(note).transpose(by)
        got, hertz = told[note]
        expected = ours(there)
        if expected is None:
            # A triple accidental: we take a neighbouring letter, never another sound.
            assert theirs(got).ps == there.ps, (name, note, got, there)
        else:
            assert got == expected, (name, note, got, expected)
        sounding = theirs(note) if options else there
        assert abs(hertz - sounding.frequency) < 0.006, (name, note, hertz, sounding.frequency)
    return len(asked)


def chords(waterkey: str, name: str, by: interval.Interval, options: list[str]) -> int:
    roots = [f"{s}{a}" for s in "CDEFGAB" for a in ("b", "", "#")]
    # A first symbol that no instrument's name could hold keeps the plain letters apart from the name.
    symbols = [f"{root}{quality}" for quality in reversed(CHORDS) for root in roots]
    lines = run(waterkey, "sound", *name.split(), *options, *symbols)
    told = dict(re.fullmatch(r"(\S+) (?:sounds|is written) (\S+)", line).groups() for line in lines)
    for symbol in symbols:
        root, quality = re.fullmatch(r"([A-G][b#]?)(.*)", symbol).groups()
        there = theirs(root).transpose(by)
        got_root, got_quality = re.fullmatch(r"([A-G][b#]?)(.*)", told[symbol]).groups()
        assert got_quality == quality, (name, symbol, told[symbol])
        assert theirs(got_root).pitchClass == there.pitchClass, (name, symbol, told[symbol])
        plain = (there.accidental.modifier if there.accidental else "") in ("", "-", "#")
        if plain and there.name not in ("E#", "B#", "C-", "F-"):
            assert theirs(got_root).name == there.name, (name, symbol, told[symbol])
    return len(symbols)


def main(waterkey: str) -> None:
    names = run(waterkey, "chart")
    assert set(names) == set(INTERVALS), set(names) ^ set(INTERVALS)
    checked = 0
    for name in names:
        down = interval.Interval(INTERVALS[name])
        for by, options in ((down, []), (down.reverse(), ["--concert"])):
            checked += notes(waterkey, name, by, options)
            checked += chords(waterkey, name, by, options)
    print(f"   {len(names)} instruments, {checked} transpositions agree")


if __name__ == "__main__":
    main(sys.argv[1])
