"""What colours a text by patterns colours it as the trees do.

colours.py ENGINE TREE_SITTER GRAMMAR SCORES… where ENGINE is `Kate`, whose highlighter is asked here, or another
whose program tells what it sees on standard input: one JSON object a line,
`{"path": …, "lines": [[[TEXT, COLOUR], …], …]}`.

The trees' colours are those of the highlight query, which has tests of its own in the grammar's folder.
"""

import html
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

# By the trees' names: what the patterns call it, as a scope and in Kate.
COLOURS = {
    "comment": ("comment.line", "Comment"),
    "string": ("string.quoted", "Text"),
    "keyword": ("keyword.control", "Keyword"),
    "property": ("support.type.property-name", "Property"),
    "constant.builtin": ("constant.language", "Value"),
    "type": ("entity.name.type", "Instrument"),
    "variable": ("variable.other", "Player"),
    "function": ("entity.name.function", "Phrase"),
    "function.builtin": ("support.function", "Technique"),
    "constant": ("constant.character", "Note"),
    "constant ": ("constant.other", "Constant"),
    "label": ("entity.name.label", "Label"),
    "number": ("constant.numeric", "Number"),
    "attribute": ("storage.modifier", "Dynamic"),
    "operator": ("keyword.operator", "Operator"),
    "punctuation.delimiter": ("punctuation.separator", "Delimiter"),
    "punctuation.bracket": ("punctuation.section", "Bracket"),
}


def tree_colours(program, folder, paths):
    """Colour of each character that has one, by path, line and column in characters."""
    texts = {path: pathlib.Path(path).read_text(encoding="utf-8").split("\n") for path in paths}
    colours = {path: {} for path in paths}
    query = str(pathlib.Path(folder, "queries/highlights.scm").resolve())
    told = subprocess.run(
        [program, "query", "--captures", "--grammar-path", folder, query, *paths],
        capture_output=True, check=True, text=True,
    ).stdout  # fmt: skip
    path = None
    form = re.compile(r"capture: \d+ - ([\w.]+), start: \((\d+), (\d+)\), end: \((\d+), (\d+)\)")
    for line in told.splitlines():
        if line in colours:
            path = line
        elif found := form.search(line):
            name, (row, start, last, end) = found[1], map(int, found.groups()[1:])
            assert row == last, line
            chars = texts[path][row].encode()
            for column in range(len(chars[:start].decode()), len(chars[:end].decode())):
                colours[path][row, column] = name
    assert all(colours.values()), "a text without colours"
    return texts, colours


def kate(paths):
    """Lines as pieces of text and the colour each has, as Kate's own highlighter tells them."""
    numbers = {name: f"#{0x100 + i:06x}" for i, (_, name) in enumerate(COLOURS.values())}
    plain = {"text-color": "#000000"}
    styles = "Normal Keyword Function Variable ControlFlow Operator BuiltIn Extension Preprocessor Attribute Char"
    styles += " SpecialChar String VerbatimString SpecialString Import DataType DecVal BaseN Float Constant Comment"
    styles += " Documentation Annotation CommentVar RegionMarker Information Warning Alert Others Error"
    theme = {
        "metadata": {"name": "Numbers", "revision": 1},
        "text-styles": {style: plain for style in styles.split()},
        "editor-colors": {},
        "custom-styles": {"Brass": {name: {"text-color": number} for name, number in numbers.items()}},
    }
    with tempfile.TemporaryDirectory() as home:
        data = pathlib.Path(home, "org.kde.syntax-highlighting")
        for part in ("syntax", "themes"):
            (data / part).mkdir(parents=True)
        (data / "syntax/brass.xml").write_bytes(pathlib.Path("editors/kate/brass.xml").read_bytes())
        (data / "themes/numbers.theme").write_text(json.dumps(theme))
        environment = {"PATH": os.environ["PATH"], "HOME": home, "XDG_DATA_HOME": home, "QT_QPA_PLATFORM": "offscreen",
                       "LC_ALL": "C.UTF-8"}  # fmt: skip
        for path in paths:
            done = subprocess.run(
                ["kate-syntax-highlighter", "--syntax", "Brass", "--theme", "Numbers", path],
                capture_output=True, check=True, text=True, env=environment,
            )  # fmt: skip
            # Whatever in the file cannot be used is told there.
            assert "rass" not in done.stderr, done.stderr
            body = re.search(r"<pre>\n?(.*)</pre>", done.stdout, re.DOTALL)[1]
            names = {number: name for name, number in numbers.items()}
            lines = []
            for line in body.split("\n"):
                pieces = []
                for style, inside, bare in re.findall(r'<span style="([^"]*)">(.*?)</span>|([^<]+)', line):
                    colour = re.search(r"#[0-9a-f]{6}", style)
                    pieces.append([html.unescape(inside or bare), colour and names.get(colour[0])])
                lines.append(pieces)
            yield path, lines


def told_by_another():
    for line in sys.stdin:
        told = json.loads(line)
        yield told["path"], told["lines"]


def main():
    engine, program, folder, *paths = sys.argv[1:]
    texts, trees = tree_colours(program, folder, paths)
    of_engine = {}
    for name, (scope, kate_name) in COLOURS.items():
        of_engine[scope], of_engine[kate_name] = name.strip(), name.strip()
    wrong, counted, seen = [], 0, set()
    for path, lines in kate(paths) if engine == "Kate" else told_by_another():
        seen.add(path)
        for row, pieces in enumerate(lines):
            column = 0
            text = texts[path][row] if row < len(texts[path]) else ""
            assert "".join(piece for piece, _ in pieces) == text, (path, row, pieces, text)
            bad = []
            for piece, colour in pieces:
                name = next((n for scope, n in of_engine.items() if colour and colour.startswith(scope)), None)
                for char in piece:
                    wanted = trees[path].get((row, column))
                    if not char.isspace() or wanted:
                        counted += 1
                        if wanted != name and not char.isspace():
                            bad.append(f"{column + 1} `{char}`: {name}, in the trees {wanted}")
                    column += 1
            if bad:
                wrong.append(f"{path}:{row + 1}: {text}\n    " + "; ".join(bad[:6]))
    assert seen == set(paths), seen ^ set(paths)
    if wrong:
        sys.exit("\n".join(wrong[:25]) + f"\n{len(wrong)} lines are coloured in another way")
    print(f"colours of {engine}: {counted} characters of {len(paths)} scores as in the trees")


main()
