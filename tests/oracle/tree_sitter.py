"""The tree-sitter grammar against the program's own reading.

`cargo test --test ebnf texts_for_others -- --ignored --nocapture | tree_sitter.py TREE_SITTER FOLDER`, where
FOLDER is that of the grammar. A text that the program reads has no place that the grammar does not; both see
the same kinds of lines and count the same bars, places, entries and names in each row.
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml
from collections import Counter

ROWS = {"music_row", "rhythm_row", "chords_row", "phrase"}
BARS = {"music_bar", "rhythm_bar", "chords_bar"}
# What stands in a bar beside its figure.
ITEMS = {
    "note", "chord_entry", "rest", "hold", "grace", "again", "bars_of_rest", "improvisation", "play",
    "dynamic", "quoted", "instruction", "symbol",
}  # fmt: skip


def count(row):
    bars = [child for child in row if child.tag in BARS]
    return {
        "bars": sum(any(True for inside in bar.iter() if inside.tag in ITEMS | {"place"}) for bar in bars),
        "items": sum(child.tag in ITEMS for bar in bars for child in bar),
        "members": sum(len([m for m in chord if m.tag in ITEMS]) for chord in row.iter("chord")),
        "names": sum(child.get("field") == "player" for child in row if child.tag == "name"),
        "places": sum(1 for _ in row.iter("place")),
    }


def seen(score):
    """Kind and counts of each line, by its number."""
    lines = {}
    for node in score.iter():
        if node.tag in {"score", "block", "comment"}:
            continue
        line = int(node.get("srow", -1))
        if line not in lines:
            lines[line] = {"kind": node.tag}
            if node.tag in ROWS:
                lines[line]["counts"] = count(node)
    return lines


def main():
    program, grammar = sys.argv[1:]
    texts = [json.loads(line) for line in sys.stdin if line.startswith("{")]
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        paths = []
        for i, told in enumerate(texts):
            path = pathlib.Path(folder, f"{i}.brass")
            path.write_bytes(told["text"].encode())
            paths.append(str(path))
        of = pathlib.Path(folder, "paths")
        of.write_text("\n".join(paths) + "\n")
        call = [program, "parse", "--grammar-path", grammar, "--paths", str(of)]
        environment = {"PATH": os.environ["PATH"], "HOME": folder}

        def answer(*options):
            done = subprocess.run(call + list(options), capture_output=True, check=False, env=environment)
            return done.stdout.decode()

        # What does not fit is told beside the answer, and what is missing is in the summary only.
        shapes, summary = answer("--xml"), answer("--quiet", "--json-summary")
        end = shapes.index("</sources>") + len("</sources>")
        trees = list(xml.fromstring(shapes[shapes.index("<sources>") : end]).iter("source"))
        fits = [told["successful"] for told in json.loads(summary[summary.index("\n{") :])["parse_summaries"]]
    assert len(trees) == len(fits) == len(texts), (len(trees), len(fits), len(texts))
    kinds = Counter()
    for told, tree, whole in zip(texts, trees, fits, strict=True):
        if not told["reads"]:
            continue
        kinds["sentence" if told["name"].startswith("sentence") else "text"] += 1
        if not whole:
            wrong.append(f"{told['name']}: does not fit: {told['text'][:200]!r}")
            continue
        lines = seen(tree.find("score") if tree.find("score") is not None else tree)
        for number, line in enumerate(told["lines"]):
            if line is not None and lines.get(number) != line:
                text = told["text"].splitlines()[number]
                wrong.append(f"{told['name']}:{number + 1}: {text!r}\n    {lines.get(number)}\n    {line}")
            if line is None and number in lines:
                wrong.append(f"{told['name']}:{number + 1}: something where the program sees nothing")
    assert kinds["text"] > 200 and kinds["sentence"] > 2000, kinds
    if wrong:
        sys.exit("\n".join(wrong[:40]) + f"\n{len(wrong)} places are read in another way")
    print(f"tree-sitter: {kinds['text']} texts and {kinds['sentence']} sentences are read alike")


main()
