"""Checks pitch, interval, key and transposition arithmetic against the music21 library.

    pip install -r tests/oracle/requirements.txt
    cargo test --test tables oracle -- --ignored --nocapture | python tests/oracle/pitch_music21.py

Reads the rows that the test prints, recomputes each and compares exactly, spelling included. Exit code 1
with every difference if there is one, or if rows are missing. Only the library's arithmetic is used:
what it believes about brass instruments is wrong for most of them.
"""

import math
import re
import sys

from music21 import interval, key, pitch

SHOWN = 20


def parts(name):
    """Name in the library's spelling, and octave: `Bbb3` is `B--` and 3, `F#-1` is `F#` and -1."""
    letter, accidental, octave = re.fullmatch(r"([A-G])(b{0,2}|#|x)(-?\d*)", name).groups()
    accidental = accidental.replace("b", "-").replace("x", "##")
    return letter + accidental, int(octave) if octave else None


def spelled(name):
    name, octave = parts(name)
    result = pitch.Pitch(name)
    result.octave = octave
    return result


def move(steps, semitones):
    """The interval of so many letter steps and semitones, both signed."""
    down = steps < 0 or (steps == 0 and semitones < 0)
    generic = interval.GenericInterval(-(abs(steps) + 1) if down else steps + 1)
    return interval.intervalFromGenericAndChromatic(generic, interval.ChromaticInterval(semitones))


MOVES = {}


def moved(name, steps, semitones):
    """The pitch moved, its letter kept whatever accidental that needs."""
    if (steps, semitones) not in MOVES:
        MOVES[steps, semitones] = move(steps, semitones)
    return MOVES[steps, semitones].transposePitch(spelled(name), maxAccidental=None)


def same(mine, other):
    """Equal in letter, accidental and octave; beyond a double accidental, equal in sound."""
    if abs(other.alter) <= 2:
        return parts(mine) == (other.name, other.octave)
    respelled = spelled(mine)
    return respelled.ps == other.ps and abs(respelled.alter) <= 1


def check_pitch(name, midi, hertz):
    other = spelled(name)
    if other.ps != int(midi):
        return f"{name}: {midi}, library {other.ps}"
    if not math.isclose(float(hertz), other.frequency, rel_tol=1e-9):
        return f"{name}: {hertz} Hz, library {other.frequency}"
    return None


def check_interval(start, end, steps, semitones, name):
    low, high = spelled(start), spelled(end)
    steps, semitones = int(steps), int(semitones)
    generic = interval.notesToGeneric(low, high).directed
    if abs(steps) != abs(generic) - 1 or steps * generic < 0:
        return f"{start} to {end}: {steps} steps, library {generic}"
    chromatic = interval.notesToChromatic(low, high).semitones
    if chromatic != semitones:
        return f"{start} to {end}: {semitones} semitones, library {chromatic}"
    # Inside one letter up and down are a matter of taste, and the library names no more than four signs.
    if steps == 0 or len(name.strip("-0123456789")) > 4:
        return None
    other = interval.Interval(low, high).name
    if name.lstrip("-") != other:
        return f"{start} to {end}: {name}, library {other}"
    return None


def check_note(instrument, steps, semitones, read, heard, back):
    other = moved(read, int(steps), int(semitones))
    if not same(heard, other):
        return f"{instrument}: {read} sounds {heard}, library {other.nameWithOctave}"
    again = moved(heard, -int(steps), -int(semitones))
    if not same(back, again):
        return f"{instrument}: {heard} is read {back}, library {again.nameWithOctave}"
    if abs(other.alter) <= 2 and back != read:
        return f"{instrument}: {read} and back is {back}"
    return None


def check_key(instrument, steps, semitones, mode, concert, fifths, read, read_fifths):
    theirs_concert = key.Key(parts(concert)[0], mode)
    if theirs_concert.sharps != int(fifths):
        return f"{concert} {mode}: {fifths}, library {theirs_concert.sharps}"
    tonic = moved(concert + "4", -int(steps), -int(semitones))
    if parts(read)[0] != tonic.name:
        return f"{instrument} in {concert} {mode}: reads {read}, library {tonic.name}"
    other = key.Key(tonic.name, mode)
    if other.sharps != int(read_fifths):
        return f"{read} {mode}: {read_fifths}, library {other.sharps}"
    return None


CHECKS = {"pitch": check_pitch, "interval": check_interval, "note": check_note, "key": check_key}


def main():
    rows, promised, wrong = 0, None, []
    for line in sys.stdin:
        fields = line.rstrip("\n").split("\t")
        if fields[0] != "oracle":
            continue
        if fields[1] == "end":
            promised = int(fields[2])
            continue
        rows += 1
        difference = CHECKS[fields[1]](*fields[2:])
        if difference:
            wrong.append(difference)
    for difference in wrong[:SHOWN]:
        print(difference)
    if len(wrong) > SHOWN:
        print(f"and {len(wrong) - SHOWN} more")
    if promised is None or promised != rows:
        print(f"{rows} rows came, {promised} were promised")
        return 1
    print(f"{rows} rows, {len(wrong)} differences")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
