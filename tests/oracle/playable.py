"""Chorales of music21's corpus that lie a fourth too high, made playable.

playable.py WATERKEY [COUNT]

They are dealt to a quartet of an orchestra's brass and to one of a brass band, moved up a fourth to make trouble, and
made playable. What was found before and after is printed, and what is left, with the rules that say why. No score may
be worse after it, and music21 is asked whether the same pitch classes sound in every part of every bar together.
"""

import collections
import json
import pathlib
import subprocess
import sys
import tempfile

from chorales import deal
from music21 import converter, note

ENSEMBLES = {
    "two trumpets, horn and trombone": {"Tp1": "trumpet in Bb", "Tp2": "trumpet in Bb", "Hn": "horn in F", "Tb": "trombone"},
    "cornet, tenor horn, baritone and euphonium": {
        "Cor": "cornet in Bb", "THn": "tenor horn in Eb", "Bar": "baritone horn in Bb", "Eu": "euphonium in Bb",
    },
}  # fmt: skip
WEIGHTS = ["error", "warning", "information"]


def run(program: str, *arguments: object, status: tuple[int, ...] = (0,)) -> str:
    done = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, timeout=300)
    assert done.returncode in status, (arguments, done.stderr)
    return done.stdout


def findings(program: str, path: pathlib.Path) -> list[dict]:
    told = json.loads(run(program, "check", "--format", "json", path, status=(0, 1)))
    return [f for file in told["files"] for f in file["findings"] if f["severity"] in WEIGHTS]


def tally(found: list[dict]) -> list[int]:
    return [sum(f["severity"] == weight for f in found) for weight in WEIGHTS]


def heard(program: str, path: pathlib.Path) -> dict[tuple, set[int]]:
    """Pitch classes by bar and place, whoever plays them."""
    run(program, "export", path, "--to", "musicxml", "--concert", "-o", path.with_suffix(".musicxml"))
    score = converter.parse(path.with_suffix(".musicxml"))
    all_: dict[tuple, set[int]] = collections.defaultdict(set)
    for part in score.parts:
        for measure in part.getElementsByClass("Measure"):
            for element in measure.recurse().notes:
                if isinstance(element, note.Note) and not (element.tie and element.tie.type != "start"):
                    all_[measure.number, element.getOffsetInHierarchy(measure)].add(element.pitch.pitchClass)
    return all_


def main() -> None:
    program, wanted = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 100
    for name, players in ENSEMBLES.items():
        before, after = [0, 0, 0], [0, 0, 0]
        left: collections.Counter[str] = collections.Counter()
        moves = cleared = scores = 0
        with tempfile.TemporaryDirectory() as folder:
            for path in deal(pathlib.Path(folder), wanted, players, together=4):
                run(program, "rewrite", "-i", path, "up", "P4")
                was = findings(program, path)
                sounds = heard(program, path) if scores % 10 == 0 else None
                told = run(program, "mend", "--playable", path)
                now = findings(program, path)
                assert tally(now) <= tally(was), (path.read_text(), told)
                if sounds is not None:
                    assert heard(program, path) == sounds, (path.read_text(), told)
                before = [a + b for a, b in zip(before, tally(was))]
                after = [a + b for a, b in zip(after, tally(now))]
                left.update(f["rule"] for f in now)
                moves += sum(line.split(":", 1)[-1].startswith("   bar") for line in told.splitlines())
                cleared += bool(was) and not now
                scores += 1
        assert scores == wanted, scores
        assert sum(after) < sum(before), (before, after)
        said = ", ".join(f"{rule} {count}" for rule, count in left.most_common())
        print(f"{scores} chorales for {name}, a fourth up: errors, warnings, information {before} before, {after} after")
        print(f"  {moves} moves; {cleared} are clean now; left: {said or 'nothing'}")


main()
