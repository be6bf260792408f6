"""Colours, hints and lenses of the language server, against the text itself and music21's arithmetic.

The text is read here with a few regular expressions, which know players, groups and pitches and nothing
else; what an instrument's interval is stands in transposition.py. Used by protocol.py.
"""

import re

from lsprotocol import types as lsp
from transposition import INTERVALS, ours, theirs
from music21 import interval

PITCH = r"[A-G](?:bb|b|#|x)?[0-9]"
COVERS = {
    "variable": None, "namespace": None, "function": None,  # names, which are looked up
    "property": PITCH,
    "keyword": r"[a-z]+",
    "comment": r"//.*",
    "string": r'"[^"]*"',
    "number": r"[0-9][0-9+/.:]*|\*[0-9]+|[whqes+.]+",
    "operator": r"[|(){}:/,.\-_<>^=%*]+",
    "modifier": r"p{1,4}|f{1,4}|m[pf]|[sfrz]{2,3}p?|cresc|dim",
    "decorator": r"@\w+",
    "macro": r"\[[a-z-]+\]?|\]|:[a-z]+|@\w+",  # the last for clients without decorators
    "struct": r"N\.C\.|[A-G]\S*",
    "type": r"[A-Za-z][a-z]* ?[A-Za-z# ]*",
}


class Head:
    """Names of a score, as its head declares them."""

    def __init__(self, text):
        head = re.split(r"^bar\b", text.text, maxsplit=1, flags=re.MULTILINE)[0]
        self.players = {}
        for id, instrument in re.findall(r"^player\s+(\w+)\s*=\s*([^,\r\n/]+)", head, re.MULTILINE):
            self.players.setdefault(id, instrument.strip())
        self.groups = dict(re.findall(r"^group\s+(\w+)\s*=\s*([^\r\n/]+)", head, re.MULTILINE))
        self.phrases = re.findall(r"^phrase\s+(\w+)", head, re.MULTILINE)

    def people(self, names):
        for name in names:
            yield from self.people(self.groups[name].split()) if name in self.groups else [name]


def decoded(text, data, legend):
    """Range, type and modifiers of each token; they go from left to right and lie apart."""
    assert len(data) % 5 == 0
    line = column = end = 0
    for lines, columns, length, kind, bits in zip(*[iter(data)] * 5):
        line, column, end = (line + lines, columns, 0) if lines else (line, column + columns, end)
        assert length > 0 and column >= end, "tokens lie apart"
        end = column + length
        span = lsp.Range(lsp.Position(line, column), lsp.Position(line, end))
        modifiers = {name for bit, name in enumerate(legend.token_modifiers) if bits >> bit & 1}
        yield span, legend.token_types[kind], modifiers


def covered(text, head, span, kind, modifiers):
    said = text.of(span)
    if "declaration" in modifiers:
        word = text.lines()[span.start.line].split()[0]
        assert word in ("player", "group", "instrument", "phrase", "bar"), (said, span)
    elif kind == "variable":
        assert said in head.players, (said, span)
    elif kind == "namespace":
        assert said in head.groups, (said, span)
    elif kind == "function":
        assert said in head.phrases, (said, span)
    elif COVERS.get(kind):
        assert re.fullmatch(COVERS[kind], said), (kind, said, span)


