"""Names that several files share, asked for by an independent client and changed here, in the files.

Where a name stands is worked out from the texts alone. What `waterkey check` says of every file before and
after is the same but for the name.
"""

import json
import pathlib
import re
import subprocess

from lsprotocol import types as lsp
from pygls.exceptions import JsonRpcException

PLAYER = "T\U00010428p"
# An astral letter, CRLF, an include of an include, an include by a crooked way, names in quotes and remarks.
FILES = {
    "crew.brass": f"// \U0001d11e {PLAYER} and the others\nplayer {PLAYER} = trumpet in Bb, level school\n"
                  f"player Tb1 = skiff\ngroup Ferry = {PLAYER} Tb1\n",
    "parts/low.brass": 'include "../boats.brass"\r\ngroup Deep = Tb1\r\n',
    "boats.brass": "instrument skiff = slide, fundamental Bb1\nphrase oars | q : C5 D5 E5 F5 |\n",
    "quay.brass": f'brass 1\ntitle "\U0001d11e {PLAYER}"\ninclude "./crew.brass"\ninclude "parts/low.brass"\n'
                  f"allow hard-key for Ferry\n\nbar 1 meter 4/4 tempo q = 72 mark oars\n{PLAYER} | q : C5 D5 E5 |"
                  f' w : "\U0001d11e\U0001d11e" C7 | play oars |\n{PLAYER} Tb1 | | | | w : D4 |\n'
                  "Deep | | | | | [switch skiff] - |\n",
    "old/pier.brass": f'// {PLAYER}\ninclude "../parts/../crew.brass"\ninclude "../boats.brass"\n'
                      f"bar 1 tempo q = 72\nFerry | q : C4 D4 |\n{PLAYER} | | play oars |\n",
}
# Each shared name, and another that is as long.
NAMES = {PLAYER: "Q\U0001044f9", "Tb1": "Low", "Ferry": "Crowd", "Deep": "Sunk", "oars": "helm", "skiff": "Canoe"}
# Where a name is none.
QUIET = re.compile(r'"[^"\r\n]*"|//[^\r\n]*|\bmark \w+')


def places(files, name):
    """(file, index) of every place of a name."""
    found = set()
    for file, text in files.items():
        bare = QUIET.sub(lambda quiet: " " * len(quiet[0]), text)
        found |= {(file, m.start()) for m in re.finditer(rf"(?<!\w){name}(?!\w)", bare)}
    return found


def findings(waterkey, folder, names=FILES):
    """What `waterkey check` finds in each file."""
    def of(name):
        done = subprocess.run([waterkey, "check", "--hints", "--format", "json", folder / name],
                              capture_output=True)
        assert done.returncode in (0, 1), done
        [file] = json.loads(done.stdout)["files"]
        return sorted((f["rule"], f["line"], f["column"], f["message"]) for f in file["findings"])
    return {name: of(name) for name in names}


