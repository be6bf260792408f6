"""Four-part chorales of music21's corpus dealt to four brass players, as texts of our notation.

They are read from the package while a check runs and are not kept. One that has what a plain dealing cannot say
(divided parts, tuplets, bars that do not fill their meter) is passed over.
"""

import pathlib
from collections.abc import Iterator
from fractions import Fraction

from music21 import corpus, note, stream

PLAYERS = {"Tp": "trumpet in Bb", "Flug": "flugelhorn in Bb", "Hn": "horn in F", "Eu": "euphonium in Bb"}
VALUES = {
    Fraction(8): "ww", Fraction(6): "w.", Fraction(4): "w", Fraction(3): "h.", Fraction(2): "h", Fraction(3, 2): "q.",
    Fraction(1): "q", Fraction(3, 4): "e.", Fraction(1, 2): "e", Fraction(3, 8): "s.", Fraction(1, 4): "s",
    Fraction(1, 8): "ss",
}  # fmt: skip
KEYS = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]


class Passed(Exception):
    """This chorale is passed over."""


def name(pitch) -> str:
    accidental = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "x"}[int(pitch.alter)]
    return f"{pitch.step}{accidental}{pitch.octave}"


def cell(measure: stream.Measure, length: Fraction, held: bool) -> tuple[str, bool]:
    """A bar as figure and list, and whether a note goes on into the next."""
    places, entries, sum_ = [], [], Fraction(0)
    for element in measure.notesAndRests:
        value = Fraction(element.duration.quarterLength)
        if value not in VALUES or element.duration.isGrace:
            raise Passed
        sum_ += value
        if isinstance(element, note.Rest):
            places.append(VALUES[value] + "-")
            held = False
            continue
        if not isinstance(element, note.Note):
            raise Passed
        places.append(VALUES[value])
        tie = element.tie.type if element.tie else None
        goes_on = held and tie in ("stop", "continue")
        fermata = any(type(e).__name__ == "Fermata" for e in element.expressions)
        entries.append(("=" if goes_on else name(element.pitch)) + (":fermata" if fermata else ""))
        held = True
    if sum_ != length or measure.voices:
        raise Passed
    if not entries:
        return "-", False
    return f"{' '.join(places)} : {' '.join(entries)}", held


def text(score: stream.Score, players: dict[str, str] = PLAYERS, together_: int = 1) -> str:
    """The chorale for these players, so many bars of one meter in a block."""
    parts = list(score.parts)
    if len(parts) != len(players):
        raise Passed
    all_ = [list(part.getElementsByClass(stream.Measure)) for part in parts]
    if len({len(measures) for measures in all_}) != 1:
        raise Passed
    lines = ["brass 1"] + [f"player {id} = {instrument}" for id, instrument in players.items()]
    meter, number = None, None
    in_block, after_short = 0, False
    held = [False] * len(parts)
    for at, together in enumerate(zip(*all_)):
        first = together[0]
        length = Fraction(first.highestTime)
        settings = ""
        if first.timeSignature:
            meter = first.timeSignature
            settings += f"  meter {meter.ratioString}"
        if at == 0:
            sharps = first.keySignature.sharps if first.keySignature else 0
            settings += f"  key {KEYS[sharps + 7]} major  tempo q = 72"
        short = length != Fraction(meter.barDuration.quarterLength)
        if short and (0 < at < len(all_[0]) - 1 or length not in VALUES):
            raise Passed
        if short:
            settings += f"  {'close' if at else 'pickup'} {VALUES[length]}"
        number = (0 if short else 1) if number is None else number + 1
        goes_on = not settings and in_block < together_ and not after_short
        in_block, after_short = (in_block + 1, short) if goes_on else (1, short)
        if not goes_on:
            lines.append(f"bar {number}{settings}")
        for index, (id, measure) in enumerate(zip(players, together)):
            said, held[index] = cell(measure, length, held[index])
            if goes_on:
                lines[index - len(players)] += f" {said} |"
            else:
                lines.append(f"{id} | {said} |")
    return "\n".join(lines) + "\n"


def deal(
    folder: pathlib.Path, wanted: int, players: dict[str, str] = PLAYERS, together: int = 1
) -> Iterator[pathlib.Path]:
    """Writes so many of them into a folder."""
    done = 0
    for at, score in enumerate(corpus.chorales.Iterator()):
        if done == wanted:
            return
        try:
            said = text(score, players, together)
        except Passed:
            continue
        path = folder / f"chorale{at}.brass"
        path.write_text(said)
        done += 1
        yield path