async def tokens(client, text, provider, change, counted):
    document, legend, head = lsp.TextDocumentIdentifier(text.uri), provider.legend, Head(text)

    async def full():
        return await client.text_document_semantic_tokens_full_async(lsp.SemanticTokensParams(document))

    whole = await full()
    all_tokens = list(decoded(text, whole.data, legend))
    for span, kind, modifiers in all_tokens:
        covered(text, head, span, kind, modifiers)
    starts = {(s.start.line, s.start.character): kind for s, kind, _ in all_tokens}
    for number, line in enumerate(text.lines()):
        row = re.match(r"\s*(\w+)[^|\"]*\|", line)
        if row and row[1] in head.players:
            at = text.at(number, row.start(1))
            assert starts.get((at.line, at.character)) == "variable", (number, line)
    counted["tokens"] += len(all_tokens)
    if provider.range:
        last = len(text.lines()) - 1
        for first in range(0, last, 9):
            lines = lsp.Range(lsp.Position(first, 0), lsp.Position(first + 4, 0))
            some = await client.text_document_semantic_tokens_range_async(
                lsp.SemanticTokensRangeParams(document, lines))
            wanted = [t for t in all_tokens if first <= t[0].start.line <= first + 4]
            assert list(decoded(text, some.data, legend)) == wanted, first
    assert provider.full.delta, "whoever keeps tokens can be told what changed"
    data, id, before = list(whole.data), whole.result_id, text.text
    for place, new in [(0, "// \U0001d11e\n"), (len(text.lines()) // 2, "\n"), (1, "")]:
        end = lsp.Position(place + (0 if new else 1), 0)
        gone = text.of(lsp.Range(lsp.Position(place, 0), end))
        await change(client, text, [lsp.TextEdit(lsp.Range(lsp.Position(place, 0), end), new)])
        asked = lsp.SemanticTokensDeltaParams(document, id)
        delta = await client.text_document_semantic_tokens_full_delta_async(asked)
        assert isinstance(delta, lsp.SemanticTokensDelta), (new, gone, delta)
        for edit in sorted(delta.edits, key=lambda e: e.start, reverse=True):
            data[edit.start:edit.start + edit.delete_count] = edit.data or []
        id = delta.result_id
    assert data == list((await full()).data), "what changed makes the new of the old"
    whole = lsp.Range(lsp.Position(0, 0), text.at(len(text.lines()) - 1, len(text.lines()[-1])))
    await change(client, text, [lsp.TextEdit(whole, before)])
    assert text.text == before


def read_by(head, id, sounding):
    """What this player reads where this sounds; None for an instrument that is not known here."""
    by = INTERVALS.get(head.players.get(id))
    return by and theirs(sounding).transpose(interval.Interval(by).reverse())


def is_position(hint, names, head):
    """`G2` is second position with the second attachment as well as a note; trombones here read what sounds."""
    if hint.data:
        return hint.data["kind"] != "pitch"
    slides = ["trombone" in str(head.players[p]) for p in head.people(names.split())]
    return bool(re.fullmatch(r"G\d", hint.label)) and any(slides)


async def hints(client, text, resolves, counted):
    """Every score here is in concert pitch: the hint beside a note is what is read."""
    document, head, lines = lsp.TextDocumentIdentifier(text.uri), Head(text), text.lines()
    span = lsp.Range(lsp.Position(0, 0), text.at(len(lines) - 1, len(lines[-1])))
    found = await client.text_document_inlay_hint_async(lsp.InlayHintParams(document, span))
    assert found, "all kinds are switched on"
    places = [(h.position.line, h.position.character) for h in found]
    assert places == sorted(places)
    for hint in found:
        line = lines[hint.position.line]
        before = text.text[text.starts()[hint.position.line]:text.index(hint.position)]
        names = re.match(r"\s*([\w ]+?)\s*\|", line)
        assert hint.tooltip is None and bool(hint.data) == resolves, hint
        if line.lstrip().startswith("bar"):
            assert re.fullmatch(r"\d+:\d\d–\d+:\d\d(, again [\d:, and more]+)? \([\d.:]+ (s|min)\)", hint.label), hint
            counted["hints of time"] += 1
        elif re.fullmatch(rf"{PITCH}(/{PITCH})*", hint.label) and names and not is_position(hint, names[1], head):
            sounding = re.findall(PITCH, re.sub(r":trill=\S*", "", before))[-1]
            people = list(head.people(names[1].split()))
            if "(" in re.sub(r"\(.*?\)", "", before):
                # In a chord each note has its own people, and here all of them read alike.
                people = people[:1] if len({head.players[p] for p in people}) == 1 else []
            read = list(dict.fromkeys(filter(None, (read_by(head, p, sounding) for p in people))))
            if "[switch" not in line and len(read) == len(hint.label.split("/")):
                labels = [theirs(label) for label in hint.label.split("/")]
                assert [a.ps for a in labels] == [b.ps for b in read], (hint, line)
                counted["pitches read"] += 1
                counted["of them spelled alike"] += hint.label == "/".join(ours(r) or "?" for r in read)
        elif names and (people := re.findall(r"[^\W\d]\w*", hint.label)) and "," in hint.label:
            assert set(people) <= set(head.people(names[1].split())) | {"seat", "seats"}, (hint, line)
            counted["chords shared out"] += 1
        elif travels := re.fullmatch(r"(\d+) cm (in|out)", hint.label):
            # From first to seventh position it is 57 to 66 cm (common practice).
            assert 1 <= int(travels[1]) <= 66 and names, (hint, line)
            assert any("tromb" in str(head.players[p]).lower() for p in head.people(names[1].split())), (hint, line)
            counted["ways of slides"] += 1
        else:
            assert re.fullmatch(r"(/?‿?T?G?[0-7]+)+", hint.label) or line.startswith("phrase"), (hint, line)
            counted["fingerings"] += 1
    for hint in found[:: max(1, len(found) // 40)] if resolves else []:
        told = await client.inlay_hint_resolve_async(hint)
        assert isinstance(told.tooltip, str) and told.tooltip.strip() and told.label == hint.label, told
        counted["reasons"] += 1
    assert counted["of them spelled alike"] >= 0.9 * counted["pitches read"]


async def lenses(client, text, counted):
    document, lines, head = lsp.TextDocumentIdentifier(text.uri), text.lines(), Head(text)
    found = await client.text_document_code_lens_async(lsp.CodeLensParams(document))
    told = {lens.range.start.line: lens for lens in found}
    assert len(told) == len(found), "one a line"
    for number, lens in told.items():
        word = lines[number].split()[0]
        assert lens.command.command == "" and lens.command.title.strip(), lens
        text.of(lens.range)
        if word == "bar":
            assert re.match(r"bars? \d+(–\d+)?(; |$)", lens.command.title), lens
            continue
        assert word == "player" and text.of(lens.range) in head.players, lens
        ends = re.match(rf"({PITCH})(?:–({PITCH}))? written, ({PITCH})(?:–({PITCH}))? concert; ", lens.command.title)
        if ends and "doubles" not in lines[number]:
            low, high, sounds_low, sounds_high = ends.groups()
            for written, sounding in [(low, sounds_low), (high or low, sounds_high or sounds_low)]:
                assert read_by(head, text.of(lens.range), sounding).ps == theirs(written).ps, lens
        counted["lenses"] += 1
    assert {n for n, line in enumerate(lines) if line.startswith("player")} >= {
        n for n in told if lines[n].startswith("player")}
