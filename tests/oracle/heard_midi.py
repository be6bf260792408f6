"""A MIDI file against what `--to json` says: onsets, pitches and lengths in ticks, ports and channels, time."""

from collections import defaultdict
from fractions import Fraction

import mido


def part_of(marks: list[str]) -> int:
    """How many sixteenths of its length a note sounds."""
    has = marks.__contains__
    if has(":wedge"):
        own = 4
    elif has(".") and (has("-") or has("_")):
        own = 12
    elif has("."):
        own = 8
    elif has("-") or has("_"):
        own = 16
    else:
        own = 15
    return min(own, 14) if has(",") or has(",,") else own


def notes_of(track: mido.MidiTrack) -> tuple[list, set, int]:
    """(onset, ticks, pitch), port and channels, end."""
    now, sounding, out, places, port = 0, {}, [], set(), None
    for message in track:
        now += message.time
        if message.type == "midi_port":
            port = message.port
        if not message.is_meta:
            places.add((port, message.channel))
        if message.type == "note_on" and message.velocity:
            assert message.note not in sounding, ("struck while it sounds", now, message)
            sounding[message.note] = now
        elif message.type in ("note_off", "note_on"):
            start = sounding.pop(message.note)
            assert now > start, ("no length", now, message)
            out.append((start, now - start, message.note))
    assert not sounding, sounding
    return sorted(out), places, now


def played(ours: dict, seat: dict, parts: int) -> list[tuple]:
    """The notes of one person in the order they are played: (onset, length, pitch, note) in ticks."""
    by_bar = defaultdict(list)
    for note in seat["notes"]:
        by_bar[note["bar"]].append(note)
    now, out = Fraction(0), []
    for bar in ours["order"]:
        for note in by_bar[bar]:
            onset, length = Fraction(note["onset"]), Fraction(note["length"])
            out.append((now + onset * 4 * parts, length * 4 * parts, note["sounding"], note))
        now += Fraction(ours["bars"][bar]["length"]) * 4 * parts
    return out


def check_midi(ours: dict, midi: mido.MidiFile, where: str) -> int:
    assert midi.type == 1 and len(midi.tracks) == len(ours["players"]) + 1, where
    parts, all_places, checked = midi.ticks_per_beat, set(), 0
    ends = set()
    everybody = [note for player in ours["players"] for seat in player["seats"] for note in played(ours, seat, parts)]
    breaks = {onset + length for onset, length, _, note in everybody if ",," in note["marks"]}
    for player, track in zip(ours["players"], midi.tracks[1:]):
        assert track.name == player["name"], (where, track.name)
        got, places, end = notes_of(track)
        ends.add(end)
        assert not places & all_places and len(places) == 1, (where, places)
        all_places |= places
        assert all(channel != 9 for _, channel in places)
        wanted, graces, lengths = set(), 0, {}
        for seat in player["seats"]:
            notes = played(ours, seat, parts)
            following = [*notes[1:], (None, None, None, {"graces": []})]
            for (onset, length, pitch, note), after in zip(notes, following):
                assert onset.denominator == 1, (where, onset)
                graces += len(note["graces"])
                if onset == 0 and note["graces"]:
                    continue
                wanted.add((onset, pitch))
                # What graces, breaks and other seats take of a length is not reckoned here.
                plain = not after[3]["graces"] and onset + length not in breaks and len(player["seats"]) == 1
                if plain:
                    lengths[(onset, pitch)] = length * part_of(note["marks"]) // 16
        have = {(onset, pitch) for onset, _, pitch in got}
        assert wanted <= have, (where, player["id"], sorted(wanted - have)[:3])
        assert len(have - wanted) <= graces, (where, player["id"], sorted(have - wanted)[:3])
        if len(player["seats"]) == 1 and not graces:
            assert len(got) == len(wanted)
        for onset, length, pitch in got:
            due = lengths.get((onset, pitch))
            assert due is None or length == due, (where, player["id"], onset, length, due)
        checked += len(got)
    written = sum(Fraction(ours["bars"][bar]["length"]) for bar in ours["order"]) * 4 * parts
    assert ends == {written} or not ours["players"], (where, ends, written)
    if ours["seconds"] is not None:
        assert abs(midi.length - ours["seconds"]) < 0.005 + 1e-5 * ours["seconds"], (where, midi.length, ours["seconds"])
    return checked
