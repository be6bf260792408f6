"""The language server against an independent client, which knows the protocol's published types.

lsprotocol is generated from the machine-readable "Language Server Protocol 3.17" specification; it takes
no answer with a missing, negative or out-of-range field. pytest-lsp brings the capabilities that real
editors were recorded to announce. Positions are converted and edits applied here, from the text alone.

Usage: protocol.py PATH-OF-WATERKEY
"""

import asyncio
import collections
import json
import pathlib
import re
import subprocess
import sys
import tempfile
import warnings

import beside
from lsprotocol import types as lsp
from pygls.exceptions import JsonRpcException
from pygls.protocol import default_converter
from pytest_lsp import LanguageClient, client_capabilities
from pytest_lsp.checks import LspSpecificationWarning
from pytest_lsp.client import DEFAULT_CLIENT_FEATURES, register_lsp_features

from shared_names import shared

SAMPLES = pathlib.Path(__file__).parents[2] / "samples"
# Letters and signs beyond the first plane, before names, before findings and inside a name; CRLF.
SMALL = "\r\n".join([
    'brass 1', 'title "Quay \U0001d11e at dawn"', "// \U0001d122 of the ferry",
    'player T\U00010428p = trumpet in Bb, name "\U0001d11e the pilot"', "player Hn1 = horn in F",
    "player Hn2 = horn in F", "group Horns = Hn1 Hn2", "phrase oars | q : C4 D4 E4 F4 |", "",
    'bar 1 meter 4/4 key C major tempo q = 72 mark A', "rhythm | q q h | w |", "chords | C7 | F |",
    'T\U00010428p | "\U0001d11e" C5   D5 Bbb6 | play oars |', "Horns | (C4 E4) (D4 F4) (E4 G4) | (F4 A4) |",
    "Hn1 | | |", "bar 3", 'Hn2 | q : "\U0001d11e\U0001d12b" C4 d4 zz | h : "\U0001d11e" C4 D4@9 |', "",
])
HINTS = ["pitch", "sharing", "fingering", "travel", "seconds"]
PATIENCE = 60  # seconds; only what never comes is waited for so long
SEVERITY = {"error": 1, "warning": 2, "information": 3, "hint": 4}
WIDTH = {"utf-8": lambda c: len(c.encode()), "utf-16": lambda c: len(c.encode("utf-16-le")) // 2}
counted = collections.Counter()


class Text:
    """A text as the server should have it, with positions in one encoding."""

    def __init__(self, uri, text, encoding):
        self.uri, self.text, self.version, self.width = uri, text, 1, WIDTH[encoding]

    def lines(self):
        return re.split(r"\r\n|\n|\r", self.text)

    def starts(self):
        return [0] + [end.end() for end in re.finditer(r"\r\n|\n|\r", self.text)]

    def at(self, line, characters):
        before = self.lines()[line][:characters]
        return lsp.Position(line, sum(map(self.width, before)))

    def index(self, place):
        """The index of a position, which must be between two characters of a line or at its ends."""
        line, column = self.lines()[place.line], 0
        for count, char in enumerate(line + "\n"):
            if column == place.character:
                return self.starts()[place.line] + count
            column += self.width(char)
        raise AssertionError(f"{place} is past the end of, or inside a character of {line!r}")

    def of(self, span):
        start, end = self.index(span.start), self.index(span.end)
        assert start <= end, f"{span} runs backwards"
        counted["ranges"] += 1
        return self.text[start:end]

    def apply(self, edits):
        spans = sorted((self.index(e.range.start), self.index(e.range.end), e.new_text) for e in edits)
        assert all(a[1] <= b[0] for a, b in zip(spans, spans[1:])), f"edits overlap: {spans}"
        for start, end, new in reversed(spans):
            self.text = self.text[:start] + new + self.text[end:]

    def tokens(self):
        """The positions at which tokens start."""
        for number, line in enumerate(self.lines()):
            for token in re.finditer(r"[\w#]+|[^\w\s]", line):
                yield self.at(number, token.start())


class Client(LanguageClient):
    def __init__(self):
        super().__init__(converter_factory=default_converter)
        self.faults, self.published, self.news = [], {}, asyncio.Event()
        ours = {lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS: lambda params: self.publish(params),
                lsp.CLIENT_REGISTER_CAPABILITY: lambda params: None}
        ours |= {what: lambda *_: None for what in (lsp.WORKSPACE_SEMANTIC_TOKENS_REFRESH, lsp.WORKSPACE_INLAY_HINT_REFRESH,
                                                 lsp.WORKSPACE_CODE_LENS_REFRESH, lsp.WORKSPACE_DIAGNOSTIC_REFRESH)}
        register_lsp_features(self, DEFAULT_CLIENT_FEATURES | ours)

    def report_server_error(self, error, source):
        self.faults.append(f"{source.__name__}: {error}")
        super().report_server_error(error, source)

    def publish(self, params):
        self.published[params.uri] = params
        self.news.set()


def offered(editor):
    """What the editor announces, with the encoding and the way of diagnostics that it stands for here."""
    if editor == "Neovim":  # utf-8 first, and asks for diagnostics
        return client_capabilities("neovim@v0.11.0"), "utf-8"
    if editor == "VS Code":  # newer versions name their one encoding
        offer = client_capabilities("visual-studio-code@v1.65.2")
        offer.general.position_encodings = [lsp.PositionEncodingKind.Utf16]
        offer.text_document.inlay_hint = lsp.InlayHintClientCapabilities(
            resolve_support=lsp.ClientInlayHintResolveOptions(properties=["tooltip"]))
        return offer, "utf-16"
    offer = client_capabilities("emacs@v29.1")  # as older versions are: no encodings, trees or Markdown
    offer.general = None
    offer.workspace.workspace_edit.document_changes = False
    offer.text_document.code_action.resolve_support = None
    offer.text_document.hover.content_format = [lsp.MarkupKind.PlainText]
    offer.text_document.completion.completion_item.snippet_support = False
    offer.text_document.completion.completion_item.documentation_format = [lsp.MarkupKind.PlainText]
    offer.text_document.signature_help.signature_information.parameter_information.label_offset_support = False
    offer.text_document.document_symbol.hierarchical_document_symbol_support = False
    return offer, "utf-16"


def checked(waterkey, path, text):
    """What `waterkey check` finds, its columns (characters, from 1) as positions."""
    done = subprocess.run([waterkey, "check", "--hints", "--format", "json", path],
                          capture_output=True, timeout=PATIENCE)
    assert done.returncode in (0, 1), done
    return sorted(
        (str(lsp.Range(text.at(f["line"] - 1, f["column"] - 1), text.at(f["endLine"] - 1, f["endColumn"] - 1))),
         f["rule"], SEVERITY[f["severity"]], f["message"])
        for f in json.loads(done.stdout)["files"][0]["findings"]
    )


def shown(text, diagnostics):
    for each in diagnostics:
        text.of(each.range)
        for related in each.related_information or []:
            assert related.location.uri == text.uri, related
            text.of(related.location.range)
    return sorted((str(d.range), d.code, d.severity, d.message) for d in diagnostics)


async def diagnostics(client, pull, text, expected):
    """Pushed or pulled, they are those of `waterkey check`."""
    if not pull:
        def seen():
            return text.uri in client.published and shown(text, client.published[text.uri].diagnostics)
        while (now := seen()) != expected:
            client.news.clear()
            try:
                await asyncio.wait_for(client.news.wait(), 20)
            except TimeoutError:
                both = [set(now or []) - set(expected), set(expected) - set(now or [])]
                raise AssertionError(f"{text.uri}: only pushed {both[0]}, only checked {both[1]}") from None
        return
    document = lsp.TextDocumentIdentifier(text.uri)
    answer = await client.text_document_diagnostic_async(lsp.DocumentDiagnosticParams(document))
    assert isinstance(answer, lsp.RelatedFullDocumentDiagnosticReport), answer
    assert shown(text, answer.items) == expected, (shown(text, answer.items), expected)
    again = lsp.DocumentDiagnosticParams(document, previous_result_id=answer.result_id)
    same = await client.text_document_diagnostic_async(again)
    assert isinstance(same, lsp.RelatedUnchangedDocumentDiagnosticReport), same
    whole = await client.workspace_diagnostic_async(lsp.WorkspaceDiagnosticParams(previous_result_ids=[]))
    own = [each for each in whole.items if each.uri == text.uri]
    assert len(own) == 1 and shown(text, own[0].items) == expected, own


async def outline(client, text, tree):
    document = lsp.TextDocumentIdentifier(text.uri)
    symbols = await client.text_document_document_symbol_async(lsp.DocumentSymbolParams(document))
    assert symbols, "an outline"

    def walk(symbol, outer):
        assert isinstance(symbol, lsp.DocumentSymbol) and symbol.name.strip(), symbol
        text.of(symbol.range), text.of(symbol.selection_range)
        assert within(symbol.selection_range, symbol.range), symbol
        assert outer is None or within(symbol.range, outer), symbol
        return 1 + sum(walk(child, symbol.range) for child in symbol.children or [])

    if tree:
        counted["symbols"] += sum(walk(symbol, None) for symbol in symbols)
    else:
        for symbol in symbols:
            assert isinstance(symbol, lsp.SymbolInformation) and symbol.location.uri == text.uri, symbol
            assert symbol.name.strip() and text.of(symbol.location.range), symbol
        counted["symbols"] += len(symbols)
    folds = await client.text_document_folding_range_async(lsp.FoldingRangeParams(document))
    assert folds and all(f.start_line < f.end_line < len(text.lines()) for f in folds), folds


def within(inner, outer):
    return outer.start <= inner.start and inner.end <= outer.end


async def questions(client, text, place, formats, prepares):
    """Everything that can be asked about a place. True if a name stands there."""
    document = lsp.TextDocumentIdentifier(text.uri)
    hover = await client.text_document_hover_async(lsp.HoverParams(document, place))
    if hover:
        assert hover.contents.kind == formats and hover.contents.value.strip(), hover
        text.of(hover.range)
        assert hover.range.start <= place <= hover.range.end, (place, hover)
        counted["hovers"] += 1
    [grown] = await client.text_document_selection_range_async(lsp.SelectionRangeParams(document, [place]))
    assert grown.range.start <= place <= grown.range.end, (place, grown)
    while grown:
        text.of(grown.range)
        assert grown.parent is None or within(grown.range, grown.parent.range), grown
        assert grown.parent or grown.range.start == lsp.Position(0, 0), "the widest is the whole text"
        grown = grown.parent

    definition = await client.text_document_definition_async(lsp.DefinitionParams(document, place))
    async def referring(declaration):
        asked = lsp.ReferenceParams(lsp.ReferenceContext(declaration), document, place)
        return await client.text_document_references_async(asked)
    uses, all_uses = await referring(False), await referring(True)
    marked = await client.text_document_document_highlight_async(lsp.DocumentHighlightParams(document, place))
    assert [m.range for m in marked] == [u.range for u in all_uses], (marked, all_uses)
    assert {u.uri for u in all_uses} <= {text.uri}
    written = [m.range for m in marked if m.kind == lsp.DocumentHighlightKind.Write]
    assert [u.range for u in uses] == [m.range for m in marked if m.range not in written]
    assert len({text.of(u.range) for u in all_uses}) <= 1, "one name, one spelling"
    if definition:
        assert definition.uri == text.uri and definition.range in written, (definition, written)
        counted["definitions"] += 1
    if not prepares:
        return bool(definition)
    ready = await client.text_document_prepare_rename_async(lsp.PrepareRenameParams(document, place))
    assert bool(ready) == bool(written), (place, ready, written)
    if ready:
        assert text.of(ready.range) == ready.placeholder and ready.range in [u.range for u in all_uses]
    return bool(ready)


def plain(snippet):
    """A snippet with its examples filled in, as an editor leaves it."""
    snippet = re.sub(r"\$\{\d+\|((?:\\.|[^,|\\])*)[^}]*\|\}", r"\1", snippet)
    snippet = re.sub(r"\$\{\d+:((?:\\.|[^}\\])*)\}", r"\1", snippet)
    return re.sub(r"\\(.)", r"\1", re.sub(r"\$\d+", "", snippet))


async def offers(client, text, place, documents, tree):
    """What may be typed at a place: each item replaces the word there, and what it puts in is what it says."""
    document = lsp.TextDocumentIdentifier(text.uri)
    answer = await client.text_document_completion_async(lsp.CompletionParams(document, place))
    if answer:
        assert isinstance(answer, lsp.CompletionList) and answer.items, answer
        keys = [item.sort_text for item in answer.items]
        assert keys == sorted(keys) and len(set(keys)) == len(keys), "the order is that of the sort text"
        assert len({item.label for item in answer.items}) == len(answer.items), "each thing once"
        for item in answer.items:
            edit, is_snippet = item.text_edit, item.insert_text_format == lsp.InsertTextFormat.Snippet
            assert tree or not is_snippet, "snippets are for those who take them"
            span = edit.range if isinstance(edit, lsp.TextEdit) else edit.replace
            text.of(span)
            assert span.start.line == span.end.line and span.start <= place <= span.end, (place, span)
            if isinstance(edit, lsp.InsertReplaceEdit):
                assert edit.insert.start == span.start and edit.insert.end == place, (place, edit)
            new = plain(edit.new_text) if is_snippet else edit.new_text
            assert new and "$" not in new, (item.label, edit.new_text)
            counted["items"] += 1
        await resolved(client, answer.items[len(keys) // 2], documents)
    help_ = await client.text_document_signature_help_async(lsp.SignatureHelpParams(document, place))
    for form in help_.signatures if help_ else []:
        for parameter in form.parameters:
            if isinstance(parameter.label, str):
                assert not tree and parameter.label in form.label, form
            else:
                start, end = parameter.label
                assert tree and 0 <= start < end <= len(form.label.encode("utf-16-le")) // 2, form
        active = form.active_parameter
        assert active is None or active < len(form.parameters), form
        counted["forms"] += 1


async def resolved(client, item, documents):
    told = await client.completion_item_resolve_async(item)
    assert (told.label, told.text_edit, told.detail) == (item.label, item.text_edit, item.detail), told
    if item.data:
        assert len(json.dumps(item.data)) < 300, item.data
    if told.documentation:
        assert told.documentation.kind == documents and told.documentation.value.strip(), told
        counted["documented items"] += 1


async def heard(client, text):
    """Every note offered on a trumpet's row sounds a major second below what it says is written."""
    [number] = [n for n, line in enumerate(text.lines()) if line.startswith("T\U00010428p |")]
    line = text.lines()[number]
    place = text.at(number, line.index("C5") + 2)
    document = lsp.TextDocumentIdentifier(text.uri)
    answer = await client.text_document_completion_async(lsp.CompletionParams(document, place))
    def midi(name):
        letter, accidental, octave = re.fullmatch(r"([A-G])(bb|b|#|x|)(\d)", name).groups()
        shift = {"": 0, "b": -1, "bb": -2, "#": 1, "x": 2}[accidental]
        return 12 * (int(octave) + 1) + {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[letter] + shift
    notes = [i for i in answer.items if i.detail and i.detail.startswith("written ")]
    assert len(notes) > 24, "two octaves and more"
    for note in notes:
        written = re.match(r"written (\S+), ", note.detail)[1]
        assert midi(written) - midi(note.label) == 2, note
        assert 52 <= midi(note.label) <= 84, "F#3 to D6 as written, professional"
        counted["notes"] += 1


async def change(client, text, edits):
    """Applies edits here, and sends them as they are: from the last to the first none moves another."""
    text.version += 1
    document = lsp.VersionedTextDocumentIdentifier(version=text.version, uri=text.uri)
    backwards = sorted(edits, key=lambda edit: edit.range.start, reverse=True)
    changes = [lsp.TextDocumentContentChangePartial(range=e.range, text=e.new_text) for e in backwards]
    text.apply(edits)
    client.text_document_did_change(lsp.DidChangeTextDocumentParams(document, changes))


async def rename(client, text, place, versioned, names):
    """To another name and back is the same text."""
    before = text.text
    document = lsp.TextDocumentIdentifier(text.uri)
    for name in names:
        edit = await client.text_document_rename_async(lsp.RenameParams(document, place, name))
        if versioned:
            [edits] = edit.document_changes
            assert edit.changes is None
            assert (edits.text_document.uri, edits.text_document.version) == (text.uri, text.version)
            edits = edits.edits
        else:
            assert list(edit.changes) == [text.uri] and edit.document_changes is None, edit
            edits = edit.changes[text.uri]
        uses = await client.text_document_references_async(
            lsp.ReferenceParams(lsp.ReferenceContext(True), document, place))
        assert edits and sorted(e.range.start for e in edits) == [u.range.start for u in uses]
        await change(client, text, edits)
        assert text.of(lsp.Range(place, place)) == "" and text.text[text.index(place):].startswith(name)
        counted["renames"] += 1
    assert text.text == before, "there and back"
    # What cannot be is refused in words, and nothing breaks.
    try:
        await client.text_document_rename_async(lsp.RenameParams(document, place, '9 "|"'))
    except JsonRpcException as refusal:
        assert refusal.code == -32602 and refusal.message.strip(), refusal
    else:
        raise AssertionError("no name has quotes and barlines")


def by_lines(findings):
    """How often each finding stands on each line."""
    return collections.Counter((f["line"], f["rule"], f["message"]) for f in findings)


async def actions(waterkey, client, text, offer):
    """Every action offered for a finding, done here, leaves a text in which `waterkey check` has it no more."""
    document = lsp.TextDocumentIdentifier(text.uri)
    takes = offer.text_document.code_action
    later = "edit" in (takes.resolve_support.properties if takes.resolve_support else [])
    kinds = {lsp.CodeActionKind.QuickFix, "refactor.rewrite", "source.fixAll.waterkey"}
    before = checked_json(waterkey, text.text)
    for finding in before:
        line, column = finding["line"] - 1, finding["column"] - 1
        span = lsp.Range(text.at(line, column), text.at(finding["endLine"] - 1, finding["endColumn"] - 1))
        told = lsp.Diagnostic(span, finding["message"], code=finding["rule"], source="waterkey")
        context = lsp.CodeActionContext([told], trigger_kind=lsp.CodeActionTriggerKind.Automatic)
        for action in await client.text_document_code_action_async(lsp.CodeActionParams(document, span, context)) or []:
            assert isinstance(action, lsp.CodeAction) and action.kind in kinds and action.title.strip(), action
            assert bool(action.edit) != later, action
            if later:
                full = await client.code_action_resolve_async(action)
                assert (full.title, full.kind) == (action.title, action.kind), (action, full)
                action = full
            done = edited(text, action.edit, offer)
            after = checked_json(waterkey, done.text)
            counted["actions"] += 1
            if action.kind != lsp.CodeActionKind.QuickFix or told not in (action.diagnostics or []):
                continue
            # Where lines came or went, the finding may stand on another.
            shift = done.text.count("\n") - text.text.count("\n")
            first = min(e.range.start.line for e in edits_of(action.edit))
            now = finding["line"] + (shift if first < line or (first == line and shift < 0) else 0)
            name = (finding["rule"], finding["message"])
            assert by_lines(after)[now, *name] < by_lines(before)[finding["line"], *name], (finding, action)
            errors = [sum(f["severity"] == "error" for f in found) for found in (before, after)]
            if finding["severity"] != "error":
                assert errors[1] <= errors[0], (finding, action, after)
            counted["mended"] += 1
    wanted = lsp.CodeActionContext([], only=["source.fixAll"])
    span = lsp.Range(text.at(0, 0), text.at(0, 0))
    for round in range(2):
        found = await client.text_document_code_action_async(lsp.CodeActionParams(document, span, wanted)) or []
        assert len(found) <= 1 - round, ("twice is once", found)
        for action in found:
            assert action.kind == "source.fixAll.waterkey", action
            action = await client.code_action_resolve_async(action) if later else action
            before = checked_json(waterkey, text.text)
            await change(client, text, edits_of(action.edit))
            after = checked_json(waterkey, text.text)
            errors = [sum(f["severity"] == "error" for f in found) for found in (before, after)]
            assert errors[1] <= errors[0] and len(after) < len(before), (before, after)
            counted["mended at once"] += 1


def edits_of(edit):
    if edit.document_changes:
        [changes] = edit.document_changes
        return changes.edits
    [edits] = edit.changes.values()
    return edits


def edited(text, edit, offer):
    """The text with an action's edits made."""
    if offer.workspace.workspace_edit.document_changes:
        [changes] = edit.document_changes
        assert (changes.text_document.uri, changes.text_document.version) == (text.uri, text.version)
    else:
        assert list(edit.changes) == [text.uri] and edit.document_changes is None
    done = Text(text.uri, text.text, "utf-8")
    done.width = text.width
    done.apply(edits_of(edit))
    return done


def checked_json(waterkey, text):
    done = subprocess.run([waterkey, "check", "--hints", "--format", "json", "-"], input=text.encode(),
                          capture_output=True, timeout=PATIENCE)
    assert done.returncode in (0, 1), done
    return json.loads(done.stdout)["files"][0]["findings"]


async def formatting(waterkey, client, text):
    """Lines laid out one after the other make what the whole laid out makes; twice is once."""
    document, options = lsp.TextDocumentIdentifier(text.uri), lsp.FormattingOptions(4, True)
    whole = await client.text_document_formatting_async(lsp.DocumentFormattingParams(document, options))
    tidied = Text(text.uri, text.text, "utf-8")
    tidied.width = text.width
    tidied.apply(whole)
    asked = subprocess.run([waterkey, "tidy", "-"], input=text.text.encode(), capture_output=True)
    assert asked.returncode == 0 and asked.stdout.decode() == tidied.text, "as `waterkey tidy` has it"

    lines = text.lines()
    for first in range(0, len(lines), 7):
        last = min(first + 6, len(lines) - 1)
        span = lsp.Range(lsp.Position(first, 0), text.at(last, len(lines[last])))
        part = await client.text_document_range_formatting_async(
            lsp.DocumentRangeFormattingParams(document, span, options))
        assert all(within(edit.range, span) for edit in part), (span, part)
        assert list(part) == [edit for edit in whole if first <= edit.range.start.line <= last], (span, part)
    await change(client, text, whole)
    assert text.text == tidied.text
    again = await client.text_document_formatting_async(lsp.DocumentFormattingParams(document, options))
    assert not again, ("twice is once", again)
    counted["layouts"] += 1


def told_part(waterkey, path, player):
    """The part of a player as the command line writes it."""
    done = subprocess.run([waterkey, "part", path, player], capture_output=True, timeout=PATIENCE)
    assert done.returncode in (0, 1), done
    return done.stdout.decode()


async def commands(waterkey, client, text, path):
    """Parts and charts are those of the command line; what cannot be is refused in words."""
    async def told(command, *arguments):
        asked = lsp.ExecuteCommandParams(command=command, arguments=list(arguments))
        return await client.workspace_execute_command_async(asked)

    head = re.split(r"^bar", text.text, maxsplit=1, flags=re.MULTILINE)[0]
    players = re.findall(r"^player (\w+)", head, re.MULTILINE)
    assert players
    for player in dict.fromkeys(players):
        part = await told("waterkey.part", text.uri, player)
        assert part == told_part(waterkey, path, player), (player, part)
        counted["parts"] += 1
    chart = subprocess.run([waterkey, "chart", "horn in F"], capture_output=True, timeout=PATIENCE)
    assert await told("waterkey.chart", "horn in F") == chart.stdout.decode()
    sheet = subprocess.run([waterkey, "report", path, "--format", "html"], capture_output=True, timeout=PATIENCE)
    assert await told("waterkey.sheet", text.uri) == sheet.stdout.decode()
    assert text.uri in await told("waterkey.debug")
    for command, arguments in [("waterkey.part", [text.uri, "Nobody"]), ("waterkey.part", []), ("waterkey.x", []),
                               ("waterkey.chart", ["comb and paper"])]:
        try:
            await told(command, *arguments)
        except JsonRpcException as refusal:
            assert refusal.code == -32602 and refusal.message.strip(), refusal
        else:
            raise AssertionError(f"{command} {arguments} is nothing")


async def typed(client, text):
    """A barline that is typed changes blanks of its own block alone, and none behind itself."""
    lines, document = text.lines(), lsp.TextDocumentIdentifier(text.uri)
    heads = [n for n, line in enumerate(lines) if line.startswith("bar")] + [len(lines)]
    for number, line in enumerate(lines):
        for barline in re.finditer(r"\|", line):
            place = text.at(number, barline.end())
            edits = await client.text_document_on_type_formatting_async(
                lsp.DocumentOnTypeFormattingParams(document, place, "|", lsp.FormattingOptions(4, True)))
            after = Text(text.uri, text.text, "utf-8")
            after.width = text.width
            after.apply(edits or [])
            assert after.text.split() == text.text.split() or not edits or (
                re.sub(r"[ \t]", "", after.text) == re.sub(r"[ \t]", "", text.text)), edits
            for edit in edits or []:
                at = edit.range.start.line
                assert max(h for h in heads if h <= at) == max(h for h in heads if h <= number), (number, edit)
                assert at != number or edit.range.end < place, (place, edit)
            counted["barlines"] += 1


async def session(waterkey, editor, folder):
    client = Client()
    await client.start_io(waterkey, "serve")
    server = client._server
    try:
        await asyncio.wait_for(conversation(client, waterkey, editor, folder), 5 * PATIENCE)
        assert await server.wait() == 0, f"exit code {server.returncode} after shutdown and exit"
    except Exception as fault:
        raise AssertionError(f"{editor}: {fault!r}; the client's complaints: {client.faults}") from fault
    finally:
        if server.returncode is None:
            server.kill()
        await client.stop()


async def conversation(client, waterkey, editor, folder):
    offer, encoding = offered(editor)
    pull, tree = editor == "Neovim", editor != "Emacs"
    prepares, formats = tree, lsp.MarkupKind.Markdown if tree else lsp.MarkupKind.PlainText
    started = await client.initialize_session(lsp.InitializeParams(
        capabilities=offer, initialization_options={"hints": dict.fromkeys(HINTS, True)}, workspace_folders=[lsp.WorkspaceFolder(folder.as_uri(), "quay")]))
    told = started.capabilities
    assert told.position_encoding == encoding, told.position_encoding
    assert bool(told.diagnostic_provider) == pull, told.diagnostic_provider
    assert told.text_document_sync.change == lsp.TextDocumentSyncKind.Incremental
    assert isinstance(told.rename_provider, lsp.RenameOptions) == prepares, told.rename_provider

    for path in sorted(folder.iterdir()):
        text = Text(path.as_uri(), path.read_bytes().decode(), encoding)
        client.text_document_did_open(lsp.DidOpenTextDocumentParams(
            lsp.TextDocumentItem(text.uri, "brass", text.version, text.text)))
        expected = checked(waterkey, path, text)
        assert expected, "a text with findings"
        counted["findings"] += len(expected)
        await diagnostics(client, pull, text, expected)
        await outline(client, text, tree)
        names = {}
        for place in text.tokens():
            counted["places"] += 1
            await offers(client, text, place, formats, tree)
            if await questions(client, text, place, formats, prepares):
                names.setdefault(re.match(r"\w+", text.text[text.index(place):])[0], place)
        for name, place in names.items():
            if path.name == "small.brass" and name.isalnum():
                await rename(client, text, place, editor == "VS Code", ["Q\U0001044fay9", name])
        assert path.name != "small.brass" or {"T\U00010428p", "Hn1", "Horns", "oars", "A"} <= set(names), names
        if path.name == "small.brass":
            await heard(client, text)
        if told.semantic_tokens_provider:
            await beside.tokens(client, text, told.semantic_tokens_provider, change, counted)
        await beside.hints(client, text, told.inlay_hint_provider.resolve_provider, counted)
        if told.code_lens_provider:
            await beside.lenses(client, text, counted)
        await actions(waterkey, client, text, offer)
        await typed(client, text)
        await formatting(waterkey, client, text)
        # The text as edited is the one that is checked, and a place on disk is not needed for that.
        (folder / path.name).write_bytes(text.text.encode())
        await diagnostics(client, pull, text, checked(waterkey, path, text))
        await commands(waterkey, client, text, path)
        client.text_document_did_close(lsp.DidCloseTextDocumentParams(lsp.TextDocumentIdentifier(text.uri)))
    moving = bool(told.workspace and told.workspace.file_operations)
    assert moving == bool(offer.workspace.file_operations and offer.workspace.file_operations.will_rename)
    await shared(client, waterkey, folder / "harbour", lambda uri, text: Text(uri, text, encoding), counted,
                 editor == "VS Code", moving)
    await client.shutdown_session()
    assert not client.faults and client.error is None
    assert not client.messages, client.messages


def main(waterkey):
    waterkey = str(pathlib.Path(waterkey).resolve())
    warnings.simplefilter("error", LspSpecificationWarning)
    editors = ["VS Code", "Neovim", "Emacs"]
    for editor in editors:
        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder).resolve()
            (folder / "small.brass").write_bytes(SMALL.encode())
            (folder / "harbour-mistakes.brass").write_bytes((SAMPLES / "harbour-mistakes.brass").read_bytes())
            asyncio.run(session(waterkey, editor, folder))
    told = ", ".join(f"{count} {what}" for what, count in sorted(counted.items()))
    print(f"   valid answers to {len(editors)} kinds of client ({', '.join(editors)}): {told}")


if __name__ == "__main__":
    main(sys.argv[1])
