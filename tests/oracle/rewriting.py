"""Actions that write a score another way, tried by the independent client on a whole score.

Every action offered at some places is applied here, and `waterkey check` must find no new fault of reading.
Two are followed note by note: at written pitch every player's part is the text it was, and in another key every
note is where music21 transposes it to.
"""

import re
import subprocess

from lsprotocol import types as lsp
from music21 import pitch
from pygls.exceptions import JsonRpcException

READING = {"bar-length", "place-count", "missing-value", "unknown-player", "unknown-name", "unknown-word",
           "unknown-instrument", "unreadable", "bad-number", "two-at-once", "nothing-to-repeat", "nothing-held",
           "block-order", "mixed-transposition", "misplaced-line", "unclosed", "too-many-entries", "repeat-fault"}
# Beginnings of the lines that are pointed at, and how much of the line is selected.
PLACES = [("title", 0), ("player Tp1", 0), ("bar 5", 0), ("rhythm |", 0), ("Horns", 0), ("Tp1 ", 0), ("Tp1 ", 60),
          ("Tu ", 0), ("Bones", 40), ("Tp3 ", 0)]
NOTE = re.compile(r"(?<![\w#@])[A-G](?:bb|b|#|x)?\d(?!\w)")
KIND = re.compile(r"refactor\.(rewrite|extract|inline)$")


def run(waterkey, command, text):
    done = subprocess.run([waterkey, *command], input=text.encode(), capture_output=True, timeout=60)
    assert done.returncode in (0, 1), done
    return done.stdout.decode()


def heights(text):
    """The notes of all rows of music, as MIDI numbers: concert pitch, since the score is."""
    rows = [line.split("|", 1)[1] for line in text.splitlines()
            if "|" in line and not line.startswith(("chords", "rhythm", "//"))]
    theirs = (note.replace("bb", "--").replace("b", "-").replace("x", "##") for row in rows for note in NOTE.findall(row))
    return [pitch.Pitch(name).midi for name in theirs]


async def applied(client, action, later):
    """The action with its edit; nothing where it is refused, with a reason."""
    if not later:
        return action
    try:
        return await client.code_action_resolve_async(action)
    except JsonRpcException as refused:
        assert refused.code == -32803 and refused.message.startswith("This cannot be done: "), refused
        return None


async def rewritings(waterkey, client, text, offer, edited, checked, counted):
    takes = offer.text_document.code_action
    later = "edit" in (takes.resolve_support.properties if takes.resolve_support else [])
    document = lsp.TextDocumentIdentifier(text.uri)
    context = lsp.CodeActionContext([], only=["refactor"], trigger_kind=lsp.CodeActionTriggerKind.Invoked)
    faults = lambda found: {f["rule"] for f in found} & READING
    before = faults(checked(waterkey, text.text))
    kinds, titles = set(), set()
    for start, length in PLACES:
        line = next(n for n, said in enumerate(text.lines()) if said.startswith(start))
        column = min(14, len(text.lines()[line]))
        span = lsp.Range(text.at(line, column), text.at(line, min(column + length, len(text.lines()[line]))))
        found = await client.text_document_code_action_async(lsp.CodeActionParams(document, span, context)) or []
        for action in found:
            kinds.add(KIND.match(action.kind)[1])
            if action.disabled or action.title in titles:
                continue
            titles.add(action.title)
            action = await applied(client, action, later)
            if action is None:
                counted["refused"] += 1
                continue
            done = edited(text, action.edit, offer).text
            assert done != text.text and faults(checked(waterkey, done)) <= before, (action.title, done)
            counted["rewritten"] += 1
            if action.title == "Write the score as its players read it":
                for player in re.findall(r"^player (\w+)", text.text, re.M):
                    parts = [run(waterkey, ["part", "-", player], score) for score in (text.text, done)]
                    assert parts[0] == parts[1], (player, parts)
                    counted["parts the same"] += 1
            if moved := re.match(r"Put the whole score (up|down) (a semitone|a tone|a minor third|a fourth)", action.title):
                size = {"a semitone": 1, "a tone": 2, "a minor third": 3, "a fourth": 5}[moved[2]]
                by = size if moved[1] == "up" else -size
                assert [h + by for h in heights(text.text)] == heights(done), action.title
                counted["scores transposed"] += 1
    assert {"rewrite"} < kinds, kinds
    assert {"Write the score as its players read it", "Double all values: eighths become quarters, and the beat stays as quick"} <= titles, titles