class Harbour:
    """The files, on disk and here, and the client that has some of them open."""

    def __init__(self, client, waterkey, folder, text_of, counted):
        self.client, self.waterkey, self.folder = client, waterkey, folder
        self.counted, self.texts, self.open = counted, {}, []
        for name, text in FILES.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_bytes(text.encode())
            self.texts[name] = text_of((folder / name).as_uri(), text)
        (folder / "waterkey.toml").touch()  # so that all of it is one root, whichever file is checked

    def files(self):
        return {name: text.text for name, text in self.texts.items()}

    def name_of(self, uri):
        [name] = [name for name, text in self.texts.items() if text.uri == uri]
        return name

    def opens(self, name):
        text = self.texts[name]
        self.client.text_document_did_open(lsp.DidOpenTextDocumentParams(
            lsp.TextDocumentItem(text.uri, "brass", text.version, text.text)))
        self.open.append(name)

    def closes(self, name):
        document = lsp.TextDocumentIdentifier(self.texts[name].uri)
        self.client.text_document_did_close(lsp.DidCloseTextDocumentParams(document))
        self.open.remove(name)

    def make(self, edit, versioned):
        """Applies an edit of the workspace to the files, and tells of those that are open."""
        if versioned:
            assert edit.changes is None
            changes = [(c.text_document.uri, c.text_document.version, c.edits) for c in edit.document_changes]
        else:
            assert edit.document_changes is None
            changes = [(uri, None, edits) for uri, edits in edit.changes.items()]
        names = [self.name_of(uri) for uri, _, _ in changes]
        assert len(set(names)) == len(names), "each file once"
        for name, (_, version, edits) in zip(names, changes):
            text = self.texts[name]
            assert not versioned or version == (text.version if name in self.open else None), (name, version)
            text.apply(edits)
            (self.folder / name).write_bytes(text.text.encode())
            if name in self.open:
                text.version += 1
                document = lsp.VersionedTextDocumentIdentifier(version=text.version, uri=text.uri)
                self.client.text_document_did_change(lsp.DidChangeTextDocumentParams(
                    document, [lsp.TextDocumentContentChangeWholeDocument(text.text)]))
        return names

    async def names(self, versioned):
        before = findings(self.waterkey, self.folder)
        assert before["quay.brass"] and before["old/pier.brass"], "there is something to find"
        for name, new in NAMES.items():
            assert len(new) == len(name)
            for file in self.open:
                for at in sorted(i for f, i in places(self.files(), name) if f == file)[:2]:
                    await self.renamed(file, at, name, new, before, versioned)

    async def renamed(self, file, at, name, new, before, versioned):
        text = self.texts[file]
        line = text.text[:at].count("\n")
        place = text.at(line, at - text.starts()[line])
        document = lsp.TextDocumentIdentifier(text.uri)
        wanted = places(self.files(), name)
        async def references(declaration):
            asked = lsp.ReferenceParams(lsp.ReferenceContext(declaration), document, place)
            return await self.client.text_document_references_async(asked)
        found, uses = await references(True), await references(False)
        told = {(self.name_of(f.uri), self.texts[self.name_of(f.uri)].index(f.range.start)) for f in found}
        assert told == wanted and len(found) == len(wanted), (name, file, told ^ wanted)
        assert all(self.texts[self.name_of(f.uri)].of(f.range) == name for f in found)
        declared = await self.client.text_document_definition_async(lsp.DefinitionParams(document, place))
        assert [declared] == [f for f in found if f not in uses], (declared, uses)

        old = self.files()
        edit = await self.client.text_document_rename_async(lsp.RenameParams(document, place, new))
        assert set(self.make(edit, versioned)) == {f for f, _ in wanted}
        assert places(self.files(), new) == wanted, "all have the same length"
        assert not places(self.files(), name)
        after = findings(self.waterkey, self.folder)
        same = {file: sorted((*where, message.replace(new, name)) for *where, message in found)
                for file, found in after.items()}
        assert same == before, (name, file, same, before)
        edit = await self.client.text_document_rename_async(lsp.RenameParams(document, place, name))
        self.make(edit, versioned)
        assert self.files() == old, "there and back"
        self.counted["renames over files"] += 1
        for taken in NAMES.keys() - {name}:
            try:
                await self.client.text_document_rename_async(lsp.RenameParams(document, place, taken))
            except JsonRpcException as refusal:
                assert refusal.code == -32602 and taken in refusal.message, refusal
            else:
                raise AssertionError(f"{taken} is somebody else in a file that would change")

    async def symbols(self):
        for name in NAMES:
            query = name[0].lower() + name[-1]
            everywhere = await self.client.workspace_symbol_async(lsp.WorkspaceSymbolParams(query=query))
            here = self.folder.as_uri() + "/"
            found = [s for s in everywhere if s.name == name and s.location.uri.startswith(here)]
            assert found, (name, everywhere)
            for symbol in found:
                assert self.texts[self.name_of(symbol.location.uri)].of(symbol.location.range) == name, symbol
                assert symbol.container_name, symbol
            self.counted["names looked for"] += 1

    async def links(self):
        for name in self.open:
            text = self.texts[name]
            asked = lsp.DocumentLinkParams(lsp.TextDocumentIdentifier(text.uri))
            links = await self.client.text_document_document_link_async(asked)
            ways = re.findall(r'include "([^"]*)"', text.text)
            assert [text.of(link.range) for link in links] == ways, links
            for link, way in zip(links, ways):
                assert link.target == ((self.folder / name).parent / way).resolve().as_uri(), link
                self.counted["links"] += 1

    async def moves(self, versioned):
        """Two files get another name and another place; all scores read as before."""
        before = findings(self.waterkey, self.folder)
        for name, new in [("crew.brass", "old/the crew.brass"), ("parts/low.brass", "low.brass")]:
            file = lsp.FileRename((self.folder / name).as_uri(), (self.folder / new).as_uri())
            edit = await self.client.workspace_will_rename_files_async(lsp.RenameFilesParams([file]))
            self.make(edit, versioned)
            if name in self.open:
                self.closes(name)
            (self.folder / name).rename(self.folder / new)
            del self.texts[name]
            self.client.workspace_did_rename_files(lsp.RenameFilesParams([file]))
            self.counted["files moved"] += 1
        for name, found in findings(self.waterkey, self.folder, self.texts).items():
            # The column may be another one on an include line that became longer.
            assert [f[:2] + f[3:] for f in found] == [f[:2] + f[3:] for f in before[name]], (name, found)


async def shared(client, waterkey, folder: pathlib.Path, text_of, counted, versioned, moving):
    harbour = Harbour(client, waterkey, folder, text_of, counted)
    for name in ["quay.brass", "parts/low.brass", "crew.brass"]:
        harbour.opens(name)
    await harbour.names(versioned)
    await harbour.symbols()
    await harbour.links()
    if moving:
        await harbour.moves(versioned)
    for name in list(harbour.open):
        harbour.closes(name)
