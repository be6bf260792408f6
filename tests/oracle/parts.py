"""The notes of written parts against music21's transposition of the concert pitches.

A score in concert pitch for every instrument of the catalogue: a block in each key from seven flats to
seven sharps, and in each every note of the scale, and some outside it. What `waterkey part` writes for each
player is read here and compared: the spelling is that of the instrument's interval, or, where the written
key would have more than six accidentals, of the enharmonic key; the sound is always the same.

Usage: parts.py PATH-OF-WATERKEY
"""

import pathlib
import re
import sys
import tempfile

from music21 import interval, key
from transposition import INTERVALS, ours, run, theirs

KEYS = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]
PITCH = re.compile(r"(?<![\w#])[A-G](?:bb|b|#|x)?\d")


def scale(tonic: str) -> list[str]:
    """The major scale from the tonic upwards around the fourth octave, and its raised fourth and lowered seventh."""
    notes = [ours(p) for p in key.Key(tonic.replace("b", "-")).getScale().getPitches("C4", "C5")][:7]
    degrees = [theirs(notes[3]).transpose("A1"), theirs(notes[6]).transpose("-A1")]
    return notes + [name for name in map(ours, degrees) if name][:1]


def score(players: dict[str, str]) -> str:
    lines = ["brass 1"] + [f"player {id} = {name}" for id, name in players.items()]
    for number, tonic in enumerate(KEYS):
        notes = scale(tonic)
        bars = f"q : {' '.join(notes[:4])} | q : {' '.join(notes[4:8])}"
        lines.append(f"bar {number * 2 + 1}  meter 4/4  key {tonic} major")
        lines += [f"{id} | {bars} |" for id in players]
    return "\n".join(lines) + "\n"


def check(name: str, part: str) -> int:
    down = interval.Interval(INTERVALS[name])
    up = down.reverse()
    octaves = down.semitones % 12 == 0
    blocks = re.split(r"^bar ", part, flags=re.MULTILINE)[1:]
    assert len(blocks) == len(KEYS), (name, len(blocks))
    checked = 0
    for tonic, block in zip(KEYS, blocks):
        row = block.splitlines()[1]
        got, notes = PITCH.findall(row), scale(tonic)
        assert len(got) == len(notes), (name, tonic, row)
        written = key.Key(theirs(tonic).transpose(up).name) if not octaves else None
        easy = octaves or abs(written.sharps) <= 6
        # Seven flats and seven sharps and more are read as five and five and fewer.
        other = None if easy else key.Key(key.sharpsToPitch(written.sharps - 12 * (1 if written.sharps > 0 else -1)).name)
        for degree, (concert, read) in enumerate(zip(notes, got)):
            there = theirs(concert).transpose(up)
            assert theirs(read).ps == there.ps, (name, tonic, concert, read)
            if easy and ours(there):
                assert read == ours(there), (name, tonic, concert, read, there)
            elif other and degree < 7:
                names = [p.name for p in other.getScale().pitches]
                assert theirs(read).name in names, (name, tonic, concert, read, names)
            checked += 1
    return checked


def main(waterkey: str) -> None:
    players = {f"P{n}": name for n, name in enumerate(INTERVALS)}
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder, "quay.brass")
        path.write_text(score(players))
        checked = 0
        for id, name in players.items():
            part = "\n".join(run(waterkey, "part", str(path), id))
            assert "\npitch    written\n" in part, part
            checked += check(name, part)
    print(f"   parts of {len(players)} instruments, {checked} written notes agree")


if __name__ == "__main__":
    main(sys.argv[1])
